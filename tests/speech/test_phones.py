"""The phone network for real: as shipped, and as the package carries it that it was trained from."""

import numpy as np
import pytest

from bot.bench.hear_noise import NOISES, Sound, add_noise, babble
from bot.bench.phones_archive import original
from bot.speech.audio import Pcm
from bot.speech.compact import compact
from bot.speech.jsgf_reader import word_graph
from bot.speech.phone_search import Chart, best_sentence, log_scores, spell_out
from bot.speech.phones import PHONES, Network, network, phone_shares
from bot.speech.pronunciations import pronunciations
from tests.speech.recordings import PRONUNCIATIONS, SMALL_JSGF, noise, pcm, recording, table

LEAST_FOUND = 18
"""Of 24 sentences."""


@pytest.fixture(scope="module")
def found() -> Network:
    """Return the network as it is shipped."""
    return network()


def test_the_shares_of_a_frame_add_to_one_and_a_frame_is_20_ms(found: Network) -> None:
    sound = recording("lines_in")

    shares = phone_shares(sound, found)

    assert shares.shape[1] == len(PHONES) + 1 == 40  # CMU dictionary: 39 phones
    assert np.allclose(shares.sum(axis=1), 1.0, atol=1e-4)
    assert len(shares) == pytest.approx(sound.seconds / 0.02, abs=2)


def test_the_sums_agree_with_the_engine_of_the_package_that_the_network_comes_from() -> None:
    # The reference is the engine of hama 1.7.0 on the same sound, with the weights before the training.
    asr = pytest.importorskip("hama.asr")
    before, _ = original()
    sound = recording("fish_on")
    model = asr.ASRModel()
    wave = sound.samples.astype(np.float32) / 32768
    theirs, _ = model.session.run(
        ["log_probs", "out_lengths"], {"waveform": wave, "waveform_lengths": None}
    )

    ours = phone_shares(sound, before)

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


def test_in_loud_noise_it_finds_most_sentences_and_more_than_before_it_was_trained_in_noise(
    found: Network,
) -> None:
    # What was said stands in fixtures/recordings/index.jsonl; the noise is common practice, no source.
    before, _ = original()
    calls = [row for row in table() if row["noise"] and not row["file"].startswith("oov")]
    sounds = [(row["said"], _in_noise(row["file"], number)) for number, row in enumerate(calls)]
    chart = _small_chart()

    now, then = (
        sum(best_sentence(chart, log_scores(phone_shares(s, one))) == said for said, s in sounds)
        for one in (found, before)
    )

    assert len(calls) == 24
    assert now >= LEAST_FOUND
    assert now > then + 2


def _in_noise(file: str, number: int) -> Pcm:
    """Lay talk of others or waves over a recording at 0 dB."""
    rng, speech = np.random.default_rng(number), _sound(file.removesuffix(".ogg"))
    talk = [_sound(f"oov_{name}") for name in ("sandwich", "weather", "radio", "mother")]
    count = len(speech)
    over = babble(count, rng, talk) if number % 2 else NOISES["water"](count, rng)
    loud = add_noise(speech, over, 0.0)
    return pcm(loud / np.max(np.abs(loud)) * 0.8)


def _sound(name: str) -> Sound:
    return recording(name).samples.astype(np.float64) / 32768


def _small_chart() -> Chart:
    known, taught = pronunciations(), dict(PRONUNCIATIONS)
    return spell_out(
        compact(word_graph(SMALL_JSGF)),
        lambda word: [way.split() for way in (*known.get(word, ()), taught.get(word, "")) if way],
    )
