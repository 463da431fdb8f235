"""The ear of the calls for real: both models, recordings as a messenger sends them."""

import pytest

from bot.speech.engine import EngineGrammar
from bot.speech.open_ear import OpenEngine, weigh_lines
from bot.speech.written_ear import Line
from tests.speech.recordings import noise, pcm, recording


@pytest.fixture(scope="module")
def ear() -> OpenEngine:
    """Start it once."""
    return OpenEngine()


def test_calls_are_written_down_word_for_word(ear: OpenEngine) -> None:
    # The table of the recordings: said by synthetic voices that it was not trained on, or not in this noise.
    wanted = {"strike_long_rigger": "strike long rigger purple eight", "lines_in_woman": "lines in",
              "hooked_up_joe": "hooked up long corner", "strike_shotgun": "strike shotgun"}  # fmt: skip

    heard = {name: ear.transcribe(recording(name)).best for name in wanted}

    assert heard == wanted


def test_what_no_grammar_holds_is_written_down_too(ear: OpenEngine) -> None:
    ear.prepare(EngineGrammar("#JSGF V1.0; grammar g; public <g> = lines in;"))

    heard = ear.transcribe(recording("oov_weather"))

    assert heard.best == "they say the weather turns on thursday afternoon"


def test_noise_alone_is_no_words(ear: OpenEngine) -> None:
    heard = ear.transcribe(pcm(noise(2.0, 0.05)))

    assert not heard.alternatives or heard.alternatives[0].score < 0.7


def test_the_surer_ear_comes_first_and_each_ears_own_line_is_known() -> None:
    deck = (Line("strike shotgun", -0.02), Line("striped shotgun", -0.9))
    plain = (Line("strike shot gun", -0.3),)

    found, signals = weigh_lines([deck, plain])

    assert [one.text for one in found] == ["strike shotgun", "strike shot gun", "striped shotgun"]
    assert signals == {"deck_first": 0.0, "plain_first": 1.0}
