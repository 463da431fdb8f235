import pytest

from bot.speech.accept import FIGURES, Model
from bot.speech.hearing import Hearing, agreement, figures, merged


def _hearing(*sentences: tuple[str, float]) -> Hearing:
    return Hearing(sentences, frames=100, score_per_frame=-3.0, phones=10)


def test_little_words_are_no_disagreement() -> None:
    assert agreement("strike on the long rigger", "strike long rigger") == 1.0
    assert agreement("strike long rigger", "strike short rigger") == pytest.approx(2 / 3)
    assert agreement("lines in", "") == 0.0


def test_what_two_hearings_say_wins_over_what_one_says() -> None:
    first = _hearing(("lines out", -300.0), ("lines in", -310.0))

    found = merged([(first, 0.4), (_hearing(("lines in", -330.0)), 0.6)], spread=15.0)

    # By hand: 0.6 + 0.4 e/(1 + e) with e = exp(-10/15) against 0.4 /(1 + e).
    assert [item.text for item in found] == ["lines in", "lines out"]
    assert found[0].score == pytest.approx(0.6 + 0.4 * 0.51342 / 1.51342, abs=1e-4)
    assert sum(item.score for item in found) == pytest.approx(1.0)


def test_nothing_heard_gives_no_alternatives() -> None:
    assert merged([(Hearing((), 10), 1.0)], spread=15.0) == ()


def test_every_figure_of_the_model_is_a_signal() -> None:
    signals = figures([_hearing(("lines in", -300.0))], "lines in", -2.5, 12.0)

    assert set(FIGURES) <= set(signals)
    assert signals["over_phones"] == pytest.approx(-0.5)


def test_the_model_is_a_logistic_function_of_its_figures() -> None:
    # By hand: 1 / (1 + exp(-(0.5 + 2 * (3 - 1) / 2 - 1 * 1 * 1))).
    model = Model({"a": 1.0}, {"a": 2.0}, {"1": 0.5, "a": 2.0, "a*a": -1.0})

    assert model.probability({"a": 3.0}) == pytest.approx(0.81757, abs=1e-5)
    assert model.probability({}) == pytest.approx(0.62246, abs=1e-5)
    assert model.probability({"a": 1e9}) == model.probability({"a": 7.0})
