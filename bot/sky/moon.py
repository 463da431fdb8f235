"""How much of the moon is lit. Pure; places of sun and moon are those of the library astral.

What is lit follows from them by Meeus, Astronomical Algorithms (2nd ed.), chapter 48. astral's own number of
days in the phase is too coarse for it.
"""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from math import acos, atan2, cos, radians, sin
from typing import Final

KM_A_AU: Final = 149_597_870.7
"""The astronomical unit (IAU 2012, resolution B2)."""
_EARTH_RADIUS_KM: Final = 6378.14
"""In which astral gives the distance of the moon (Van Flandern and Pulkkinen 1979)."""
_LOOK_AHEAD: Final = timedelta(hours=6)


@dataclass(frozen=True, slots=True)
class Moon:
    """The moon at one time, seen from the middle of the earth."""

    lit: float
    """Share of the disc that is lit, 0 to 1."""
    waxing: bool

    @property
    def name(self) -> str:
        """Name the phase, by the share that is lit (which shares are called what: common practice)."""
        if self.lit < 0.02:
            return "new moon"
        if self.lit > 0.98:
            return "full moon"
        return "waxing" if self.waxing else "waning"


def moon(at: datetime) -> Moon:
    """Return how the moon is lit at a time (aware)."""
    lit = _lit(at)
    return Moon(lit, _lit(at + _LOOK_AHEAD) > lit)


def _lit(at: datetime) -> float:
    """Return the share that is lit: (1 + cos i) / 2, i the angle at the moon (Meeus 48.1 to 48.3)."""
    from astral import sun
    from astral.julian import julianday, julianday_2000, julianday_to_juliancentury
    from astral.moon import moon_position

    utc = at.astimezone(UTC)
    century = julianday_to_juliancentury(julianday(utc))
    there = moon_position(julianday_2000(utc))
    sun_ra, sun_dec = (
        radians(sun.sun_rt_ascension(century)),
        radians(sun.sun_declination(century)),
    )
    apart = acos(
        sin(sun_dec) * sin(there.declination)
        + cos(sun_dec) * cos(there.declination) * cos(sun_ra - there.right_ascension)
    )
    sun_km = sun.sun_rad_vector(century) * KM_A_AU
    moon_km = there.distance * _EARTH_RADIUS_KM
    angle = atan2(sun_km * sin(apart), moon_km - sun_km * cos(apart))
    return (1 + cos(angle)) / 2
