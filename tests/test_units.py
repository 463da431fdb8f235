"""Factors of units against pint, whose registry has them from NIST and the BIPM."""

import pint
import pytest

from bot.units import PER, celsius_of, fahrenheit_of

UNITS: pint.UnitRegistry[float] = pint.UnitRegistry()
OURS = {
    "length_cm": "cm", "depth_m": "m", "sea_m": "m", "weight_kg": "kg", "drag_kg": "kg", "stone": "kg",
    "gear": "kg", "size_in": "inch", "size_in_role": "inch", "speed_kn": "knot", "wind_kn": "knot",
    "ago_min": "minute",
}  # fmt: skip
"""Kind -> the unit that the log has."""
THEIRS = {
    "footer": "foot", "kilo": "kg", "m": "metre", "metres_per_second": "m/s",
    "kilometres_per_hour": "km/hour", "miles_per_hour": "mile/hour",
}  # fmt: skip
"""Our name -> theirs, where it is another."""


@pytest.mark.parametrize(("kind", "unit"), [(kind, unit) for kind in OURS for unit in PER[kind]])
def test_a_factor_is_the_one_of_the_standard(kind: str, unit: str) -> None:
    theirs = UNITS.Quantity(1.0, THEIRS.get(unit, unit)).to(OURS[kind]).magnitude

    assert PER[kind][unit] == pytest.approx(theirs, rel=1e-5)


def test_what_is_not_compared_is_a_smaller_unit_or_a_degree() -> None:
    assert PER.keys() - OURS.keys() == {"small", "water_c"}
    assert PER["small"]["ounce"] * 16 == pytest.approx(PER["weight_kg"]["pound"])


def test_water_freezes_and_boils_where_it_should() -> None:
    assert [celsius_of(32), celsius_of(212)] == pytest.approx([0, 100])
    assert fahrenheit_of(celsius_of(71)) == pytest.approx(71)
