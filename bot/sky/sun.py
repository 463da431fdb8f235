"""Sunrise and sunset for a position and a day. Pure; the formulas are those of the library astral."""

from dataclasses import dataclass
from datetime import UTC, date, datetime, tzinfo


@dataclass(frozen=True, slots=True)
class SunTimes:
    """Times (UTC) of one day; None where the sun does not get there on that day."""

    first_light: datetime | None
    """Civil dawn: the sun 6° below the horizon."""
    sunrise: datetime | None
    sunset: datetime | None
    last_light: datetime | None
    """Civil dusk."""


def sun_times(latitude: float, longitude: float, day: date, tz: tzinfo = UTC) -> SunTimes:
    """Return the sun's times of a day of the boat's own calendar at a position in degrees."""
    from astral import Observer
    from astral.sun import dawn, dusk, sunrise, sunset

    here = Observer(latitude, longitude)

    def found(what) -> datetime | None:  # type: ignore[no-untyped-def]
        try:
            at: datetime = what(here, date=day, tzinfo=tz)
        except ValueError:
            return None
        return at.astimezone(UTC)

    return SunTimes(found(dawn), found(sunrise), found(sunset), found(dusk))
