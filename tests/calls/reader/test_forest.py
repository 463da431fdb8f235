"""Boosted trees: what they say is the sum of their leaves, put through the logistic function.

The two trees are a worked example by hand of Friedman (2001), Greedy function approximation, section 4.
"""

from math import exp, log

import pytest
from hypothesis import given, strategies as st

from bot.calls.reader.forest import Forest, as_bytes, load

# The first tree asks figure 0 (up to 1), on its right figure 1 (up to -2); the second figure 1 (up to 0).
FOREST = Forest(
    first=(0, 5),
    figure=(0, -1, 1, -1, -1, 1, -1, -1),
    threshold=(1.0, 0.0, -2.0, 0.0, 0.0, 0.0, 0.0, 0.0),
    left=(1, 0, 3, 0, 0, 6, 0, 0),
    right=(2, 0, 4, 0, 0, 7, 0, 0),
    value=(0.1, 0.5, -0.3, -1.0, 0.4, 0.0, -0.25, 0.25),
    base=0.2,
)


@pytest.mark.parametrize(
    ("figures", "log_odds"),
    [
        ((1.0, 5.0), 0.2 + 0.5 + 0.25),
        ((2.0, -3.0), 0.2 - 1.0 - 0.25),
        ((2.0, 0.0), 0.2 + 0.4 - 0.25),
    ],
)
def test_a_reading_goes_down_every_tree_to_a_leaf(
    figures: tuple[float, float], log_odds: float
) -> None:
    assert FOREST.likely(figures) == pytest.approx(1 / (1 + exp(-log_odds)))


@given(st.tuples(st.floats(-9, 9), st.floats(-9, 9)))
def test_the_shares_of_the_figures_add_up_to_the_log_odds(figures: tuple[float, float]) -> None:
    p = FOREST.likely(figures)
    roots = sum(FOREST.value[root] for root in FOREST.first)

    assert FOREST.base + roots + sum(FOREST.shares(figures)) == pytest.approx(log(p / (1 - p)))


def test_trees_are_kept_in_a_file_as_they_are() -> None:
    again = load(as_bytes(FOREST))

    assert again.figure == FOREST.figure
    assert again.likely((2.0, -3.0)) == pytest.approx(FOREST.likely((2.0, -3.0)))


def test_the_trees_that_ship_trust_a_sure_reading_more_than_an_unsure_one() -> None:
    from bot.calls.reader.trust import NAMES
    from bot.fittings import learned_reader

    _, trust = learned_reader()
    plain = dict.fromkeys(NAMES, 0.0) | {
        "one": 1.0, "agrees": 1.0, "grammar sure": 0.95, "tokens": 3.0, "parts": 1.0, "filled": 1.0,
        "none": -12.0, "acts": -0.01, "roles": -0.01, "weaker acts": -0.02,
        "weaker roles": -0.02,
    }  # fmt: skip
    unsure = {
        "acts": -2.0, "roles": -1.5, "weaker acts": -3.0, "weaker roles": -2.0, "split": 1.0,
        "disagree": 2.0, "agrees": 0.0, "grammar sure": 0.0, "none": -0.5,
    }  # fmt: skip

    sure = trust.learned.likely(tuple(plain[name] for name in NAMES))
    doubtful = trust.learned.likely(tuple((plain | unsure)[name] for name in NAMES))

    assert sure > 0.9
    assert doubtful < 0.5
