"""A measure in the unit in which it was said, the metric one beside it: "45 lb (20.4 kg)". Pure.

The log and the contract hold metric values; which units were said the call language tells.
"""

from collections.abc import Set
from typing import Final

from bot.trip.call import Call

KG_PER_POUND: Final = 0.45359237
CM_PER_INCH: Final = 2.54
CM_PER_FOOT: Final = 30.48
"""Pound, inch and foot, exactly (international yard and pound agreement, 1959)."""
M_PER_FATHOM: Final = 1.8288
Units = Set[str]
"""Units that were said: `lb`, `in`, `ft`, `fathoms`; a figure that may be degrees as `71 °F`."""
NONE: Final[Units] = frozenset()
STEP: Final = 2
"""Values are said in halves: what was rounded on its way into metric comes back as it was said."""


def weight(kg: float, said: Units) -> str:
    """Return a weight: `20.4 kg`, or `45 lb (20.4 kg)` where pounds were said."""
    return _beside(f"{kg:g} kg", kg / KG_PER_POUND, "lb", said)


def length(cm: float, said: Units) -> str:
    """Return a length of a fish: `101.6 cm`, or `40 in (101.6 cm)` where inches were said, feet alike."""
    metric = f"{cm:g} cm"
    if "ft" in said and cm >= CM_PER_FOOT:
        return _beside(metric, cm / CM_PER_FOOT, "ft", said)
    return _beside(metric, cm / CM_PER_INCH, "in", said)


def depth(m: float, said: Units) -> str:
    """Return a depth of water: `182.9 m deep`, or `600 ft (182.9 m) deep`."""
    if "fathoms" in said:
        return f"{_beside(f'{m:g} m', m / M_PER_FATHOM, 'fathoms', said)} deep"
    return f"{_beside(f'{m:g} m', 100 * m / CM_PER_FOOT, 'ft', said)} deep"


def sea(m: float, said: Units) -> str:
    """Return a height of the sea: `1.52 m of sea`, or `5 ft (1.52 m) of sea`."""
    return f"{_beside(f'{m:g} m', 100 * m / CM_PER_FOOT, 'ft', said)} of sea"


def warmth(celsius: float, said: Units) -> str:
    """Return a temperature: `21.7 °C`, or `71 °F (21.7 °C)` where that figure was said."""
    fahrenheit = f"{_said(celsius * 1.8 + 32)} °F"
    metric = f"{celsius:g} °C"
    return f"{fahrenheit} ({metric})" if fahrenheit in said else metric


def measures(call: Call, said: Units = NONE) -> list[str]:
    """Return each measure of a call, in the units of `said`: "58 kg", "15 kn from the SW", "2 m of sea"."""
    parts = [length(call.length_cm, said)] if call.length_cm is not None else []
    parts += [weight(call.weight_kg, said)] if call.weight_kg is not None else []
    parts += [f"{call.speed_kn:g} kn"] if call.speed_kn is not None else []
    parts += [warmth(call.water_c, said)] if call.water_c is not None else []
    parts += [depth(call.depth_m, said)] if call.depth_m is not None else []
    parts += [weight(call.drag_kg, said)] if call.drag_kg is not None else []
    if call.wind_kn is not None or call.wind_from:
        strength = f"{call.wind_kn:g} kn" if call.wind_kn is not None else "wind"
        parts.append(
            f"{strength} from the {call.wind_from.upper()}" if call.wind_from else strength
        )
    parts += [sea(call.sea_m, said)] if call.sea_m is not None else []
    if call.tagged:
        parts.append(f"tag {call.tag}" if call.tag else "tagged")
    return parts


def _beside(metric: str, value: float, unit: str, said: Units) -> str:
    return f"{_said(value)} {unit} ({metric})" if unit in said else metric


def _said(value: float) -> str:
    return f"{round(value * STEP) / STEP:g}"
