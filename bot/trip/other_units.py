"""Weights and other measures whose unit follows from the trip, or was put right alone. Pure.

A bare number for a weight is in the unit in which weights were said on this trip; else in pounds where
lengths of fish are called in feet and inches, else in what the boat is used to. "Pounds, not kilos" changes
the unit of the measure said last and keeps its number.
"""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Final

from bot.trip.acts import FISH_ACTS
from bot.trip.call import Call
from bot.trip.corrections import Refusal, correction
from bot.trip.entry import Entry
from bot.trip.meant import BARE, InUnit, SaidUnits
from bot.trip.said_units import (
    STEP,
    UNIT_OF,
    in_units,
    in_units_of,
    is_bare,
    units_of,
    with_units_of,
)
from bot.units import PER

JUST_SAID: Final = timedelta(minutes=15)
"""How long a unit alone puts right the measure that was said last; common practice, no source."""
NO_MEASURE: Final = "Nothing was measured just now: say the number with its unit."
_WEIGHT: Final = "weight_kg"
_POUND: Final = "pound"
_INCHES: Final = frozenset({"inch", "foot"})
_METRIC: Final = frozenset({"kilo", "metre", "m", "centimetre"})


def in_unit_of_the_trip(call: Call, stood: Sequence[Entry], usual: str | None = None) -> Call:
    """Return a call whose weight is a bare number with that number in the unit of the last weight said.

    Without one `usual` is the unit in which this boat weighs; None for kilograms.
    """
    if not is_bare(call, _WEIGHT):
        return call
    last = max(stood, key=lambda e: e.id, default=None)
    known = last is not None and last.call.act not in FISH_ACTS
    if known and last is not None and last.call.said().keys() & UNIT_OF.keys():
        return call  # "drag eleven", "no, twelve"
    unit = _weighed_in(stood, usual)
    if unit is None:
        return call
    like = Call(call.act, meant=(SaidUnits(weight=unit),))
    meant = in_units(call.meant, replace(units_of(call), weight=unit))
    return call.with_slots(weight_kg=in_units_of(like, call)[_WEIGHT], meant=meant)


def _weighed_in(stood: Sequence[Entry], usual: str | None) -> str | None:
    weighed = [e for e in stood if e.call.weight_kg is not None]
    if weighed:
        return units_of(max(weighed, key=lambda e: e.id).call).weight
    lengths = {units_of(e.call).length for e in stood if e.call.length_cm is not None}
    return _POUND if lengths & _INCHES else usual


def without_bare(call: Call) -> Call:
    """Return an entry's call without the mark of a number alone, which is then metric."""
    marked = any(getattr(units_of(call), unit) == BARE for unit in UNIT_OF.values())
    return replace(call, meant=with_units_of(call.meant, call)) if marked else call


def unit_put_right(
    stood: Sequence[Entry], call: Call, said_at: datetime
) -> tuple[Entry, Call] | Refusal:
    """Return the entry whose measure was said last, and its correction with the same number in the unit."""
    wanted = call.meaning(InUnit)
    unit = wanted.unit if wanted is not None else ""
    for entry in sorted(stood, key=lambda e: e.id, reverse=True):
        if said_at - entry.at > JUST_SAID and entry.call.act not in FISH_ACTS:
            continue
        if (right := measured_in(entry.call, unit)) is not None:
            return entry, right
    return Refusal(NO_MEASURE)


def measured_in(call: Call, unit: str) -> Call | None:
    """Return the correction of a measure of a call to the same number in another unit; else None."""
    said = call.said()
    slot = next((slot for slot in UNIT_OF if slot in said and unit in PER[slot]), None)
    if slot is None:
        return None
    field = UNIT_OF[slot]
    old = getattr(units_of(call), field)
    number = said[slot] / PER[slot].get(old or "", 1.0)
    number = round(number * STEP) / STEP if old else number
    told = None if unit in _METRIC else unit
    value = round(number * PER[slot][unit], 1)
    return correction(**{slot: value}, meant=(SaidUnits(**{field: told}),))
