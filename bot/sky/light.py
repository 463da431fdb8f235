"""How light it was at a place and a time, in one word, by how high the sun stood. Pure; the sun by astral."""

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Final, Literal, get_args

Light = Literal["dark", "dawn", "low sun", "day", "dusk"]
LIGHTS: Final[tuple[Light, ...]] = get_args(Light)

DARK_BELOW_DEG: Final = -6.0
"""Civil twilight ends here (the definition of almanacs, e.g. the US Naval Observatory's)."""
UP_FROM_DEG: Final = -50.0 / 60.0
"""The upper limb is on the horizon: 34' of refraction and 16' of radius (the definition of sunrise)."""
HIGH_FROM_DEG: Final = 10.0
"""Above it is day; what is called low sun is common practice, no source."""


@dataclass(frozen=True, slots=True)
class Sun:
    """Where the sun stands, without refraction."""

    elevation_deg: float
    azimuth_deg: float
    """True, from north over east."""

    @property
    def rising(self) -> bool:
        """Return whether it is before its highest stand of the day: the sun is in the east."""
        return self.azimuth_deg < 180.0

    @property
    def light(self) -> Light:
        """Return the light under it."""
        if self.elevation_deg < DARK_BELOW_DEG:
            return "dark"
        if self.elevation_deg < UP_FROM_DEG:
            return "dawn" if self.rising else "dusk"
        return "low sun" if self.elevation_deg < HIGH_FROM_DEG else "day"


def sun_at(latitude: float, longitude: float, at: datetime) -> Sun:
    """Return where the sun stands over a place in degrees at a time (aware)."""
    from astral import Observer
    from astral.sun import zenith_and_azimuth

    here = Observer(latitude, longitude)
    zenith, azimuth = zenith_and_azimuth(here, at.astimezone(UTC), with_refraction=False)
    return Sun(90.0 - zenith, azimuth % 360.0)


def light_at(latitude: float, longitude: float, at: datetime) -> Light:
    """Return the light at a place in degrees and a time (aware)."""
    return sun_at(latitude, longitude, at).light
