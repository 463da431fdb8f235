"""What to change next: cases that can be worked out by hand."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from bot.advice.choose import Choice, by_figures
from bot.advice.data import Exposure, Hold, InWater, Kind, LureChange, Spare, Verdict, Wishes
from bot.advice.next_change import next_change
from bot.messages import Advice

NOW = datetime(2024, 3, 2, 11, 0, tzinfo=UTC)
PURPLE, BLACK, PINK = Kind(8, ("purple",)), Kind(8, ("black",)), Kind(8, ("pink",))


def cell(position: str, kind: Kind, hours: float, strikes: int) -> Exposure:
    return Exposure(position, kind, hours, strikes, hour=10)


def verdict(
    *cells: Exposure,
    spread: tuple[InWater, ...],
    ready: tuple[Spare, ...] = (Spare(PURPLE), Spare(BLACK), Spare(PINK)),
    previous: tuple[LureChange, ...] = (),
) -> Verdict:
    return next_change(cells, spread, ready, now=NOW, previous=previous)


WORKING = InWater("long rigger", PURPLE, strikes=3, hours=4.1)
IDLE = InWater("short rigger", BLACK, hours=3.8)
DAY = (cell("long rigger", PURPLE, 4.1, 3), cell("short rigger", BLACK, 3.8, 0))


def test_the_colour_that_gets_the_bites_goes_on_the_quiet_rod() -> None:
    found = verdict(*DAY, spread=(WORKING, IDLE))

    assert isinstance(found, Advice)
    assert (found.position, found.lure) == ("short rigger", "purple 8-inch")
    assert "3 strikes in 4.1" in found.reason
    assert "0 in 3.8" in found.reason
    assert 0.7 < found.chance < 1.0
    assert found.gain_per_h > 0


def test_the_lure_that_is_working_stays() -> None:
    found = verdict(*DAY, spread=(WORKING,))

    assert isinstance(found, Hold)


def test_a_quiet_morning_keeps_its_variety() -> None:
    found = verdict(cell("long rigger", PURPLE, 2.0, 0), spread=(InWater("long rigger", PURPLE),))

    assert isinstance(found, Hold)
    assert "2.0 lure-hours" in found.reason
    assert 10 <= found.minutes <= 60


def test_one_bite_more_is_no_reason_to_change() -> None:
    cells = (cell("long rigger", PURPLE, 6.0, 2), cell("short rigger", BLACK, 6.0, 1))
    spread = (InWater("long rigger", PURPLE, strikes=2), InWater("short rigger", BLACK, strikes=1))

    assert isinstance(verdict(*cells, spread=spread), Hold)


def test_a_lure_that_just_went_out_is_given_its_time() -> None:
    fresh = LureChange("short rigger", "black 8-inch", "pink 8-inch", NOW - timedelta(minutes=10))

    assert isinstance(verdict(*DAY, spread=(WORKING, IDLE), previous=(fresh,)), Hold)


def test_a_rod_with_a_fish_on_is_left_alone() -> None:
    busy = InWater("short rigger", BLACK, hours=3.8, busy=True)

    assert isinstance(verdict(*DAY, spread=(WORKING, busy)), Hold)


def test_what_the_tackle_rules_forbid_is_not_proposed() -> None:
    found = next_change(
        DAY,
        (WORKING, IDLE),
        (Spare(PURPLE),),
        now=NOW,
        allowed=lambda position, _spare: position != "short rigger",
    )

    assert isinstance(found, Hold)


def test_nothing_in_the_water_is_nothing_to_change() -> None:
    assert isinstance(verdict(*DAY, spread=()), Hold)


def test_a_strike_in_the_minute_a_lure_went_out_counts() -> None:
    without = verdict(*DAY, spread=(WORKING, IDLE))
    struck = cell("short rigger", BLACK, 0.0, 3)

    found = verdict(*DAY, struck, spread=(WORKING, IDLE))

    assert isinstance(without, Advice)
    assert isinstance(found, Hold)


def test_a_crew_that_wants_to_be_surer_gets_less_advice() -> None:
    found = next_change(
        DAY, (WORKING, IDLE), (Spare(PINK),), now=NOW, wishes=Wishes(min_chance=0.95)
    )

    assert isinstance(found, Hold)
    assert "better" in found.reason


def test_what_was_proposed_stays_while_another_is_hardly_better() -> None:
    near = (Spare(PURPLE, "Aft Plum"), Spare(Kind(8.01, ("purple",)), "Zest"))
    first = next_change(DAY, (WORKING, IDLE), near, now=NOW)
    assert isinstance(first, Advice)
    other = next(spare.label for spare in near if spare.label != first.lure)
    proposed = LureChange(
        "short rigger", other, "black 8-inch", NOW - timedelta(minutes=10), made=False
    )

    later = next_change(DAY, (WORKING, IDLE), near, now=NOW, previous=(proposed,))
    forgotten = replace(proposed, at=NOW - timedelta(hours=1))
    much_later = next_change(DAY, (WORKING, IDLE), near, now=NOW, previous=(forgotten,))

    assert isinstance(later, Advice)
    assert isinstance(much_later, Advice)
    assert (later.lure, much_later.lure) == (other, first.lure)


def test_an_exposure_cannot_be_negative() -> None:
    with pytest.raises(ValueError, match="negative"):
        cell("shotgun", PURPLE, -1.0, 0)


def test_a_change_that_is_better_by_both_figures_comes_before_one_that_shows_more() -> None:
    out = InWater("shotgun", BLACK)
    taught = Choice(out, Spare(PINK), value=1.7, chance=0.71, gain_per_h=0.47)
    better = Choice(out, Spare(PURPLE), value=0.9, chance=0.75, gain_per_h=0.60)
    dearer = Choice(out, Spare(BLACK), value=-0.1, chance=0.9, gain_per_h=0.9)

    assert by_figures((taught, better), taught) == better
    assert by_figures((taught, better, dearer), taught) == better  # what costs more is no change
    less = replace(better, gain_per_h=0.30)
    assert by_figures((taught, less), taught) == taught  # surer, and wins less


def test_what_bit_since_a_proposal_lets_it_be_weighed_anew() -> None:
    near = (Spare(PURPLE, "Aft Plum"), Spare(Kind(8.01, ("purple",)), "Zest"))
    first = next_change(DAY, (WORKING, IDLE), near, now=NOW)
    assert isinstance(first, Advice)
    other = next(spare.label for spare in near if spare.label != first.lure)
    at = NOW - timedelta(minutes=10)
    proposed = LureChange("short rigger", other, "black 8-inch", at, made=False, anew=True)

    assert next_change(DAY, (WORKING, IDLE), near, now=NOW, previous=(proposed,)) == first


def test_the_ground_of_a_proposal_stays_while_nothing_happened() -> None:
    pink = Kind(7.0, ("pink",), "slim")
    purple = Kind(8.0, ("purple",), "jet")
    cells = (cell("shotgun", purple, 3.0, 4), cell("long rigger", pink, 3.0, 0))
    spread = (InWater("long rigger", pink, hours=3.0), InWater("shotgun", purple, strikes=4))
    ready = (Spare(Kind(8.0, ("purple",), "jet"), "Plum Jam"),)
    first = next_change(cells, spread, ready, now=NOW)
    assert isinstance(first, Advice)
    grounds = {"8-inch": "8-inch: ", "purple": "Purple: ", "jet": "Jet: "}

    for said in grounds.values():
        stood = LureChange(
            first.position,
            first.lure,
            "x",
            NOW - timedelta(minutes=5),
            False,
            True,
            f"{said}1 strike.",
        )
        later = next_change(cells, spread, ready, now=NOW, previous=(stood,))
        assert isinstance(later, Advice)
        assert later.reason.startswith(said)
