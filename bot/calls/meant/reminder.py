"""A note to what somebody wants to be reminded of, and when. Pure.

    remind me to check for weed in twenty minutes       tell me when the long rigger has been out two hours
    remind us at half past ten to swap the shotgun      remind me to check the lines every half hour
    remind me of the sunset

The note itself is the log's: whoever undoes it takes the reminder back.
A kept one gets another time by "push lunch back half an hour" or "move lunch to one"; whether there is such a
reminder is not known here.
"""

from dataclasses import replace
from typing import Final, NamedTuple

from bot.calls.meant.reader import Line, Reader, only_with
from bot.calls.numbers import numbers_at
from bot.calls.times import ago_at, clocks_at
from bot.trip.acts import NOTE
from bot.trip.call import Call
from bot.trip.meant import CancelsReminder, Reminder

LEAST_EVERY_MIN: Final = 1.0
"""Shortest interval of a repeated reminder, in minutes."""
_ENDS: Final = " ,.;"
_ASKS: Final = "reminder"
_CANCELS: Final = "cancel"
_MOVED: Final = "moved_reminder"


def reminder_in(text: str, reader: Reader) -> Reminder | None:
    """Return the reminder that a note asks for, or None."""
    whole = reader.line(text)
    asks = whole.at(0, _ASKS, "asks")
    if asks is None:
        return None
    rest = text[whole.tokens[asks.end - 1].end :]
    line = reader.line(rest)
    day = next((s for s in line.of(_ASKS) if s.name == "tomorrow" and s.cost == 0.0), None)
    if day is not None:
        line = reader.line(line.without(day.start, day.end))
    timed = _been_out(line) or next(
        (found for start in range(line.lattice.size) if (found := _timed(line, start))), None
    )
    if timed is None:
        timed = Reminder(line.text, sunset=line.has(_ASKS, "sunset"))
    timed = replace(timed, tomorrow=day is not None)
    about = bare(timed.about, reader, _ASKS)
    again = timed.every_min is not None
    return replace(timed, about=about, fishing=again and reader.line(about).has(_ASKS, "fishing"))


@only_with(_ASKS, otherwise=())
def reminder_calls(line: Line) -> tuple[Call, ...]:
    """Return the note that a request for a reminder is, whatever it is about; none for another line."""
    asks, wish = line.at(0, _ASKS, "asks"), line.at(0, _ASKS, "wish")
    size = line.lattice.size
    told = wish is not None and wish.cost == 0.0 and wish.end < size
    if told and wish is not None and line.at(wish.end, _ASKS, "question") is None:
        return (Call(NOTE, text=line.text.strip()),)
    if asks is None or asks.cost > 0.0 or "?" in line.text:
        return ()
    return (Call(NOTE, text=line.text.strip()),) if _been_out(line) is not None else ()


@only_with(_ASKS, otherwise=False)
def is_misspelt_wish(line: Line) -> bool:
    """Return whether a line begins with a misspelt request for a reminder: "remaind me ..."."""
    asks = line.at(0, _ASKS, "asks")
    return asks is not None and asks.cost > 0


@only_with(_CANCELS)
def cancelled_in(line: Line, reader: Reader) -> CancelsReminder | None:
    """Return which reminder a line would cancel, or None where it cannot be about one."""
    named = line.first("cancelled", "reminder")
    opens = line.at(0, _CANCELS, "opens") or line.at(0, _CANCELS, "opens_named")
    if opens is None or (opens.name != "opens" and named is None):
        return None
    everything = line.has("cancelled_all")
    if named is not None and named.start >= opens.end:
        rest = line.without(named.start, named.end)[line.tokens[opens.end - 1].end :]
    else:
        rest = line.text[line.tokens[opens.end - 1].end :]
    about = _without_ends(bare(rest, reader, _ASKS, _CANCELS), reader)
    if named is None and not about:
        return None
    return CancelsReminder(about, named is not None, everything)


def of_the_list(cancels: CancelsReminder, reader: Reader) -> CancelsReminder:
    """Return which reminder is meant once their list was read: "the weed one" is that about weed."""
    line = reader.line(cancels.about)
    first = line.at(0, "cancelled_one", "first")
    if first is not None and first.end < line.lattice.size:
        rest = bare(line.text[line.tokens[first.end - 1].end :], reader, _ASKS, _CANCELS)
        return replace(cancels, about=rest, is_named=True)
    ends = [s.start for s in line.of("cancelled_one") if s.end == line.lattice.size]
    about = line.text[: line.tokens[min(ends)].start].strip(_ENDS) if ends else cancels.about
    return replace(cancels, about=about, is_named=cancels.is_named or bool(ends))


