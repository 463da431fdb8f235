"""Where and in what water something happened, as it was measured, not called: plain values.

Angles are true, in degrees from north over east; speeds in knots, temperatures in °C, depths in metres below
the surface, as far as the sounder knows where that is. None stands for what nothing measured.
"""

from collections.abc import Callable
from dataclasses import dataclass, fields
from datetime import datetime
from typing import Final, Literal

PlaceFrom = Literal["instruments", "shared"]


@dataclass(frozen=True, slots=True)
class Stamp:
    """What goes with an entry besides its place."""

    place_from: PlaceFrom | None = None
    """Whose place it is: the boat's instruments', or one that was shared from a phone."""
    cog_deg: float | None = None
    """Course over ground."""
    sog_kn: float | None = None
    """Speed over ground."""
    stw_kn: float | None = None
    """Speed through the water."""
    heading_deg: float | None = None
    water_c: float | None = None
    depth_m: float | None = None


NO_STAMP: Final = Stamp()
MEASURED_FIELDS: Final = tuple(f.name for f in fields(Stamp) if f.name != "place_from")


@dataclass(frozen=True, slots=True)
class Fix:
    """What the instruments say at a time."""

    at: datetime
    latitude: float | None = None
    longitude: float | None = None
    place_age_s: float = 0.0
    """How long before `at` the place was measured."""
    within_m: float | None = None
    """How far off it may be, where the receiver says so."""
    stamp: Stamp = NO_STAMP

    @property
    def place(self) -> tuple[float, float] | None:
        """Return latitude and longitude in degrees, where both are known."""
        if self.latitude is None or self.longitude is None:
            return None
        return self.latitude, self.longitude


FixAt = Callable[[datetime], Fix | None]
"""Return what was measured at a time; None where nothing was."""


def nothing_measured(_: datetime) -> Fix | None:
    """Return no fix: a boat without instruments."""
    return None
