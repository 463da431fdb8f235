"""A number of a table of lures with its unit beside it: "400 lb", "15 ft", 14". Pure."""

import re
from collections.abc import Mapping
from typing import Final

from bot.units import CM_PER_INCH, CM_PER_M, KG_PER_POUND, M_PER_FOOT

_CELL: Final = re.compile(r"(\d+(?:[.,]\d+)?)\s*([a-z]*|[\"'\u2033\u2032])\.?", re.I)
_LENGTHS_M: Final = {
    "m": 1.0, "cm": 0.01, "ft": M_PER_FOOT, "foot": M_PER_FOOT, "feet": M_PER_FOOT, "'": M_PER_FOOT,
    "\u2032": M_PER_FOOT,
    "in": CM_PER_INCH / CM_PER_M, "inch": CM_PER_INCH / CM_PER_M, "inches": CM_PER_INCH / CM_PER_M,
}  # fmt: skip
_SIZES_IN: Final = {
    "in": 1.0, "inch": 1.0, "inches": 1.0, '"': 1.0, "\u2033": 1.0, "cm": 1 / CM_PER_INCH,
}  # fmt: skip
_WEIGHTS_KG: Final = {
    "kg": 1.0,
    "kgs": 1.0,
    "lb": KG_PER_POUND,
    "lbs": KG_PER_POUND,
    "pounds": KG_PER_POUND,
}
_UNITS: Final[Mapping[str, Mapping[str, float]]] = {
    "size_in": _SIZES_IN,
    "leader_kg": _WEIGHTS_KG,
    "leader_m": _LENGTHS_M,
    "speed_min_kn": {"kn": 1.0, "knots": 1.0, "kts": 1.0},
    "speed_max_kn": {"kn": 1.0, "knots": 1.0, "kts": 1.0},
}


def without_inch_marks(line: str, separator: str) -> str:
    """Return a line of a table with inch marks behind numbers written out, in cells without quotes: 14 in."""
    mark = rf'((?:^|{separator})[^"{separator}]*\d)\s*"(?=\s*(?:{separator}|$))'
    return re.sub(mark, r"\1 in", line)


def with_unit(cell: str, column: str) -> float | None:
    """Return the number of a cell in the unit of its column; None where it is none, or in another unit."""
    found = _CELL.fullmatch(cell.strip()) if cell.isascii() or not cell.isalnum() else None
    if found is None or not found[1].isascii():
        return None
    value = float(found[1].replace(",", "."))
    if not found[2]:
        return value
    factor = _UNITS.get(column, {}).get(found[2].casefold())
    return None if factor is None else round(value * factor, 2)