def _been_out(line: Line) -> Reminder | None:
    """Return the reminder for a lure's time in the water; of several times the longest counts."""
    places, lures = line.of("position"), line.of("name")
    spans = [
        span[0] for start in range(line.lattice.size) if (span := span_at(line, start)) is not None
    ]
    if not line.has(_ASKS, "out") or not spans:
        return None
    if not places:
        lure = max(lures, key=lambda sign: (-sign.cost, sign.end - sign.start), default=None)
        return Reminder(line.text, out_min=max(spans), lure=lure.name if lure else None)
    place = max(places, key=lambda sign: sign.end - sign.start)
    side = next((sign.name for sign in line.of("side") if sign.end == place.start), None)
    return Reminder(line.text, position=place.name, side=side, out_min=max(spans))


def _timed(line: Line, start: int) -> Reminder | None:
    """Return the reminder whose time or interval begins at a word, or None where none does."""
    if (after := line.at(start, _ASKS, "after")) and (span := span_at(line, after.end)):
        return Reminder(line.without(start, span[1]), after_min=span[0])
    if (every := line.at(start, _ASKS, "every")) and (span := span_at(line, every.end)):
        return Reminder(line.without(start, span[1]), every_min=max(span[0], LEAST_EVERY_MIN))
    at = line.at(start, _ASKS, "at")
    if at is not None and at.end < line.lattice.size:
        clocks = clocks_at(line.lattice, at.end)
        if clocks:
            clock = min(clocks, key=lambda one: (one.cost > 0.0, -one.end, one.cost))
            exact = clock.half or line.tokens[at.end].text.startswith("0")
            return Reminder(line.without(start, clock.end), clock=clock.clock, is_exact=exact)
    return None


def span_at(line: Line, start: int) -> tuple[float, int] | None:
    """Return minutes and end of the longest span of time that is said from a word on."""
    lattice = line.lattice
    if start >= lattice.size:
        return None
    if (hour := line.at(start, _ASKS, "hour")) is not None:  # "every hour"
        return 60.0, hour.end
    spans = ago_at(lattice, start, numbers_at(lattice, start))
    found = [(end, -cost, minutes) for minutes, end, cost in spans if minutes]
    if not found:
        return None
    end, _, minutes = max(found)
    return minutes, end


def _without_ends(text: str, reader: Reader) -> str:
    """Return what is taken back without the words after it that only say so: "again"."""
    line = reader.line(text)
    ends = [s.start for s in line.of(_CANCELS) if s.name == "ends" and s.end == line.lattice.size]
    return line.text[: line.tokens[min(ends)].start].strip(_ENDS) if ends else text


def bare(text: str, reader: Reader, *tables: str) -> str:
    """Return the words without the ones that only join them to the request."""
    text = " ".join(text.split()).strip(_ENDS)
    while True:
        line = reader.line(text)
        found = (line.at(0, table, "joins") for table in tables) if line.tokens else ()
        joins = next((one for one in found if one is not None), None)
        if joins is None:
            return text
        text = text[line.tokens[joins.end - 1].end :].strip(_ENDS)


class NewTime(NamedTuple):
    """What a reminder is about, and its new time."""

    about: str
    later_min: float | None = None
    """Minutes later than it was to be; below 0 for sooner."""
    clock: str | None = None
    """`HH:MM` of the boat's own time."""


@only_with(_MOVED)
def moved_in(line: Line, reader: Reader) -> NewTime | None:
    """Return which reminder a line would move, and to when; None for any other line."""
    opens = line.at(0, _MOVED, "opens")
    if opens is None:
        return None
    for start in range(opens.end + 1, line.lattice.size):
        found = _to(line, start) or _by(line, start)
        if found is not None:
            said = line.text[line.tokens[opens.end - 1].end : line.tokens[start].start]
            about = bare(said, reader, "reminder", "cancel")
            return found._replace(about=about) if about else None
    return None


def _to(line: Line, start: int) -> NewTime | None:
    """Return the new time of day that is said from a word on to the end."""
    until = line.at(start, _MOVED, "until")
    if until is None or until.end >= line.lattice.size:
        return None
    clocks = [c for c in clocks_at(line.lattice, until.end) if c.end == line.lattice.size]
    best = min(clocks, key=lambda one: one.cost, default=None)
    return NewTime("", clock=best.clock) if best is not None else None


def _by(line: Line, start: int) -> NewTime | None:
    """Return by how much it is moved, said from a word on to the end: "back half an hour"."""
    way = line.at(start, _MOVED, "way")
    span = span_at(line, way.end if way is not None else start)
    if span is None:
        return None
    minutes, end = span
    behind = line.at(end, _MOVED, "way") if way is None and end < line.lattice.size else None
    told = way or behind
    if told is None or (behind.end if behind is not None else end) != line.lattice.size:
        return None
    sooner = line.at(told.start, _MOVED, "sooner") is not None
    return NewTime("", later_min=-minutes if sooner else minutes)
