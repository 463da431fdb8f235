import math

import pytest

from bot.desk.settle import ACCEPT_FROM
from bot.speech.accept import MOST_FOR_DOUBT, THREE, TWO, Model, Steps, read_fit, trust
from bot.speech.hearing import Hearing, agreement, joint_figures, merge_hearings, rank_with_hearing


def _hearing(*sentences: tuple[str, float]) -> Hearing:
    return Hearing(sentences, frames=100, score_per_frame=-3.0, phones=10)


def test_little_words_are_no_disagreement() -> None:
    assert agreement("strike on the long rigger", "strike long rigger") == 1.0
    assert agreement("strike long rigger", "strike short rigger") == pytest.approx(2 / 3)
    assert agreement("lines in", "") == 0.0


def test_what_two_hearings_say_wins_over_what_one_says() -> None:
    first = _hearing(("lines out", -300.0), ("lines in", -310.0))

    found = merge_hearings([(first, 0.4), (_hearing(("lines in", -330.0)), 0.6)], spread=15.0)

    # By hand: 0.6 + 0.4 e/(1 + e) with e = exp(-10/15) against 0.4 /(1 + e).
    assert [item.text for item in found] == ["lines in", "lines out"]
    assert found[0].score == pytest.approx(0.6 + 0.4 * 0.51342 / 1.51342, abs=1e-4)
    assert sum(item.score for item in found) == pytest.approx(1.0)


def test_nothing_heard_gives_no_alternatives() -> None:
    assert merge_hearings([(Hearing((), 10), 1.0)], spread=15.0) == ()


def test_the_phones_decide_between_sentences_and_the_hearing_speaks_for_its_own() -> None:
    hearing = _hearing(("lines in", -300.0))
    weights = {"lines out": -20.0, "lines in": -21.0}

    found = rank_with_hearing(hearing, weights, trust=1.0, spread=15.0)

    # By hand: ln 1.01 - 21 against ln 0.01 - 20, a share for each 2 of it.
    apart = (math.log(1.01) - 21.0) - (math.log(0.01) - 20.0)
    assert [item.text for item in found] == ["lines in", "lines out"]
    assert found[0].score / found[1].score == pytest.approx(math.exp(apart / 2))


def test_every_figure_of_the_model_is_a_signal() -> None:
    hearing = _hearing(("lines in", -300.0))
    alternatives = rank_with_hearing(hearing, {"lines in": -20.0, "lines out": -24.0}, 1.0, 15.0)

    signals = joint_figures(hearing, alternatives, 12.0)

    phones = {"phones_ratio", "phones_margin", "phones_worst_word", "phones_more", "phones"}
    assert set(TWO) - phones <= set(signals)
    assert signals["agreement"] == 1.0
    assert signals["share"] > 0.5


SIGNALS = {"agreement": 1.0, "phones_margin": 7.0, "phones_more": 0.1, "a": 3.0}


def test_the_model_is_a_logistic_function_of_the_steps_of_its_figures() -> None:
    # By hand: below the first knot 2 a unit, between the knots 1, above the last nothing.
    model = Model(0.5, {"a": Steps((1.0, 2.0), (2.0, 1.0, 0.0))})

    assert model.probability({"a": 0.0}) == pytest.approx(1 / (1 + math.exp(1.5)))
    assert model.probability({"a": 1.5}) == pytest.approx(1 / (1 + math.exp(-1.0)))
    assert model.probability({"a": 9.0}) == pytest.approx(1 / (1 + math.exp(-1.5)))


@pytest.mark.parametrize(
    "doubt",
    [{"agreement": 0.5}, {"phones_margin": 1.0}, {"phones_more": 0.7}, {"phones_more": -0.7}],
)
def test_what_the_ears_do_not_agree_on_is_doubted_whatever_the_model_says(
    doubt: dict[str, float],
) -> None:
    model = Model(5.0, {"a": Steps((1.0,), (0.0, 0.0))})

    assert trust(SIGNALS, model) == pytest.approx(1 / (1 + math.exp(-5.0)))
    assert trust(SIGNALS | doubt, model) <= MOST_FOR_DOUBT < ACCEPT_FROM


@pytest.mark.parametrize(
    "doubt", [{"margin": 1.0}, {"phones_more": 0.7}, {"votes": 0.0}, {"phones": 7.0}]
)
def test_with_a_third_ear_one_must_hear_what_all_together_hear(doubt: dict[str, float]) -> None:
    model = Model(5.0, {"a": Steps((1.0,), (0.0, 0.0))})
    signals = SIGNALS | {"agreement": 0.0, "phones_margin": 0.5, "margin": 9.0}
    signals |= {"written_agreement": 0.0, "votes": 1.0, "phones": 12.0}

    assert trust(signals, model) > ACCEPT_FROM
    assert trust(signals | doubt, model) <= MOST_FOR_DOUBT


@pytest.mark.parametrize("figures", [TWO, THREE])
def test_no_figure_counts_against_a_call_by_being_better(figures: tuple[str, ...]) -> None:
    model = read_fit(len(figures))

    assert set(model.steps) == set(figures)
    assert all(weight >= 0 for steps in model.steps.values() for weight in steps.weights)
