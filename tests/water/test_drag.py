"""Outside sources: TEOS-10 through gsw (density); drag equation and coefficients of the handbooks
(Aeronautical Engineer's Data Book, fig. 5.13; Cengel & Cimbala, tables 11-1 and 11-2); ITTC 1957 line;
pint for units. A load is uncertain by a factor of two, so only order, scaling and bounds are asserted,
and that the figures are those of a hand calculation by the same published formulas."""

import gsw  # type: ignore[import-untyped]
import pint
import pytest
from hypothesis import given, strategies as st

from bot.tackle.items import HEADS, Lure
from bot.water import drag, sea

SIZES = st.floats(4, 16)
SPEEDS = st.floats(2, 14)


def lure(size_in: float, head: str | None = None) -> Lure:
    return Lure("Mug", size_in, ("red",), head)  # type: ignore[arg-type]


@pytest.mark.parametrize("water_c", [15, 20, 25, 28])
def test_the_one_density_is_within_half_a_per_cent_of_teos_10(water_c: float) -> None:
    salinity = 35.16504  # g/kg, reference composition
    surface = gsw.rho(salinity, gsw.CT_from_t(salinity, water_c, 0), 0)

    assert pytest.approx(float(surface), rel=5e-3) == sea.DENSITY_KG_M3


@pytest.mark.parametrize(("speed_kn", "pascals"), [(6, 4882.8), (8, 8680.6), (10, 13563.5)])
def test_the_dynamic_pressure_is_half_rho_v_squared(speed_kn: float, pascals: float) -> None:
    units: pint.UnitRegistry[float] = pint.UnitRegistry()
    speed = units.Quantity(speed_kn, "knot")
    by_units = (0.5 * units.Quantity(1025, "kg/m^3") * speed**2).to("pascal").magnitude

    assert sea.dynamic_pressure_pa(speed_kn) == pytest.approx(by_units)
    assert sea.dynamic_pressure_pa(speed_kn) == pytest.approx(pascals, abs=0.06)


def test_kilograms_force_are_those_of_a_units_library() -> None:
    units: pint.UnitRegistry[float] = pint.UnitRegistry()

    assert sea.kgf(98.1) == pytest.approx(
        units.Quantity(98.1, "newton").to("force_kilogram").magnitude
    )


def test_the_range_of_shapes_is_that_of_the_handbooks() -> None:
    # round nose of a solid hemisphere 0.40; open cup of a hollow one 1.42 (confirmed in both handbooks)
    assert drag.HEAD_CD[None][0] == 0.40
    assert drag.HEAD_CD[None][2] == 1.42
    # cones of 30 and 60 degrees, 0.34 and 0.51; cylinder end-on, two diameters long, 0.85
    assert drag.HEAD_CD["slim"][:2] == (0.34, 0.51)
    assert drag.HEAD_CD[None][1] == 0.85


@pytest.mark.parametrize(
    ("size_in", "kg"), [(6, (0.06, 0.13, 0.22)), (10, (0.25, 0.53, 0.89)), (14, (0.59, 1.25, 2.09))]
)
def test_a_head_at_eight_knots_pulls_what_the_sum_by_hand_says(
    size_in: float, kg: tuple[float, float, float]
) -> None:
    load = drag.head_load(size_in, 8)

    assert (load.low_kg, load.nominal_kg, load.high_kg) == pytest.approx(kg, abs=0.006)


def test_the_head_scales_with_the_squares_of_speed_and_width() -> None:
    def nominal(size_in: float, speed_kn: float) -> float:
        return drag.head_load(size_in, speed_kn).nominal_kg

    assert nominal(10, 8) / nominal(10, 4) == pytest.approx(4)
    assert nominal(10, 10) / nominal(10, 6) == pytest.approx(2.7778, abs=1e-4)
    assert nominal(14, 8) / nominal(6, 8) == pytest.approx((46 / 15) ** 2)


@pytest.mark.parametrize(("speed_kn", "kg"), [(6, 0.090), (8, 0.160), (10, 0.250)])
def test_a_leader_along_the_stream_pulls_what_the_sum_by_hand_says(
    speed_kn: float, kg: float
) -> None:
    assert drag.line_kg(4.5, 2.0, speed_kn) == pytest.approx(kg, abs=1.5e-3)


@pytest.mark.parametrize(("reynolds", "friction"), [(1e6, 0.0046875), (1e7, 0.003)])
def test_friction_is_that_of_the_towing_tanks(reynolds: float, friction: float) -> None:
    assert drag.plate_friction(reynolds) == pytest.approx(friction, rel=1e-12)  # ITTC 1957


@given(SIZES, SPEEDS, st.sampled_from((None, *HEADS)))
def test_low_nominal_and_high_stand_in_that_order(
    size_in: float, speed_kn: float, head: str | None
) -> None:
    load = drag.towing_load(lure(size_in, head), speed_kn)
    unknown = drag.towing_load(lure(size_in), speed_kn)

    assert 0 < load.low_kg < load.nominal_kg < load.high_kg
    assert load.high_kg <= unknown.high_kg


@given(SIZES, SPEEDS)
def test_a_larger_or_a_faster_lure_pulls_harder(size_in: float, speed_kn: float) -> None:
    load = drag.towing_load(lure(size_in), speed_kn).nominal_kg

    assert drag.towing_load(lure(size_in + 1), speed_kn).nominal_kg > load
    assert drag.towing_load(lure(size_in), speed_kn + 0.5).nominal_kg > load


def test_a_slim_head_pulls_least_and_a_cup_most() -> None:
    # common practice, no source; the handbooks' cones and cups say the same
    pulls = [
        drag.towing_load(lure(10, head), 8).nominal_kg
        for head in ("slim", "slanted", "blunt", "cupped")
    ]

    assert pulls == sorted(pulls)
    assert pulls[0] < pulls[1]


def test_a_long_leader_pulls_harder_than_a_short_one() -> None:
    short, long = (Lure("Mug", 10, ("red",), leader_m=m) for m in (3, 9))

    assert drag.towing_load(short, 8).nominal_kg < drag.towing_load(long, 8).nominal_kg


def test_the_heads_of_the_table_and_between_and_beyond() -> None:
    sizes = (2, 6, 7, 8, 14, 18)

    assert [drag.head_mm(size) for size in sizes] == pytest.approx([6, 15, 18.5, 22, 46, 62])
