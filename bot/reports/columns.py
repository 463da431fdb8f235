"""What kind of value each column of an export holds: one table for all forms. Pure."""

from collections.abc import Mapping
from typing import Any, Final, Literal

Kind = Literal["text", "number", "whole", "flag", "time"]

KIND: Final[Mapping[str, Kind]] = {
    "id": "text", "trip": "text", "at": "time", "act": "text", "position": "text", "lure": "text",
    "size_in": "number", "colours": "text", "species": "text", "count": "whole", "length_cm": "number",
    "weight_kg": "number", "crew": "text", "source": "text", "text": "text", "side": "text", "head": "text",
    "what": "text", "angler": "text", "tagged": "flag", "tag": "text", "tray": "text", "speed_kn": "number",
    "water_c": "number", "depth_m": "number", "drag_kg": "number", "wind_kn": "number", "wind_from": "text",
    "sea_m": "number", "void": "flag", "at_local": "text", "remark": "text", "place_from": "text",
    "cog_deg": "number", "sog_kn": "number", "stw_kn": "number", "heading_deg": "number",
    "measured_c": "number", "measured_m": "number", "light": "text", "latitude": "number",
    "longitude": "number",
}  # fmt: skip
"""Kinds of all columns; `time` is ISO 8601 in UTC, `at_local` the same in the boat's own time."""


def column_value(name: str, value: Any) -> Any:
    """Return a value as its column holds it; None stays."""
    if value is None:
        return None
    kind = KIND[name]
    if kind == "number":
        return float(value)
    if kind in ("whole", "flag"):
        return int(value)
    return str(value)
