"""Which fixes are worth a point of the track. Pure."""

from datetime import timedelta
from typing import Final

from bot.stamps import Fix
from bot.water.bearing import METRES_A_NM, leg

EVERY: Final = timedelta(seconds=30)
"""A point at least so often under way: at 8 kn every 120 m."""
SOONEST: Final = timedelta(seconds=10)
"""Never more often, whatever the course does."""
STILL_EVERY: Final = timedelta(minutes=5)
"""A point so often where the boat does not move."""
MOVED_M: Final = 15.0
"""What a receiver that lies still may wander."""
FASTEST_KN: Final = 70.0
"""A point that no such boat could have reached is a slip of the receiver, unless it stays there."""
TURNED_DEG: Final = 15.0
UNDER_WAY_KN: Final = 1.0
"""Below this a course over ground is noise."""


def is_worth(last: Fix | None, now: Fix) -> bool:
    """Return whether a fix is to be kept, the last one kept being `last`."""
    if now.place is None:
        return False
    if last is None or last.place is None:
        return True
    since = now.at - last.at
    if since < SOONEST:
        return False
    if since >= STILL_EVERY:
        return True
    way_nm = leg(last.place, now.place).distance_nm
    if way_nm > FASTEST_KN * (since / timedelta(hours=1)):
        return False
    return _turned(last, now) or (since >= EVERY and way_nm * METRES_A_NM >= MOVED_M)


def _turned(last: Fix, now: Fix) -> bool:
    before, after = last.stamp.cog_deg, now.stamp.cog_deg
    if before is None or after is None:
        return False
    if min(last.stamp.sog_kn or 0.0, now.stamp.sog_kn or 0.0) < UNDER_WAY_KN:
        return False
    return abs((after - before + 180) % 360 - 180) >= TURNED_DEG
