"""A number of a table of lures with its unit beside it: "400 lb", "15 ft", 14". Pure."""

import re
from collections.abc import Mapping
from typing import Final

_CELL: Final = re.compile(r"(\d+(?:[.,]\d+)?)\s*([a-z]*|[\"'\u2033\u2032])\.?", re.I)
_LB: Final = 0.45359237
_FT: Final = 0.3048
_IN_CM: Final = 2.54
"""Pound, foot and inch, exactly (international yard and pound agreement, 1959)."""
_LENGTHS_M: Final = {
    "m": 1.0, "cm": 0.01, "ft": _FT, "foot": _FT, "feet": _FT, "'": _FT, "\u2032": _FT,
    "in": _IN_CM / 100, "inch": _IN_CM / 100, "inches": _IN_CM / 100,
}  # fmt: skip
_SIZES_IN: Final = {
    "in": 1.0, "inch": 1.0, "inches": 1.0, '"': 1.0, "\u2033": 1.0, "cm": 1 / _IN_CM,
}  # fmt: skip
_WEIGHTS_KG: Final = {"kg": 1.0, "kgs": 1.0, "lb": _LB, "lbs": _LB, "pounds": _LB}
_UNITS: Final[Mapping[str, Mapping[str, float]]] = {
    "size_in": _SIZES_IN,
    "leader_kg": _WEIGHTS_KG,
    "leader_m": _LENGTHS_M,
    "speed_min_kn": {"kn": 1.0, "knots": 1.0, "kts": 1.0},
    "speed_max_kn": {"kn": 1.0, "knots": 1.0, "kts": 1.0},
}


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
