"""What words like "it" may point at, made from the log and the last calls. Pure."""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta, tzinfo
from typing import Final

from bot.calls.pointed import Referents
from bot.calls.reader.labels import ALL_LINES, CLEARED
from bot.calls.understand import Understanding
from bot.desk.since import JUST_ASKED, was_just_asked
from bot.messages import Message
from bot.replies.amounts import clock
from bot.tackle.box import same_name
from bot.trip.acts import (
    AMEND,
    ASK_NEXT,
    BITES,
    CAUGHT,
    CLEAR,
    LAYING,
    PLAN,
    QUESTIONS,
    SWAP,
    TABLE,
)
from bot.trip.call import Call
from bot.trip.encounters import species_match
from bot.trip.entry import Entry, Record, Voided
from bot.trip.meant import MayAskChange, OfFish, OfSpoken, SpreadWish, meaning
from bot.trip.state import InWater, Trip

FRESH: Final = timedelta(minutes=20)
"""How long words may point at what was said."""
AT_ONCE: Final = timedelta(minutes=3)
"""How far apart lures go out together, so that "it" is none of them; common practice, no source."""
MEASURES: Final = frozenset({"weight_kg", "length_cm", "tag", "tagged"})
UP: Final = timedelta(minutes=45)
"""How long a line that was brought in can be "put back"."""


def asked_of_us(found: Understanding, message: Message) -> Understanding:
    """Return "should we change the shotgun" as a question, where nobody else can be asked.

    Among the crew it is talk, unless the program is called by its name.
    """
    asks = meaning(found.meant, MayAskChange)
    alone = message.private and not (message.in_group or message.overheard)
    is_other = any(call.act not in QUESTIONS for call in found.calls)
    if asks is None or is_other or not (alone or found.addressed):
        return found
    slow = Call(PLAN, meant=(SpreadWish(slow=True),))
    call = slow if asks.slow else Call(ASK_NEXT, position=asks.position)
    return replace(found, calls=(call,), ask=None, options=())


def referents_now(
    trip: Trip,
    stood: Sequence[Entry],
    now: datetime,
    asked: tuple[datetime, tuple[Call, ...]] | None = None,
    tz: tzinfo = UTC,
    records: Sequence[Record] = (),
) -> Referents:
    """Return what may be pointed at now; `asked` are the calls of the last question, and when it was put.

    `records` are those of the trip as made, with what was taken back.
    """
    fresh = [e for e in stood if timedelta() <= now - e.at <= FRESH]
    last = fresh[-1] if fresh else None
    together = [e.call.position for e in fresh if last is not None and e.message == last.message]
    questioned: list[str | None] = []
    if asked is not None and now - asked[0] <= FRESH and (last is None or asked[0] >= last.at):
        questioned = [call.position for call in asked[1]]
    mentioned = [*reversed(questioned), *(_line_of(e, trip) for e in reversed(fresh))]
    laid = next((e for e in reversed(fresh) if e.call.act in LAYING), None)
    return Referents(
        tuple((lure.position, _words(lure)) for lure in trip.spread.values()),
        _distinct(mentioned),
        _distinct(questioned) or _distinct(together),
        tuple(_brought_in(trip, stood, now)),
        _changed(trip, fresh, _distinct(questioned)),
        _said(laid.call) if laid is not None else "",
        last.call.act if last is not None else "",
        tuple(fish.position for fish in trip.fish_on if fish.position),
        weedy=tuple(_weedy(trip, now)) or tuple(_taken_back(trip, records, now)),
        bitten=tuple(
            f.position for f in trip.fish if f.position and f.was_struck and not f.is_over
        ),
        now=clock(now, tz),
        unplaced=any(fish.position is None for fish in trip.fish_on),
    )


def _line_of(entry: Entry, trip: Trip) -> str | None:
    """Return the line that an entry names, or on which the lure is out that it names."""
    call = entry.call
    if call.position or TABLE[call.act].kind != "lure" or not call.lure:
        return call.position
    out = (there for there in trip.spread.values() if same_name(there.lure or "", call.lure))
    return next((there.position for there in out), None)


