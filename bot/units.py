"""What one of another unit is in ours: the one place where these factors stand.

Pound, yard and what is made of them are exact (international yard and pound agreement, 1959); so are the
nautical mile (1929), the mile (1959) and the fathom, which is two yards.
"""

from collections.abc import Mapping
from typing import Final

KG_PER_POUND: Final = 0.45359237
KG_PER_OUNCE: Final = KG_PER_POUND / 16
KG_PER_STONE: Final = KG_PER_POUND * 14
CM_PER_INCH: Final = 2.54
CM_PER_FOOT: Final = 30.48
CM_PER_YARD: Final = 91.44
CM_PER_M: Final = 100.0
INCHES_PER_FOOT: Final = 12
M_PER_FOOT: Final = 0.3048
M_PER_FATHOM: Final = 1.8288
KN_PER_KMH: Final = 1 / 1.852
KN_PER_MPH: Final = 1.609344 / 1.852
KN_PER_MPS: Final = 3.6 / 1.852

BEHIND: Final = ("small",)
"""The kinds of units that stand behind a larger one: "25 lb 6 oz"."""
PER: Final[Mapping[str, Mapping[str, float]]] = {
    "length_cm": {
        "foot": CM_PER_FOOT, "footer": CM_PER_FOOT, "yard": CM_PER_YARD, "inch": CM_PER_INCH,
        "metre": CM_PER_M, "m": CM_PER_M, "centimetre": 1.0,
    },
    "depth_m": {"fathom": M_PER_FATHOM, "foot": M_PER_FOOT, "metre": 1.0},
    "sea_m": {"foot": M_PER_FOOT, "metre": 1.0},
    "weight_kg": {"pound": KG_PER_POUND, "kilo": 1.0},
    "drag_kg": {"pound": KG_PER_POUND, "kilo": 1.0},
    "stone": {"stone": KG_PER_STONE},
    "small": {"gram": 0.001, "ounce": KG_PER_OUNCE, "pound": KG_PER_POUND, "centimetre": 0.01},
    "gear": {"pound": KG_PER_POUND, "kilo": 1.0},
    "size_in": {"inch": 1.0},
    "size_in_role": {"inch": 1.0, "foot": INCHES_PER_FOOT},
    "speed_kn": {"knot": 1.0},
    "wind_kn": {"metres_per_second": KN_PER_MPS, "kilometres_per_hour": KN_PER_KMH,
             "miles_per_hour": KN_PER_MPH},
    "ago_min": {"hour": 60.0, "minute": 1.0},
    "water_c": {"degree": 1.0, "celsius": 1.0, "fahrenheit": 1 / 1.8},
}  # fmt: skip
"""Slot of a call, or another kind of measure, -> unit -> how many it is of the unit that the slot has.

The words for the units stand under `unit` in grammar/words.toml.
"""


def celsius_of(fahrenheit: float) -> float:
    """Return a temperature in degrees Celsius."""
    return (fahrenheit - 32) / 1.8


def fahrenheit_of(celsius: float) -> float:
    """Return a temperature in degrees Fahrenheit."""
    return celsius * 1.8 + 32
