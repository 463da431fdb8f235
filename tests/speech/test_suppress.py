import numpy as np
import pytest

from bot.speech.silence import snr_db
from bot.speech.suppress import add_hiss, blend, rnnoise, suppress_noise
from tests.speech.recordings import noise, pcm, recording, tone


@pytest.mark.skipif(rnnoise() is None, reason="RNNoise is not installed")
def test_suppression_takes_steady_noise_out_and_leaves_the_call() -> None:
    call = recording("strike_long_rigger")
    noisy = pcm(call.samples / 32768 + noise(call.seconds, 0.02)[: len(call.samples)])

    quiet = suppress_noise(noisy)

    assert len(quiet.samples) == len(noisy.samples)
    assert snr_db(quiet) > snr_db(noisy) + 6


def test_suppression_gives_the_same_each_time() -> None:
    call = recording("lines_in")

    assert np.array_equal(suppress_noise(call).samples, suppress_noise(call).samples)


def test_an_empty_recording_passes() -> None:
    empty = pcm(np.zeros(0))

    assert suppress_noise(empty).seconds == 0
    assert add_hiss(empty).seconds == 0


@pytest.mark.parametrize("below_db", [20.0, 30.0])
def test_the_hiss_lies_as_far_below_the_speech_as_asked(below_db: float) -> None:
    # By definition: 10 log10 of the ratio of the powers.
    sound = pcm(tone(2.0) * 0.5)

    hiss = add_hiss(sound, below_db).samples.astype(float) - sound.samples

    ratio = np.mean(sound.samples.astype(float) ** 2) / np.mean(hiss**2)
    assert 10 * np.log10(ratio) == pytest.approx(below_db, abs=0.5)


def test_digital_silence_is_filled_and_full_scale_does_not_wrap() -> None:
    silent, loud = pcm(np.zeros(16_000)), pcm(tone(1.0) / 0.3)

    assert np.count_nonzero(add_hiss(silent).samples) > 8_000
    assert np.abs(np.diff(add_hiss(loud).samples.astype(int))).max() < 20_000


def test_a_blend_is_between_its_two() -> None:
    one, other = pcm(np.full(10, 0.5)), pcm(np.full(10, 0.1))

    assert blend(one, other, 0.25).samples[0] == pytest.approx(0.2 * 32767, abs=2)
