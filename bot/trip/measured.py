"""Compare what was measured with what was called of the same water; the call stands. Pure."""

from collections.abc import Sequence
from datetime import timedelta
from typing import Final

from bot.stamps import Stamp
from bot.trip.call import Call
from bot.trip.entry import Entry

OVERRULES_FOR: Final = timedelta(hours=1)
"""How long a called temperature overrules the thermometer; later the boat is in other water."""
DIFFERENT_C: Final = 0.5
DIFFERENT_KN: Final = 0.5
DIFFERENT_DEPTH: Final = 0.1
"""Difference as a share of the depth; common practice, no source, like the two above."""


def water_c(entries: Sequence[Entry]) -> list[float | None]:
    """Return the temperature of the water for each entry in order of time: called, else as measured."""
    found: list[float | None] = []
    called: Entry | None = None
    for entry in entries:
        if entry.call.water_c is not None:
            called = entry
        stands = called is not None and entry.at - called.at <= OVERRULES_FOR
        found.append(called.call.water_c if called and stands else entry.stamp.water_c)
    return found


def differences(call: Call, stamp: Stamp) -> dict[str, tuple[float, float]]:
    """Return where a call differs from the instruments: by slot, the called and the measured value."""
    both = {
        "water_c": (call.water_c, stamp.water_c, DIFFERENT_C),
        "speed_kn": (call.speed_kn, stamp.stw_kn, DIFFERENT_KN),
        "depth_m": (call.depth_m, stamp.depth_m, DIFFERENT_DEPTH * (call.depth_m or 0.0)),
    }
    return {
        name: (called, measured)
        for name, (called, measured, least) in both.items()
        if called is not None and measured is not None and abs(called - measured) >= least
    }


def news(entry: Entry, before: Sequence[Entry]) -> dict[str, tuple[float, float]]:
    """Return the differences of an entry that are new on this trip."""
    told = {name for one in before for name in differences(one.call, one.stamp)}
    found = differences(entry.call, entry.stamp)
    return {name: pair for name, pair in found.items() if name not in told}
