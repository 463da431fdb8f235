"""The phone network for real, with the weights of the package that carries it."""

import numpy as np
import pytest

from bot.speech.phones import PHONES, Network, network, phone_shares
from tests.speech.recordings import noise, pcm, recording


@pytest.fixture(scope="module")
def found() -> Network:
    """Give the network; it is a dependency, so that it must be there."""
    there = network()
    assert there is not None
    return there


def test_the_shares_of_a_frame_add_to_one_and_a_frame_is_20_ms(found: Network) -> None:
    sound = recording("lines_in")

    shares = phone_shares(sound, found)

    assert shares.shape[1] == len(PHONES) + 1 == 40  # CMU dictionary: 39 phones
    assert np.allclose(shares.sum(axis=1), 1.0, atol=1e-4)
    assert len(shares) == pytest.approx(sound.seconds / 0.02, abs=2)


def test_the_network_agrees_with_the_engine_of_the_package_that_carries_it(found: Network) -> None:
    # The reference is the package's own engine on the same sound.
    asr = pytest.importorskip("hama.asr")
    sound = recording("fish_on")
    model = asr.ASRModel()
    wave = sound.samples.astype(np.float32) / 32768
    theirs, _ = model.session.run(
        ["log_probs", "out_lengths"], {"waveform": wave, "waveform_lengths": None}
    )

    ours = phone_shares(sound, found)

    quiet = np.exp(theirs[0])[:, [model.blank_id, model.blank_id - 1]].sum(axis=1)
    assert len(ours) == len(quiet)
    assert float(np.mean(np.abs(ours[:, -1] - quiet))) < 0.05


def test_phones_that_were_said_are_found_in_their_order(found: Network) -> None:
    shares = phone_shares(recording("lines_in_woman"), found)

    best = [PHONES[row[:-1].argmax()] if row[-1] < 0.5 else "-" for row in shares]
    said = [phone for phone, before in zip(best, ["-", *best[:-1]], strict=True) if phone != before]

    assert " ".join(p for p in said if p != "-").startswith("L AY N")


def test_a_sliver_of_sound_does_not_end_in_an_error(found: Network) -> None:
    assert len(phone_shares(pcm(noise(0.05, 0.1)), found)) > 0
