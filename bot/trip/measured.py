"""What was measured: where something happened, and what differs from what was called of the same water.

Of a shared place and one from the instruments that with the smaller error counts; a call stands against what
is measured. Pure.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Final

from bot.stamps import NO_STAMP, Fix, Stamp
from bot.trip.call import Call
from bot.trip.entry import Entry, Place

OVERRULES_FOR: Final = timedelta(hours=1)
"""How long a called temperature overrules the thermometer; later the boat is in other water."""
DIFFERENT_C: Final = 0.5
DIFFERENT_KN: Final = 0.5
DIFFERENT_DEPTH: Final = 0.1
"""Difference as a share of the depth; common practice, no source, like the two above."""
STILL_THERE: Final = timedelta(minutes=2)
"""Age beyond which an event happened elsewhere, because the boat has moved on."""
DRIFT_M_PER_S: Final = 4.0
"""Error that a measured place gains each second: that of a boat that trolls at 8 kn."""
USUAL_WITHIN_M: Final = 10.0
"""Error of a place that states none: a receiver under the open sky (from memory)."""


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


@dataclass(frozen=True, slots=True)
class SharedPlace:
    """A place that somebody aboard shared."""

    place: Place
    at: datetime
    """When the phone was there."""


def place_event(
    at: datetime, said_at: datetime, shared: SharedPlace | None, fix: Fix | None
) -> tuple[Place | None, Stamp]:
    """Return place and stamp of an event; of two places the one with the smaller error counts.

    A shared place only counts for what happened when it was said, or just before.
    """
    stamp = replace(fix.stamp, place_from=None) if fix is not None else NO_STAMP
    found: list[tuple[float, Place, Stamp]] = []
    if fix is not None and fix.place is not None:
        within_m = USUAL_WITHIN_M if fix.within_m is None else fix.within_m
        off_m = within_m + fix.place_age_s * DRIFT_M_PER_S
        found.append((off_m, fix.place, replace(stamp, place_from="instruments")))
    if shared is not None and said_at - at <= STILL_THERE:
        off_m = USUAL_WITHIN_M + abs((at - shared.at).total_seconds()) * DRIFT_M_PER_S
        found.append((off_m, shared.place, replace(stamp, place_from="shared")))
    if not found:
        return None, stamp
    _, place, whole = min(found, key=lambda one: one[0])
    return place, whole
