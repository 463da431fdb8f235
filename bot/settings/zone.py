"""The time zone of this machine, for boats that have set none."""

import warnings
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo, available_timezones

UNKNOWN = "UTC"
"""Where the machine does not say."""
FAR_DEG = 60.0
"""Degrees of longitude between a place and the middle of its time zone from which a wrong sign is likely."""
DEG_PER_HOUR = 15.0


def machine_zone() -> str:
    """Return the name of the machine's time zone (IANA), UTC where it has none or one that nobody knows."""
    import tzlocal

    with warnings.catch_warnings():
        warnings.simplefilter(
            "ignore"
        )  # of settings that contradict each other: the first one counts
        try:
            name = tzlocal.get_localzone_name()
        except (LookupError, ValueError, OSError):
            return UNKNOWN
    return UNKNOWN if not name or name == "local" else str(name)


def is_far(longitude: float, timezone: str) -> bool:
    """Return whether a longitude in degrees, east positive, is far from where a time zone lies."""
    if timezone not in available_timezones():
        return False
    offset = datetime(2024, 1, 15, tzinfo=ZoneInfo(timezone)).utcoffset()
    if not offset:
        return False
    middle = offset / timedelta(hours=1) * DEG_PER_HOUR
    return abs((longitude - middle + 180) % 360 - 180) > FAR_DEG
