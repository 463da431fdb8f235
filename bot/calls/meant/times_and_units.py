"""What the words say of times, bearings, units and of which bite is meant, beside the slots. Pure."""

from collections.abc import Iterator
from typing import Final

from bot.calls.meant.reader import Line, only_with
from bot.calls.meant.signs import Sign
from bot.calls.numbers import numbers_at
from bot.trip.acts import AMEND, BITES, CAUGHT, LINES_IN, LINES_OUT, SIGHTING, STRIKE, TABLE, TAKES
from bot.trip.call import Call
from bot.trip.meant import (
    ROD_KIND,
    AfterAll,
    Bearing,
    CameBack,
    EachOfTwo,
    ExactClock,
    InUnit,
    LinesAlone,
    MaybeAboard,
    MaybeOver,
    Meaning,
    OfBefore,
    OfKind,
    OfSpeaker,
    OneMore,
    SaidAs,
)

NOON: Final = 12
TEN: Final = 10
_OTHER: Final = {"pound": "kilo", "kilo": "pound"}
"""Unit that was denied -> the one that is left."""
BOTH: Final = 2
"""Fish of a double."""
_OF_ONE_ON: Final = ("leader", "missed", "lost", "caught")
"""Stages of a fish that was called before."""
_TIMES: Final = frozenset({"ago_min", "clock"})
_UNITS: Final = ("mass", "length", "unit")
"""Tables of the words for units."""


def beside_slots(call: Call, line: Line) -> Iterator[Meaning]:
    """Yield what a line says of the time, the place, the unit or the fish of one of its calls."""
    if call.clock is not None and is_exact(call.clock, line):
        yield ExactClock()
    if call.act == SIGHTING and (hour := clock_bearing(line)) is not None:
        yield Bearing(hour)
    if call.act == AMEND and not call.said() and (unit := unit_alone(line)):
        yield InUnit(unit)
    if _is_one_more(call, line):
        yield OneMore()
    if TABLE[call.act].stage == "raised" and not call.position and line.has("came_back"):
        yield CameBack()
    if TABLE[call.act].stage == "on" and _is_after_all(line):
        yield AfterAll()
    if TABLE[call.act].stage == "struck" and _has_lines_alone(line):
        yield LinesAlone()
    if _is_of_both(call, line):
        yield EachOfTwo()
    if TABLE[call.act].stage in _OF_ONE_ON and line.has("about_fish", "of_mine"):
        yield OfSpeaker()
    if call.act == LINES_IN and line.has("all_in", "boat") and not line.has("all_in", "water"):
        yield MaybeAboard()
    if call.act == LINES_OUT and line.has("maybe_over") and not line.has("maybe_over", "not_yet"):
        yield MaybeOver()
    if call.species is not None and (word := either(line)):
        yield word
    if call.act in BITES | {AMEND} and call.position and line.has("of_before"):
        yield OfBefore()
    if call.act == AMEND and (kind := named_entry_kind(call, line)):
        yield OfKind(kind)


def _is_one_more(call: Call, line: Line) -> bool:
    """Return whether a bite or a catch is called as another one: "one more", or a bite "again"."""
    again = TABLE[call.act].stage == "struck" and line.has("one_more", "bite")
    return again or (call.act in BITES | CAUGHT and line.has("one_more", "fish"))


def _is_after_all(line: Line) -> bool:
    """Return whether a hook-up takes back a miss: "no wait, he's on"; a fish that is back is a new bite."""
    denied = (s for s in line.of("after_all") if s.name == "no" and s.cost == 0.0)
    opens = any(s.start == 0 or line.tokens[s.start].stop for s in denied)
    still = line.has("after_all", "still")
    return (opens or still) and not (line.has("came_back") or line.has("one_more"))


def _has_lines_alone(line: Line) -> bool:
    """Return whether a line names lines of the boat and says nothing else."""
    signs = [s for s in line.of("position", "both", "side", "lines_alone") if s.cost == 0.0]
    return sum(s.end - s.start for s in signs) == line.lattice.size


def _is_of_both(call: Call, line: Line) -> bool:
    """Return whether "both" beside a call is of two fish: those that come on or are caught are counted."""
    stage, said = TABLE[call.act].stage, line.of("of_both")
    counted = call.count == BOTH or (call.count is None and any(s.start == 0 for s in said))
    two = stage in ("on", "caught") and counted
    return bool(said) and not call.position and (two or stage in ("missed", "lost"))


def named_entry_kind(call: Call, line: Line) -> str | None:
    """Return the kind of entry that a correction of place, lure, time or rod names; else None.

    Of several it is the last before the line that is right: "not the swap, the strike was the long rigger".
    """
    said = call.said().keys()
    if said == {"angler"}:
        return ROD_KIND if line.has("had_rod") else None
    places = bool(call.position or call.names_lure or said & _TIMES)
    kinds = [s for s in line.of("of_kind") if s.cost == 0.0]
    if not places or not kinds or not said <= TAKES[STRIKE]:
        return None
    there = [s.start for s in line.of("position") if s.name == call.position]
    before = [s for s in kinds if not there or s.end <= there[-1]]
    return (before[-1] if before else kinds[0]).name


def either(line: Line) -> SaidAs | None:
    """Return the word for a fish that is an animal's as well, and whether the line tells which is meant."""
    said = next((s for s in line.of("either") if s.cost == 0.0), None)
    if said is None or said.name == "fish":
        return None
    others = (s for s in line.of("species") if s.cost == 0.0 and s.name != said.name)
    return SaidAs(said.name, told=any(others))


def is_exact(clock: str, line: Line) -> bool:
    """Return whether a time was said with its half of the day, or on the 24-hour clock."""
    hour = int(clock.partition(":")[0])
    if hour > NOON or hour == 0 or line.has("half_day"):
        return True
    words = {token.text for token in line.tokens}
    return clock.replace(":", "") in words or (hour < TEN and clock in words)


@only_with("bearing")
def clock_bearing(line: Line) -> int | None:
    """Return the hour of the clock at which a thing is seen, where a line says just one."""
    if line.has("half_day"):
        return None
    found = {int(sign.name) for sign in line.of("bearing") if sign.cost == 0.0}
    return found.pop() if len(found) == 1 else None


@only_with(*_UNITS)
def unit_alone(line: Line) -> str | None:
    """Return the unit that is right where a line says nothing else: "pounds, not kilos"; else None."""
    if line.text.rstrip().endswith("?") or not line.tokens:
        return None
    units = [s for s in line.of(*_UNITS) if s.cost == 0.0]
    beside = [s for s in line.signs if s.table == "unit_alone" and s.cost == 0.0]
    known = {n for sign in (*units, *beside) for n in range(sign.start, sign.end)}
    if not units or len(known) < len(line.tokens) or _counts(line, units):
        return None
    after = {sign.end for sign in beside if sign.name == "denies"}
    denied = {sign.name for sign in units if sign.start in after and sign.start > 0}
    right = {sign.name for sign in units} - denied
    if not right and len(denied) == 1 and (other := _OTHER.get(next(iter(denied)))):
        return other
    return right.pop() if len(right) == 1 else None


def _counts(line: Line, units: list[Sign]) -> bool:
    """Return whether a number stands in the line, beside the words for units."""
    of_units = {n for sign in units for n in range(sign.start, sign.end)}
    rest = (n for n in range(len(line.tokens)) if n not in of_units)
    return any(number.cost == 0.0 for n in rest for number in numbers_at(line.lattice, n))
