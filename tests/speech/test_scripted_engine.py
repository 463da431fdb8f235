import pytest

from bot.errors import EngineError
from bot.transcript import Alternative, Transcript
from tests.scripted_engine import ScriptedEngine
from tests.speech.recordings import SMALL, noise, pcm


def test_it_answers_in_order_and_keeps_what_it_was_given() -> None:
    sound = pcm(noise(1.0, 0.1))
    doubtful = Transcript((Alternative("a", 0.6), Alternative("b", 0.4)), "scripted", 1.0)
    engine = ScriptedEngine(["lines in", "", doubtful])
    engine.prepare(SMALL)
    engine.prepare(SMALL)

    heard = [engine.transcribe(sound) for _ in range(3)]

    assert [transcript.best for transcript in heard] == ["lines in", "", "a"]
    assert heard[0].seconds == 1.0
    assert engine.recordings == [sound] * 3
    assert engine.grammars == [SMALL]


def test_the_end_of_the_script_is_an_error() -> None:
    with pytest.raises(EngineError, match="end"):
        ScriptedEngine([]).transcribe(pcm(noise(0.1, 0.1)))
