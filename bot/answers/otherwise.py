"""What an instrument reads where the crew calls something else. Pure."""

from collections.abc import Iterable
from typing import Final

from bot.answers.view import View
from bot.replies.amounts import number
from bot.trip.entry import Entry, Record
from bot.trip.measured import news

_OTHERWISE: Final = {
    "water_c": ("thermometer", "°C", 1), "speed_kn": ("speed log", "kn", 1), "depth_m": ("sounder", "m", 0),
}  # fmt: skip
"""Slot -> the instrument, its unit, and the decimals that are worth reading."""


def measured_otherwise(records: Iterable[Record], before: View, after: View) -> list[str]:
    """Return what an instrument reads where the crew calls something else, once a trip."""
    lines = []
    for entry in records:
        if isinstance(entry, Entry):
            for name, (_, measured) in news(entry, before.stood).items():
                instrument, unit, decimals = _OTHERWISE[name]
                reads = f"{number(measured, decimals)} {unit}"
                if name == "water_c":
                    reads = after.units.warmths(measured, measured)
                elif name == "depth_m":
                    reads = after.units.distance(measured)
                lines.append(f"The {instrument} reads {reads}; your call stands.")
    return lines
