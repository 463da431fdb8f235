import numpy as np
import pytest

from bot.speech.audio import SAMPLE_RATE
from bot.speech.silence import cut, dither, snr_db, speech_span
from tests.speech.recordings import noise, pcm, recording, tone


def _shout(lead_s: float, tail_s: float, noise_level: float) -> np.ndarray:
    """A second of a wavering tone in the voice band with noise before, under and after it."""
    sound = tone(1.0, hertz=700) + tone(1.0, hertz=1500)
    whole = np.pad(sound, (int(lead_s * SAMPLE_RATE), int(tail_s * SAMPLE_RATE)))
    return whole + noise(len(whole) / SAMPLE_RATE, noise_level)[: len(whole)]


@pytest.mark.parametrize("level", [0.0, 0.001, 0.01, 0.05])
def test_the_speech_is_found_in_noise(level: float) -> None:
    span = speech_span(pcm(_shout(1.0, 1.5, level)))

    assert span.start_s == pytest.approx(1.0, abs=0.06)
    assert span.end_s == pytest.approx(2.0, abs=0.06)


def test_a_quarter_second_is_kept_on_either_side() -> None:
    kept = cut(pcm(_shout(1.0, 1.5, 0.01)))

    assert kept.seconds == pytest.approx(1.5, abs=0.1)


def test_a_click_is_not_speech() -> None:
    sound = _shout(1.5, 1.0, 0.005)
    sound[4000:4400] += tone(0.025, hertz=900)

    assert speech_span(pcm(sound)).start_s == pytest.approx(1.5, abs=0.06)


def test_a_deep_hum_as_loud_as_the_speech_does_not_hide_it() -> None:
    sound = _shout(1.0, 1.0, 0.002)
    hum = 2 * tone(len(sound) / SAMPLE_RATE + 0.01, hertz=60)[: len(sound)]

    span = speech_span(pcm((sound + hum) * 0.5))

    assert span.start_s == pytest.approx(1.0, abs=0.1)
    assert span.end_s == pytest.approx(2.0, abs=0.1)


def test_where_nothing_stands_out_nothing_is_cut() -> None:
    steady = pcm(noise(2.0, 0.05))

    assert cut(steady).seconds == steady.seconds
    assert cut(pcm(np.zeros(0))).seconds == 0


@pytest.mark.parametrize("true_db", [6.0, 12.0, 20.0])
def test_the_ratio_of_speech_to_noise_is_about_the_one_made(true_db: float) -> None:
    # By definition 10 log10 of the powers in the band; white noise puts (3400-300)/8000 in it.
    share = (3400 - 300) / 8000
    power = 2 * 0.3**2 / 2
    level = float(np.sqrt(power / 10 ** (true_db / 10) / share))

    assert snr_db(pcm(_shout(1.0, 1.0, level) * 0.3)) == pytest.approx(true_db, abs=3.0)


def test_dither_is_small_the_same_each_time_and_fills_digital_silence() -> None:
    silent = pcm(np.zeros(SAMPLE_RATE))

    once, again, other = dither(silent, 16, 3), dither(silent, 16, 3), dither(silent, 16, 4)

    assert np.array_equal(once.samples, again.samples)
    assert not np.array_equal(once.samples, other.samples)
    assert np.abs(once.samples).max() == 16
    assert np.count_nonzero(once.samples) > 0.9 * SAMPLE_RATE


def test_dither_does_not_wrap_at_full_scale() -> None:
    loud = pcm(np.ones(1000))

    assert dither(loud, 16).samples.min() > 32000


def test_a_real_call_is_cut_but_not_into() -> None:
    whole = recording("strike_long_rigger")

    kept = cut(whole)

    assert 1.6 < kept.seconds < whole.seconds - 0.3
