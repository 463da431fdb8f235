"""Sea water and the units that the formulas of this package share.

One density will do: from 0 to 30 degrees it changes drag by under 1 % (TEOS-10), the shape of a lure
by a factor of two.
"""

from typing import Final

KNOT_MS: Final = 1852 / 3600
"""Metres a second in a knot; exact (BIPM, SI Brochure)."""
GRAVITY_MS2: Final = 9.80665
"""Standard gravity; exact (CGPM 1901)."""
DENSITY_KG_M3: Final = 1025.0
"""Surface water of the open sea, 15 to 25 degrees (TEOS-10: 1026.0 to 1023.3)."""
VISCOSITY_M2_S: Final = 1.054e-6
"""Kinematic, salt water at 20 degrees (Introduction to Naval Architecture, table 5.1)."""


def speed_ms(speed_kn: float) -> float:
    """Return a speed in metres a second."""
    return speed_kn * KNOT_MS


def dynamic_pressure_pa(speed_kn: float) -> float:
    """Return half rho V squared, in pascals."""
    return 0.5 * DENSITY_KG_M3 * speed_ms(speed_kn) ** 2


def kgf(newtons: float) -> float:
    """Return a force in kilograms-force, the unit of drag scales."""
    return newtons / GRAVITY_MS2
