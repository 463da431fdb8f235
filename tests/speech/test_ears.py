import pytest

from bot.speech.accept import THREE
from bot.speech.ears import margin
from bot.speech.sphinx_engine import SphinxEngine
from tests.speech.recordings import SMALL, noise, pcm, recording


@pytest.fixture(scope="module")
def three() -> SphinxEngine:
    ear = SphinxEngine()
    ear.prepare(SMALL)
    return ear


def test_the_margin_is_that_to_a_sentence_which_differs_in_more_than_little_words() -> None:
    scores = {"strike the shotgun": -9.0, "strike shotgun": -9.5, "strike long rigger": -14.0}

    assert margin(scores) == pytest.approx(5.0)
    assert margin({"fish on": -3.0}) > 1e6


def test_everything_that_trust_looks_at_is_a_signal_of_a_hearing(three: SphinxEngine) -> None:
    heard = three.transcribe(recording("strike_shotgun"))

    assert heard.best == "strike shotgun"
    assert set(THREE) <= heard.signals.keys()
    assert 1 <= heard.signals["votes"] <= 3


def test_without_whisper_two_ears_decide() -> None:
    two = SphinxEngine(written=False)
    two.prepare(SMALL)

    heard = two.transcribe(recording("lines_in"))

    assert heard.best == "lines in"
    assert "votes" not in heard.signals
    assert heard.signals["phones_margin"] > 0


def test_noise_without_a_voice_is_not_trusted(three: SphinxEngine) -> None:
    heard = three.transcribe(pcm(noise(2.0, 0.1)))

    assert heard.signals["accept"] < 0.5
