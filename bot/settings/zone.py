"""The time zone of this machine, for boats that have set none."""

import warnings

UNKNOWN = "UTC"
"""Where the machine does not say."""


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
