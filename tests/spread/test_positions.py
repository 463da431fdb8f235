"""Order and sides of positions: common practice, no source (reference, practice 8 and 20). Distances: the
Kelvin wave length at whole knots, reckoned apart from this code."""

from itertools import pairwise

import pytest

from bot.spread.positions import (
    distances_m,
    in_order,
    is_long,
    is_short,
    places,
    waves,
)
from bot.water.wake import crew_count

USUAL = ("short corner", "long corner", "short rigger", "long rigger", "shotgun")


def test_the_order_back_from_the_boat_is_that_of_practice() -> None:
    # practice fact 8: common practice, no source
    assert (
        in_order(("shotgun", "long rigger", "short corner", "short rigger", "long corner")) == USUAL
    )


@pytest.mark.parametrize("speed_kn", [4, 5, 6, 7, 8, 9, 10, 12])
def test_each_next_position_runs_farther_back(speed_kn: float) -> None:
    # practice fact 8: common practice, no source
    back = [distances_m(USUAL, speed_kn)[position] for position in USUAL]

    assert all(near + 5 < far for near, far in pairwise(back))
    assert back[0] >= 12


def test_short_and_long_run_on_opposite_sides() -> None:
    # practice fact 8: common practice, no source
    across = {place.position: place.across_m for place in places(USUAL)}

    assert across["short corner"] * across["long corner"] < 0
    assert across["short rigger"] * across["long rigger"] < 0
    assert across["shotgun"] == 0


def test_port_is_left_and_starboard_right_looking_forward() -> None:
    # practice fact 20: common practice, no source; a deckhand facing aft has port on the right hand
    across = {p.position: p.across_m for p in places(("port rigger", "starboard rigger"))}

    assert across["port rigger"] < 0 < across["starboard rigger"]


def test_corners_run_closer_to_the_middle_than_riggers() -> None:
    out = {place.position: abs(place.across_m) for place in places(USUAL)}

    assert out["short corner"] < out["short rigger"]
    assert out["long corner"] < out["long rigger"]


def test_a_position_of_the_boats_own_follows_the_one_before_it_in_the_list() -> None:
    assert in_order(("short corner", "bridge rod", "shotgun", "long corner")) == (
        "short corner", "bridge rod", "long corner", "shotgun",
    )  # fmt: skip


def test_another_corner_or_rigger_stands_among_its_kind() -> None:
    found = in_order((*USUAL, "port corner", "starboard rigger"))

    assert found.index("port corner") < found.index("short rigger")
    assert found.index("short rigger") < found.index("starboard rigger") < found.index("shotgun")


def test_nine_positions_have_nine_waves() -> None:
    nine = (*USUAL, "port corner", "starboard corner", "port rigger", "starboard rigger")

    assert len(set(waves(nine, 8).values())) == 9


def test_at_eight_knots_the_short_corner_is_on_the_face_of_the_second_wave() -> None:
    # face of wave 2 = 1.75 wave lengths; wave length at 8 knots 10.852 m
    assert waves(USUAL, 8) == dict(zip(USUAL, (2, 3, 4, 5, 7), strict=True))
    assert distances_m(USUAL, 8)["short corner"] == pytest.approx(1.75 * 10.852, abs=0.01)
    assert distances_m(USUAL, 8)["shotgun"] == pytest.approx(6.75 * 10.852, abs=0.01)


def test_what_the_crew_said_moves_every_position() -> None:
    count = crew_count(14, 2, 8)

    told = distances_m(USUAL, 8, count)

    assert told["short corner"] == pytest.approx(14)
    assert told["long corner"] == pytest.approx(14 + 10.852, abs=0.01)


def test_the_nearer_half_is_short_and_the_farther_half_long() -> None:
    five = places(USUAL)

    assert [is_short(place, 5) for place in five] == [True, True, False, False, False]
    assert [is_long(place, 5) for place in five] == [False, False, False, True, True]
