"""A measure in the unit in which it was said, the metric one beside it: "45 lb (20.4 kg)". Pure.

The log and the contract hold metric values; which units were said is a meaning of the call, `SaidUnits`.
"""

from collections.abc import Mapping
from dataclasses import replace
from typing import Final

from bot.trip.call import Call
from bot.trip.meant import BARE, Meaning, SaidUnits, meaning
from bot.units import (
    CM_PER_INCH,
    INCHES_PER_FOOT,
    KG_PER_POUND,
    M_PER_FATHOM,
    M_PER_FOOT,
    PER,
    celsius_of,
    fahrenheit_of,
)

UNIT_OF: Final[Mapping[str, str]] = {
    "weight_kg": "weight", "length_cm": "length", "depth_m": "depth", "drag_kg": "drag",
    "sea_m": "sea", "water_c": "water",
}  # fmt: skip
"""Slot of a call -> the field of `SaidUnits` that holds its unit."""
WARMEST_C: Final = 45
"""Warmest water in °C; a greater number alone is in °F."""
LONGEST_FT: Final = 12
"""Greatest number of feet; a greater number alone is in inches."""
HALF_A_TENTH_LB: Final = 0.05 / KG_PER_POUND + 0.001
"""By how much a weight in tenths of a kilo may be off what was said, in pounds."""
STEP: Final = 2
"""Values are written in halves, so that what was rounded into metric comes back as it was said."""


def units_of(call: Call) -> SaidUnits:
    """Return the units in which the measures of a call were said."""
    return call.meaning(SaidUnits) or SaidUnits()


def is_bare(call: Call, slot: str) -> bool:
    """Return whether a measure of a correction is a number alone, without its unit."""
    return slot in UNIT_OF and getattr(units_of(call), UNIT_OF[slot]) == BARE


def with_units_of(meant: tuple[Meaning, ...], said: Call) -> tuple[Meaning, ...]:
    """Return the meanings of an entry that takes the measures of `said`, with the units of those."""
    new, slots = units_of(said), said.said()
    units = {unit: getattr(new, unit) for slot, unit in UNIT_OF.items() if slot in slots}
    told = {name: unit for name, unit in units.items() if unit != BARE}
    if units.get("water") == BARE:
        told["water"] = None if slots["water_c"] <= WARMEST_C else "fahrenheit"
    return in_units(meant, replace(meaning(meant, SaidUnits) or SaidUnits(), **told))


def in_units(meant: tuple[Meaning, ...], units: SaidUnits) -> tuple[Meaning, ...]:
    """Return meanings with other units; without any where all are metric."""
    rest = tuple(one for one in meant if not isinstance(one, SaidUnits))
    return (units, *rest) if units != SaidUnits() else rest


def in_units_of(call: Call, said: Call) -> dict[str, float]:
    """Return the numbers alone of a correction as metric values, read in the units of `call`."""
    old = units_of(call)
    return {
        slot: _metric(slot, getattr(old, UNIT_OF[slot]), value)
        for slot, value in said.said().items()
        if is_bare(said, slot)
    }


def _metric(slot: str, unit: str | None, value: float) -> float:
    if slot == "water_c":
        return value if value <= WARMEST_C else round(celsius_of(value), 1)
    if slot == "length_cm" and unit == "foot" and value > LONGEST_FT:
        unit = "inch"
    return round(value * PER[slot].get(unit or "", 1.0), 2 if slot == "sea_m" else 1)


def weight(kg: float, unit: str | None = None) -> str:
    """Return a weight: `20.4 kg`, or `45 lb (20.4 kg)` where pounds were said."""
    metric = f"{kg:g} kg"
    pounds = _as_said(kg / KG_PER_POUND, HALF_A_TENTH_LB)
    return f"{pounds} lb ({metric})" if unit == "pound" else metric


def _as_said(value: float, within: float) -> str:
    """Return a value in halves, or in tenths where no half comes to the metric one that is kept."""
    off = abs(value - round(value * STEP) / STEP)
    return _halves(value) if off <= within else f"{value:.1f}"


def weight_of(kg: float, unit: str | None, count: int | None) -> str:
    """Return the weight of fish that were told together: `2 kg each`; of one it is the weight alone."""
    return f"{weight(kg, unit)} each" if (count or 1) > 1 else weight(kg, unit)


def length(cm: float, unit: str | None = None) -> str:
    """Return a length of a fish: `101.6 cm`, or `40 in (101.6 cm)`, `5 ft 10 in (177.8 cm)`."""
    metric = f"{cm:g} cm"
    match unit:
        case "inch":
            return f"{_halves(cm / CM_PER_INCH)} in ({metric})"
        case "foot":
            return f"{_feet_and_inches(cm)} ({metric})"
        case _:
            return metric


def depth(m: float, unit: str | None = None) -> str:
    """Return a depth of water: `182.9 m deep`, or `600 ft (182.9 m) deep`, `100 fathoms (182.9 m) deep`."""
    metric = f"{m:g} m"
    match unit:
        case "fathom":
            return f"{_halves(m / M_PER_FATHOM)} fathoms ({metric}) deep"
        case "foot":
            return f"{_halves(m / M_PER_FOOT)} ft ({metric}) deep"
        case _:
            return f"{metric} deep"


def sea(m: float, unit: str | None = None) -> str:
    """Return a height of the sea: `1.52 m of sea`, or `5 ft (1.52 m) of sea`."""
    metric = f"{m:g} m"
    beside = f"{_halves(m / M_PER_FOOT)} ft ({metric})" if unit == "foot" else metric
    return f"{beside} of sea"


def warmth(water_c: float, unit: str | None = None) -> str:
    """Return a temperature: `21.7 °C`, or `71 °F (21.7 °C)` where that was said."""
    metric = f"{water_c:g} °C"
    return f"{_halves(fahrenheit_of(water_c))} °F ({metric})" if unit == "fahrenheit" else metric


def measures(call: Call) -> list[str]:
    """Return each measure of a call as it was said: "45 lb (20.4 kg)", "15 kn from the SW", "2 m of sea"."""
    said = units_of(call)
    parts = [length(call.length_cm, said.length)] if call.length_cm is not None else []
    parts += [weight(call.weight_kg, said.weight)] if call.weight_kg is not None else []
    parts += [f"{call.speed_kn:g} kn"] if call.speed_kn is not None else []
    parts += [warmth(call.water_c, said.water)] if call.water_c is not None else []
    parts += [depth(call.depth_m, said.depth)] if call.depth_m is not None else []
    parts += [weight(call.drag_kg, said.drag)] if call.drag_kg is not None else []
    if call.wind_kn is not None or call.wind_from:
        strength = f"{call.wind_kn:g} kn" if call.wind_kn is not None else "wind"
        alone = strength if call.wind_kn is None else f"wind {strength}"
        parts.append(f"{strength} from the {call.wind_from.upper()}" if call.wind_from else alone)
    parts += [sea(call.sea_m, said.sea)] if call.sea_m is not None else []
    if call.tagged:
        parts.append(f"tag {call.tag}" if call.tag else "tagged")
    return parts


def _feet_and_inches(cm: float) -> str:
    halves = round(cm / CM_PER_INCH * STEP)
    feet, rest = divmod(halves, INCHES_PER_FOOT * STEP)
    parts = [f"{feet} ft"] if feet else []
    parts += [f"{rest / STEP:g} in"] if rest or not feet else []
    return " ".join(parts)


def _halves(value: float) -> str:
    return f"{round(value * STEP) / STEP:g}"
