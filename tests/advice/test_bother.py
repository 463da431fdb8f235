"""What a change must win besides its cost: a matter of how many were made and of what the record shows."""

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from bot.advice.choose import (
    AT_ONCE,
    BOTHER,
    MORNING_H,
    Moment,
    bother_of,
    is_pausing,
    regret,
)
from bot.advice.data import LureChange

NOW = datetime(2024, 3, 2, 11, 0, tzinfo=UTC)


def moment(made: int, proposed: int = 0) -> Moment:
    changes = [
        LureChange("shotgun", "a", "b", NOW, made=number < made)
        for number in range(made + proposed)
    ]
    return Moment((), (), NOW, 4.0, tuple(changes))


def test_the_first_change_costs_the_plain_bother() -> None:
    assert bother_of(moment(0), 0.0) == pytest.approx(BOTHER)


def test_a_proposal_that_was_not_made_costs_nothing() -> None:
    assert bother_of(moment(3, proposed=5), 0.0) == bother_of(moment(3), 0.0)


@pytest.mark.parametrize("evidence", [-3.0, -0.4, 0.0, 1.0, 5.0])
def test_every_further_change_must_win_more(evidence: float) -> None:
    costs = [bother_of(moment(made), evidence) for made in range(15)]

    assert costs == sorted(costs)
    assert costs[-1] > 3 * costs[0]


@pytest.mark.parametrize("made", [0, 2, 6, 12])
def test_the_more_the_record_speaks_for_a_difference_the_less_a_change_must_win(made: int) -> None:
    costs = [bother_of(moment(made), evidence) for evidence in (-5.0, -0.6, -0.3, 0.0, 1.0, 2.0)]

    assert costs == sorted(costs, reverse=True)
    assert bother_of(moment(made), 50.0) == costs[-1]


def test_on_a_sea_known_as_flat_the_first_change_must_win_strikes() -> None:
    week = replace(moment(0), hours_before=40.0)

    assert bother_of(week, -3.0) > 0.5 > 0.1 > bother_of(week, 0.0)
    assert bother_of(moment(0), -3.0) == bother_of(moment(0), 0.0)


def test_where_lures_seem_alike_a_fourth_change_must_win_strikes() -> None:
    assert bother_of(moment(3), -0.6) > 1.0 > bother_of(moment(3), 0.0)


def test_a_change_that_is_surely_better_costs_no_bother_and_a_doubtful_one_all_of_it() -> None:
    chances = [0.0, 0.3, 0.5, 0.6, 0.8, 0.95, 1.0]
    shares = [regret(chance) for chance in chances]

    assert shares == sorted(shares, reverse=True)
    assert shares[chances.index(0.5)] == 1.0
    assert shares[-1] == 0.0


def test_after_two_changes_the_spread_is_let_fish_but_not_when_it_has_only_just_gone_out() -> None:
    fished = moment(AT_ONCE)

    assert is_pausing(fished)
    assert not is_pausing(replace(fished, fished_h=MORNING_H / 2))
