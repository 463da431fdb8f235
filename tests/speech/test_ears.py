import pytest

from bot.speech.accept import THREE
from bot.speech.ears import margin
from bot.speech.engine import EngineGrammar
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


def test_grammars_with_the_same_sentences_share_a_search_and_weigh_them_their_own_way() -> None:
    ear = SphinxEngine()
    head = "#JSGF V1.0;\ngrammar deck;\npublic <call> = "
    first = EngineGrammar(head + "/9/ lines in | /1/ lines out;")
    second = EngineGrammar(head + "/1/ lines in | /9/ lines out;")
    sound = recording("lines_in")

    for grammar in (first, second, first):
        ear.prepare(grammar)
        assert ear.transcribe(sound).best == "lines in"

    for number in range(6):  # the oldest are let go, the one in use stays
        ear.prepare(EngineGrammar(f"{head}lines in | lines out | {'fish on ' * (number + 1)};"))
    ear.prepare(first)
    assert ear.transcribe(sound).best == "lines in"
