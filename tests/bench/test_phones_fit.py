"""What the phone network is trained with: nothing that it is tested with, and the same sums as in use."""

import numpy as np
import pytest

from bot.bench.hear_data import PARTS
from bot.bench.hear_noise import active_power
from bot.bench.hear_voices import BY_NAME
from bot.bench.phones_archive import original
from bot.bench.phones_data import ACCENTS, FLITE, HEADS, Noises, Speech, through_microphone, ways_of
from bot.speech.phones import PHONES, hidden_layer
from tests.speech.recordings import recording


@pytest.mark.parametrize("part", ["choose", "test"])
def test_no_voice_that_the_training_is_judged_by_is_trained_on(part: str) -> None:
    for voice in (BY_NAME[name] for name in PARTS[part].voices):
        accent, _, head = voice.speaker.partition("+")
        assert head not in HEADS
        assert voice.speaker not in FLITE
        assert head or accent not in ACCENTS


def test_the_accents_of_the_test_that_no_other_voice_has_are_not_trained_on() -> None:
    assert not {"en-gb-scotland", "en-029"} & set(ACCENTS)


def test_every_way_to_say_a_word_counts() -> None:
    # The CMU dictionary has "tomato" as T AH M EY T OW and T AH M AA T OW.
    said = {" ".join(PHONES[phone] for phone in way) for way in ways_of("tomato!")}

    assert {"T AH M EY T OW", "T AH M AA T OW"} <= said


def test_noise_makes_a_recording_longer_never_shorter_and_is_another_each_time() -> None:
    rng = np.random.default_rng(3)
    speech = Speech(recording("fish_on").samples)
    noises = Noises(rng, 1, [speech])
    count = len(speech.sound) + 3200

    one, other = (through_microphone(speech, count, noises, rng, 1.0) for _ in range(2))

    assert len(one) == len(other) == count
    assert np.max(np.abs(one)) <= 1.0
    assert active_power(one.astype(np.float64)) > 0
    assert not np.allclose(one, other)


def test_the_network_that_is_trained_does_the_sums_of_the_one_in_use() -> None:
    torch = pytest.importorskip("torch")
    from bot.bench.phones_model import PhoneNetwork

    before, _ = original()
    sound = recording("fish_on")
    model = PhoneNetwork(before.weights)

    with torch.no_grad():
        wave = torch.tensor(sound.samples.astype(np.float32) / 32768)[None]
        theirs = model.blocks(model.bands(wave))[0].numpy()

    assert np.max(np.abs(theirs - hidden_layer(sound, before))) < 1e-4
