"""Rules that need the water or the whole spread. Outside sources: drag equation and spool geometry (see
tests/water); what is common practice has no source and says so."""

import pytest

from bot.findings import Finding
from bot.spread import rules
from bot.spread.rules import PlacedLure, Spread
from bot.tackle.checks import Rig
from bot.tackle.items import Lure, Outfit


def lure(
    size_in: float = 8,
    head: str | None = None,
    speeds: tuple[float | None, float | None] = (None, None),
) -> Lure:
    low, high = speeds
    name = f"{size_in:g} {head} {speeds}"
    return Lure(name, size_in, ("red",), head, speed_min_kn=low, speed_max_kn=high)  # type: ignore[arg-type]


def load(size_in: float, kg: float, speed_kn: float | None = 8) -> str | None:
    found = rules.towing_load(Rig(lure(size_in), Outfit("shotgun", kg), speed_kn))
    return found.severity if found else None


@pytest.mark.parametrize(("size_in", "kg"), [(6, 8), (8, 15), (10, 24), (12, 24), (14, 37)])
def test_a_lure_that_the_strike_drag_holds_even_in_a_surge_fits(size_in: float, kg: float) -> None:
    # hand sum at 8 knots: twice the high load 1.9, 3.1, 4.9, 7.15, 9.8 kgf against 30 % of the class
    assert load(size_in, kg) is None


@pytest.mark.parametrize(("size_in", "kg"), [(14, 15), (12, 15), (10, 8)])
def test_a_lure_that_pulls_line_in_a_surge_is_for_a_practised_crew(
    size_in: float, kg: float
) -> None:
    # hand sum: nominal 2.81, 2.07, 1.46 kgf is within two thirds of the strike drag 4.5, 4.5, 2.4
    assert load(size_in, kg) == "caution"


@pytest.mark.parametrize(("size_in", "kg"), [(14, 10), (12, 10)])
def test_a_lure_that_pulls_line_all_day_breaks_a_rule(size_in: float, kg: float) -> None:
    # hand sum: nominal 2.81 and 2.07 kgf is over two thirds of 3.0
    assert load(size_in, kg) == "warning"


def test_a_load_says_its_range_and_that_it_is_good_to_a_factor_of_two() -> None:
    found = rules.towing_load(Rig(lure(14), Outfit("shotgun", 15), 8))

    assert found is not None
    assert "1.5 to 4.9 kg" in found.text
    assert "factor of two" in found.text
    assert "drag equation" in found.source


def test_faster_is_never_judged_milder_and_without_a_speed_the_usual_one_counts() -> None:
    rank = {None: 0, "caution": 1, "warning": 2}
    by_speed = [rank[load(10, 15, speed)] for speed in (5, 6, 7, 8, 9, 10, 12)]

    assert by_speed == sorted(by_speed)
    assert load(12, 15, None) == load(12, 15, 8)


def test_a_lure_is_not_run_outside_its_speeds() -> None:
    rig = Rig(lure(speeds=(7, 9)), Outfit("shotgun", 37), 6)

    found = rules.speed_range(rig)

    assert found is not None
    assert found.severity == "warning"
    assert rules.speed_range(Rig(rig.lure, rig.outfit, 7)) is None
    assert rules.speed_range(Rig(rig.lure, rig.outfit, None)) is None


def test_a_reel_that_a_run_would_empty_is_found() -> None:
    short = rules.find_spooled(Outfit("shotgun", 24, line_m=250), 60)
    enough = rules.find_spooled(Outfit("shotgun", 24, line_m=900), 60)

    assert short is not None
    assert "empties the reel" in short.text
    assert "190 m is all there is" in short.text
    assert enough is None


def test_a_pull_that_climbs_to_half_the_class_is_found() -> None:
    # 360 of 420 m out, arbor 25 to 60: factor 1/sqrt(1 - 0.8571 * 0.8264) = 1.852, 30 % becomes 55.6 %
    found = rules.find_spooled(Outfit("shotgun", 24, line_m=420), 60)

    assert found is not None
    assert "60 m is left" in found.text
    assert "56 % of the line class" in found.text


def test_nothing_is_said_of_a_reel_that_is_not_known() -> None:
    assert rules.find_spooled(Outfit("shotgun", 24), 60) is None


def codes(spread: Spread) -> list[str]:
    return [finding.code for finding in rules.spread_findings(spread)]


POSITIONS = ("short corner", "long corner", "short rigger", "long rigger", "shotgun")


def spread(*lures: Lure) -> Spread:
    return Spread(tuple(map(PlacedLure, POSITIONS, lures)), POSITIONS, 8)


def test_slow_and_fast_lures_do_not_run_together() -> None:
    # practice fact 9: common practice, no source
    found = rules.spread_findings(spread(lure(speeds=(7, 9)), lure(speeds=(4, 6.5))))

    assert [f.code for f in found] == ["ranges-overlap"]
    assert found[0].severity == "warning"
    assert codes(spread(lure(speeds=(6, 9)), lure(speeds=(4, 6.5)))) == []


def test_the_largest_runs_nearest_and_the_smallest_farthest() -> None:
    # practice fact 7: common practice, no source
    assert codes(spread(*(lure(size) for size in (12, 10, 9, 8, 6)))) == []
    assert codes(spread(*(lure(size) for size in (10, 12, 9, 8, 6)))) == ["size-order"]


def test_blunt_heads_run_short_and_slim_ones_long() -> None:
    # practice fact 6: common practice, no source
    right = spread(
        lure(9, "cupped"), lure(9, "blunt"), lure(9, "slanted"), lure(9, "slim"), lure(9, "slim")
    )
    wrong = spread(
        lure(9, "slim"), lure(9, "blunt"), lure(9, "slim"), lure(9, "cupped"), lure(9, "slim")
    )

    assert codes(right) == []
    assert codes(wrong) == ["head-place", "head-place"]


def test_the_speeds_that_lures_have_in_common() -> None:
    assert rules.common_speeds_kn([lure(speeds=(6, 9)), lure(speeds=(7, None))]) == (7, 9)
    assert rules.common_speeds_kn([lure(speeds=(6, 7)), lure(speeds=(8, 9))]) is None


@pytest.mark.parametrize(
    ("speeds", "words"),
    [
        ((7, 9), "at 7 to 9 knots"), ((7, 7), "at 7 knots"), ((0, 6.5), "up to 6.5 knots"),
        ((7, float("inf")), "from 7 knots"), ((0, float("inf")), "at any speed"),
    ],
)  # fmt: skip
def test_a_range_of_speeds_in_words(speeds: tuple[float, float], words: str) -> None:
    assert rules.range_words(*speeds) == words


def test_every_rule_is_in_its_tuple() -> None:
    rig = Rig(
        Lure("Mug", 14, ("red",), None, "light", 3, 5, 9.5, speed_max_kn=7),
        Outfit("shotgun", 10, strike_drag_kg=5, line_m=100, double_m=9, hook_gauge="heavy"),
        9,
    )

    found = {finding.code for finding in rules.findings(rig)}

    assert {
        "size-for-class",
        "towing-load",
        "speed-range",
        "line-on-reel",
        "hooks-too-light",
    } <= found
    assert all(isinstance(f, Finding) and f.source and f.position for f in rules.findings(rig))