def _changed(trip: Trip, fresh: Sequence[Entry], questioned: Sequence[str]) -> str:
    """Return the only line whose lure was changed, where that is the last thing that was done with a line."""
    placed = [e for e in fresh if e.call.position]
    if not placed or placed[-1].call.act not in LAYING:
        return ""
    last = placed[-1]
    others = [e for e in placed if e.call.act in LAYING and last.at - e.at <= AT_ONCE]
    lines = {e.call.position for e in others} | set(questioned)
    out = {lure.position for lure in trip.spread.values()}
    line = last.call.position or ""
    return line if lines == {line} and line in out else ""


def attach_to_asked_fish(
    found: Understanding,
    stood: Sequence[Entry],
    now: datetime,
    asked: tuple[datetime, tuple[Call, ...]] | None,
) -> Understanding:
    """Return "and it weighed 350 pounds" as said of the fish just asked about, if nothing came between.

    "What did that fish have on" asks about the same, and "clear it" means the line just asked about.
    """
    calls = found.calls
    if asked is None or not calls or not was_just_asked(asked[0], stood, now):
        return found
    lines = _distinct(call.position for call in asked[1])
    if (
        [call.act for call in calls] in ([CLEAR], [SWAP])
        and not calls[0].position
        and len(lines) == 1
    ):
        return replace(found, calls=(calls[0].with_slots(position=lines[0]),))
    if [one for one in calls if one.meaning(OfSpoken)] == list(calls):
        return _of_the_same(found, asked[1])
    about = next((call for call in reversed(asked[1]) if call.species), None)
    bare = all(c.act == AMEND and c.said() and c.said().keys() <= MEASURES for c in calls)
    caught = [e.call.species for e in stood if e.call.act in CAUGHT]
    if about is None or not bare or any(call.meaning(OfFish) for call in calls):
        return found
    if not any(species_match(species, about.species) > 1 for species in caught):
        return found
    fish = OfFish(about.species, about.angler, position=about.position)
    told = tuple(replace(call, meant=(*call.meant, fish)) for call in calls)
    return replace(found, calls=told)


def _of_the_same(found: Understanding, asked: Sequence[Call]) -> Understanding:
    """Return a question about the fish spoken of as about the fish of the question before it."""
    about = next((c for c in reversed(asked) if c.species or c.angler or c.position), None)
    if about is None:
        return found
    fish = OfFish(about.species, about.angler, position=about.position)
    told = tuple(replace(call, meant=(*call.meant, fish)) for call in found.calls)
    return replace(found, calls=told)


def _distinct(names: Iterable[str | None]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(name for name in names if name))


def _brought_in(trip: Trip, stood: Sequence[Entry], now: datetime) -> Iterable[tuple[str, str]]:
    """Yield the positions that were cleared and are still empty, the latest first."""
    seen: set[str] = set()
    for entry in reversed(stood):
        position = entry.call.position
        if now - entry.at > UP or entry.call.act in ALL_LINES:
            return
        if entry.call.act != CLEARED or position is None or position in seen:
            continue
        seen.add(position)
        if all(lure.position != position for lure in trip.spread.values()):
            before = next((p for p in trip.previous.values() if p.position == position), None)
            yield position, _words(before) if before is not None else ""


def _weedy(trip: Trip, now: datetime) -> Iterable[tuple[str, str]]:
    """Yield the lines that weed was called on last and not long ago, with lures that can be named."""
    still = [span for span in trip.fouled if span.end is None and now - span.start <= UP]
    last = max((span.start for span in still), default=now)
    for span in still:
        there = trip.spread.get(span.line)
        if span.start == last and there is not None and _words(there):
            yield there.position, _words(there)


def _taken_back(trip: Trip, records: Sequence[Record], now: datetime) -> Iterable[tuple[str, str]]:
    """Yield the line of a bite that was taken back just now, with its lure: it may have been weed."""
    last = next((r for r in reversed(records) if isinstance(r, Entry | Voided)), None)
    if not isinstance(last, Voided) or not timedelta() <= now - last.at <= JUST_ASKED:
        return
    gone = [r for r in records if isinstance(r, Entry) and r.id in last.entries]
    lines = {r.call.position for r in gone if r.call.act in BITES}
    for there in trip.spread.values():
        if lines == {there.position} and _words(there):
            yield there.position, _words(there)


def _words(lure: InWater) -> str:
    return lure.lure or _described(lure.colours, lure.size_in)


def _said(call: Call) -> str:
    return call.lure or _described(call.colours, call.size_in)


def _described(colours: Sequence[str], size_in: float | None) -> str:
    size = f"{size_in:g} inch" if size_in is not None else ""
    return " ".join(part for part in (*colours, size) if part)
