"""A measure in the unit in which it was said, the metric one beside it: "45 lb (20.4 kg)". Pure.

The log and the contract hold metric values; which unit was said is read off the words that the entry keeps.
"""

import re
from typing import Final

from bot.trip.call import Call

KG_PER_POUND: Final = 0.45359237
CM_PER_INCH: Final = 2.54
CM_PER_FOOT: Final = 30.48
"""Pound, inch and foot, exactly (international yard and pound agreement, 1959)."""
M_PER_FATHOM: Final = 1.8288
STEP: Final = 2
"""Values are said in halves: what was rounded on its way into metric comes back as it was said."""

_POUNDS: Final = re.compile(r"(?<![a-z])(?:lbs?|pounds?|pounders?)\b", re.I)
_INCHES: Final = re.compile(r"(?<![a-z])(?:inch(?:es|er)?|ins?)\b|[\d ]\"", re.I)
_FEET: Final = re.compile(r"(?<![a-z])(?:feet|foot|footer|ft)\b", re.I)
_FATHOMS: Final = re.compile(r"(?<![a-z])fathoms?\b", re.I)
_METRIC: Final = re.compile(r"(?<![a-z])(?:kilos?|kgs?|met(?:re|er)s?|cms?)\b", re.I)


def weight(kg: float, said: str) -> str:
    """Return a weight: `20.4 kg`, or `45 lb (20.4 kg)` where pounds were said."""
    return _beside(f"{kg:g} kg", kg / KG_PER_POUND, "lb", _POUNDS, said)


def length(cm: float, said: str) -> str:
    """Return a length of a fish: `101.6 cm`, or `40 in (101.6 cm)` where inches were said, feet alike."""
    metric = f"{cm:g} cm"
    if _FEET.search(said) and cm >= CM_PER_FOOT:
        return _beside(metric, cm / CM_PER_FOOT, "ft", _FEET, said)
    return _beside(metric, cm / CM_PER_INCH, "in", _INCHES, said)


def depth(m: float, said: str) -> str:
    """Return a depth of water: `182.9 m deep`, or `600 ft (182.9 m) deep`."""
    if _FATHOMS.search(said):
        return f"{_beside(f'{m:g} m', m / M_PER_FATHOM, 'fathoms', _FATHOMS, said)} deep"
    return f"{_beside(f'{m:g} m', 100 * m / CM_PER_FOOT, 'ft', _FEET, said)} deep"


def sea(m: float, said: str) -> str:
    """Return a height of the sea: `1.52 m of sea`, or `5 ft (1.52 m) of sea`."""
    return f"{_beside(f'{m:g} m', 100 * m / CM_PER_FOOT, 'ft', _FEET, said)} of sea"


def warmth(celsius: float, said: str) -> str:
    """Return a temperature: `21.7 °C`, or `71 °F (21.7 °C)` where that figure was said."""
    fahrenheit = _said(celsius * 1.8 + 32)
    metric = f"{celsius:g} °C"
    figures = re.findall(r"\d+(?:\.\d+)?", said)
    return f"{fahrenheit} °F ({metric})" if fahrenheit in figures else metric


def measures(call: Call, said: str = "") -> list[str]:
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


def _beside(metric: str, value: float, unit: str, wanted: re.Pattern[str], said: str) -> str:
    if not wanted.search(said) or _METRIC.search(said):
        return metric
    return f"{_said(value)} {unit} ({metric})"


def _said(value: float) -> str:
    return f"{round(value * STEP) / STEP:g}"
