"""How many of our own units one of another unit is: the one place where these factors stand.

Pound, yard and what is made of them are exact (international yard and pound agreement, 1959), so are the
nautical and the international mile (1929, 1959); the fathom is two yards.
"""

from typing import Final

KG_PER_POUND: Final = 0.45359237
KG_PER_STONE: Final = 14 * KG_PER_POUND
KG_PER_OUNCE: Final = KG_PER_POUND / 16
M_PER_FOOT: Final = 0.3048
M_PER_FATHOM: Final = 1.8288
CM_PER_M: Final = 100.0
CM_PER_INCH: Final = 2.54
CM_PER_FOOT: Final = 12 * CM_PER_INCH
CM_PER_YARD: Final = 3 * CM_PER_FOOT
INCHES_PER_FOOT: Final = 12


def celsius(fahrenheit: float) -> float:
    """Return a temperature in degrees Celsius."""
    return (fahrenheit - 32) / 1.8


def fahrenheit(celsius: float) -> float:
    """Return a temperature in degrees Fahrenheit."""
    return celsius * 1.8 + 32
