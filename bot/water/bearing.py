"""Distance and bearing from one place on the earth to another. Numbers only.

On the WGS 84 ellipsoid, by Karney's method (C. F. F. Karney, "Algorithms for geodesics", J. Geodesy 87,
2013), as the library geographiclib has it.
"""

from dataclasses import dataclass
from typing import Final

from geographiclib.geodesic import Geodesic

METRES_A_NM: Final = 1852.0
"""The international nautical mile (BIPM, SI Brochure; Monaco 1929)."""


@dataclass(frozen=True, slots=True)
class Leg:
    """The straight way between two places."""

    distance_nm: float
    bearing_deg: float
    """True, at the place where one starts; 0 to below 360. 0 where both places are one."""


def leg(start: tuple[float, float], end: tuple[float, float]) -> Leg:
    """Return the way between two places, each latitude and longitude in degrees, north and east positive."""
    found = Geodesic.WGS84.Inverse(*start, *end, Geodesic.DISTANCE | Geodesic.AZIMUTH)
    metres = float(found["s12"])
    bearing_deg = float(found["azi1"]) % 360.0 if metres > 0 else 0.0
    return Leg(metres / METRES_A_NM, bearing_deg)
