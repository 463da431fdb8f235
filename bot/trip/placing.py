"""Choose where something happened, from a shared place and one from the instruments. Pure."""

from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Final

from bot.stamps import NO_STAMP, Fix, Stamp

Place = tuple[float, float]

STILL_THERE: Final = timedelta(minutes=2)
"""Age beyond which an event happened elsewhere, because the boat has moved on."""
DRIFT_M_PER_S: Final = 4.0
"""Error that a measured place gains each second: that of a boat that trolls at 8 kn."""
USUAL_WITHIN_M: Final = 10.0
"""Error of a place that states none: a receiver under the open sky (from memory)."""


@dataclass(frozen=True, slots=True)
class Shared:
    """A place that somebody aboard shared."""

    place: Place
    at: datetime
    """When the phone was there."""


def placed(
    at: datetime, said_at: datetime, shared: Shared | None, fix: Fix | None
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
