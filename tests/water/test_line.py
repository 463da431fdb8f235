"""Outside sources: geometry of a cylinder and the lever law (checked turn by turn below); packing limits
pi/4 and pi/(2 sqrt 3) of circles in the plane. That the pull climbs as a spool empties is common knowledge
of the angling press."""

from math import inf, pi, sqrt

import pytest

from bot.tackle.items import Outfit, Spool
from bot.water import line

REEL = Spool(full_radius_mm=60, arbor_radius_mm=25, width_mm=50, line_mm=0.75)


def wound_turn_by_turn(spool: Spool) -> float:
    """Wind square layers of line one turn after the other and add up what is on, in metres."""
    length_mm, radius = 0.0, spool.arbor_radius_mm + spool.line_mm / 2
    while radius + spool.line_mm / 2 <= spool.full_radius_mm + 1e-9:
        length_mm += round(spool.width_mm / spool.line_mm) * 2 * pi * radius
        radius += spool.line_mm
    return length_mm / 1000


@pytest.mark.parametrize(
    ("spool", "metres"),
    [
        (REEL, 740.44),
        (Spool(60, 25, 50, 0.75, pi / 4), 830.78),
        (Spool(60, 25, 50, 0.75, pi / (2 * sqrt(3))), 959.30),
        (Spool(40, 20, 30, 0.50), 403.20),
        (Spool(75, 30, 60, 0.90), 980.00),
    ],
)
def test_a_spool_holds_what_its_room_and_the_packing_say(spool: Spool, metres: float) -> None:
    assert line.capacity_m(spool) == pytest.approx(metres, abs=0.006)


@pytest.mark.parametrize(
    ("full_mm", "width_mm", "line_mm"), [(60.0, 50.0, 0.5), (59.5, 49.5, 0.75), (60.1, 49.5, 0.9)]
)
def test_winding_it_turn_by_turn_gives_the_same(
    full_mm: float, width_mm: float, line_mm: float
) -> None:
    # whole turns and whole layers, so that nothing is lost at the flanges
    spool = Spool(full_mm, 25, width_mm, line_mm, pi / 4)

    assert line.capacity_m(spool) == pytest.approx(wound_turn_by_turn(spool), rel=1e-6)


@pytest.mark.parametrize(
    ("out_m", "radius_mm", "factor"),
    [
        (185.1, 53.444, 1.1227),
        (370.2, 45.962, 1.3054),
        (555.3, 36.997, 1.6218),
        (740.44, 25.0, 2.4),
    ],
)
def test_the_pull_climbs_as_the_spool_empties(
    out_m: float, radius_mm: float, factor: float
) -> None:
    assert line.radius_mm(REEL, out_m) == pytest.approx(radius_mm, abs=0.01)
    assert 60 / line.radius_mm(REEL, out_m) == pytest.approx(factor, abs=5e-4)
    assert line.drag_factor(out_m / 740.44, 25 / 60) == pytest.approx(factor, abs=5e-4)


def test_half_the_line_gone_is_not_half_the_radius() -> None:
    assert line.drag_factor(0.9076, 25 / 60) == pytest.approx(2, abs=1e-3)
    assert line.drag_factor(0.5, 25 / 60) < 1.31


def test_three_quarters_out_turns_thirty_per_cent_into_nearly_half_the_class() -> None:
    after = line.after_run(Outfit("shotgun", 24, spool=REEL), 30, 555.3 - 30)

    assert after is not None
    assert after.share == pytest.approx(0.487, abs=5e-4)
    assert after.left_m == pytest.approx(740.44 - 555.3, abs=0.01)


def test_a_reel_that_is_not_full_starts_from_the_radius_at_which_its_drag_was_set() -> None:
    full, short = (Outfit("shotgun", 24, line_m=m, spool=REEL) for m in (None, 500))

    nothing_out, run = line.after_run(short, 0, 0), line.after_run(short, 0, 300)
    full_run = line.after_run(full, 0, 300)

    assert nothing_out is not None
    assert run is not None
    assert full_run is not None
    assert nothing_out.drag_kg == pytest.approx(7.2)
    assert run.left_m == pytest.approx(200)
    assert run.share > full_run.share


def test_a_reel_known_by_its_line_alone_is_reckoned_with_the_usual_arbor() -> None:
    after = line.after_run(Outfit("shotgun", 24, line_m=740.44), 0, 370.22)

    assert after is not None
    assert after.drag_kg == pytest.approx(7.2 * 1.3054, abs=1e-3)


def test_more_line_than_there_is_means_spooled_by_the_difference() -> None:
    after = line.after_run(Outfit("shotgun", 24, line_m=400), 60, 400)

    assert after is not None
    assert after.left_m == pytest.approx(-60)
    assert after.drag_kg == pytest.approx(7.2 * 2.4)


def test_nothing_is_said_of_a_reel_of_which_nothing_is_known() -> None:
    assert line.after_run(Outfit("shotgun", 24), 50, 300) is None


def test_how_long_until_the_spool_is_empty() -> None:
    assert line.seconds_to_empty(710.4, 8) == pytest.approx(88.8)
    assert line.seconds_to_empty(710.4, 8, -2) == pytest.approx(118.4)
    assert line.seconds_to_empty(710.4, 2, -2) == inf
