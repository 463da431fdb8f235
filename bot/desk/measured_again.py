"""A number right after a measure of a fish, as that measure in that unit: "30 inches", then "34".

Which measure of which fish was given last, and in what unit, is in the log; the words say a number. Pure.
"""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Final, NamedTuple

from bot.calls.meant.bare_numbers import last_number, only_number
from bot.calls.meant.reader import Line
from bot.calls.phrasing import question
from bot.calls.understand import Option, Understanding
from bot.trip.acts import AMEND, CAUGHT
from bot.trip.call import Call
from bot.trip.corrections import correction
from bot.trip.entry import Entry, Record, Voided
from bot.trip.meant import BARE, OfFish, SaidUnits
from bot.trip.said_units import UNIT_OF, in_units, in_units_of, is_bare, units_of

JUST_MEASURED: Final = timedelta(minutes=5)
"""How long a number alone is the measure that was given last; common practice, no source."""
MOST_WRONG: Final = 2.5
"""How many times as great or as small a number that puts it right may be; common practice, no source."""
SURE: Final = 0.9
"""Confidence that such a number is that measure; common practice, no source."""
_MEASURES: Final = ("weight_kg", "length_cm")
_AS_SAID: Final = frozenset({"weight_kg", "length_cm", "size_in"})
"""Slots in which a number without a unit stands as it was said."""


class _Given(NamedTuple):
    """The measure that was given last."""

    call: Call
    slot: str


def as_measured_just_now(
    found: Understanding,
    line: Line,
    stood: Sequence[Entry],
    records: Sequence[Record],
    now: datetime,
) -> Understanding:
    """Return what was understood with a number alone as the measure of a fish that was given just now."""
    value = _number(found, line)
    given = _given(stood, records, now) if value is not None else None
    if given is None or value is None or _is_weighed(found, line, given):
        return found
    bare = SaidUnits(**{UNIT_OF[given.slot]: BARE})
    right = in_units_of(given.call, correction(**{given.slot: value}, meant=(bare,)))[given.slot]
    if not 1 / MOST_WRONG <= right / given.call.said()[given.slot] <= MOST_WRONG:
        return found
    unit = SaidUnits(**{UNIT_OF[given.slot]: getattr(units_of(given.call), UNIT_OF[given.slot])})
    call = correction(**{given.slot: right}, meant=(unit,) if unit != SaidUnits() else ())
    sure = max(found.confidence if found.calls else 0.0, SURE)
    options: tuple[Option, ...] = (Option((call,), sure),)
    ask = None
    if any(one.act != AMEND for one in found.calls):
        options = (*options, Option(found.calls, found.confidence))
        ask = question([one.calls for one in options])
    return replace(found, calls=(call,), confidence=sure, ask=ask, options=options)


def _number(found: Understanding, line: Line) -> float | None:
    """Return the number without a unit that a line puts right, where it says nothing else; else None."""
    if line.text.rstrip().endswith("?"):
        return None
    if [call.act for call in found.calls] != [AMEND]:
        return only_number(line)
    call, said = found.calls[0], found.calls[0].said()
    named = call.of_act or call.of_position or call.of_clock or call.meaning(OfFish)
    if named or len(said) > 1:
        return None
    bare = [value for slot, value in said.items() if slot == "size_in" or is_bare(call, slot)]
    if said and not bare:
        return None
    return float(bare[0]) if said.keys() & _AS_SAID else last_number(line)


def _is_weighed(found: Understanding, line: Line, given: _Given) -> bool:
    """Return whether words beside the number say that it is a weight, and a length was given last."""
    weighs = any(call.weight_kg is not None for call in found.calls)
    return weighs and given.slot != "weight_kg" and only_number(line) is None


def _given(stood: Sequence[Entry], records: Sequence[Record], now: datetime) -> _Given | None:
    """Return the measure that the last entry was given last, where that was just now and only one."""
    last = max(stood, key=lambda e: e.id, default=None)
    if last is None or last.call.act not in CAUGHT:
        return None
    gone = [r for r in records if isinstance(r, Voided) and last.replaces in r.entries]
    said_at = max([last.at, *(r.at for r in gone)])
    before = next((r for r in records if isinstance(r, Entry) and r.id == last.replaces), None)
    old = before.call.said() if before is not None else {}
    new = [s for s in _MEASURES if s in last.call.said() and last.call.said()[s] != old.get(s)]
    fresh = timedelta() <= now - said_at <= JUST_MEASURED
    return _Given(last.call, new[0]) if fresh and len(new) == 1 else None


def as_weight_of_fish(found: Understanding, stood: Sequence[Entry]) -> Understanding:
    """Return what was understood with a pull that nobody has measured as the weight of its fish.

    A scale has both: "it was five kilos on the scale" is the drag of a rod only where one was read.
    """
    was_read = any(entry.call.drag_kg is not None for entry in stood)
    was_caught = any(entry.call.act in CAUGHT for entry in stood)

    def right(call: Call) -> Call:
        of_fish = call.meaning(OfFish) is not None or (was_caught and not was_read)
        if call.act != AMEND or call.drag_kg is None or not of_fish:
            return call
        if call.weight_kg is not None:
            return call.with_slots(drag_kg=None)
        said = units_of(call)
        meant = in_units(call.meant, replace(said, drag=None, weight=said.drag))
        return call.with_slots(drag_kg=None, weight_kg=call.drag_kg, meant=meant)

    calls = tuple(map(right, found.calls))
    if calls == found.calls:
        return found
    told = dict.fromkeys(tuple(map(right, one.calls)) for one in found.options)
    if len(told) != 1:
        return replace(found, calls=calls)
    sure = sum(one.confidence for one in found.options)
    return replace(found, calls=calls, ask=None, confidence=sure, options=(Option(calls, sure),))
