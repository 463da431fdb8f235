"""Whisper for real, with the weights of the package that carries it."""

import numpy as np
import pytest

from bot.speech.audio import Pcm
from bot.speech.silence import cut
from bot.speech.written_ear import Writer, deck_writer, log_mel, mel_filters, writer
from tests.speech.recordings import noise, pcm, recording


@pytest.fixture(scope="module")
def found() -> Writer:
    """Return Whisper; it is a dependency, so that it must be there."""
    there = writer()
    assert there is not None
    return there


def test_text_is_cut_into_the_tokens_of_gpt_2(found: Writer) -> None:
    # Published vocabulary of GPT-2 (encoder.json): " hello" 23748, " world" 995, "." 13.
    assert found.text_tokens("hello world") == [23748, 995, 13]


def test_the_mel_filters_are_those_that_whisper_was_trained_with() -> None:
    # faster-whisper and openai/whisper ship the same table; its first filter has one bin, 0.02486259.
    filters = mel_filters()

    assert filters.shape == (80, 201)
    assert filters[0, 1] == pytest.approx(0.02486259, abs=1e-7)
    assert np.count_nonzero(filters[0]) == 1


def test_the_features_are_those_of_faster_whisper() -> None:
    # The reference is faster-whisper's own extractor on the same sound.
    reference = pytest.importorskip("faster_whisper.feature_extractor").FeatureExtractor()
    sound = np.asarray(recording("fish_on").samples / 32768, np.float32)

    ours, theirs = log_mel(sound), reference(sound, padding=0)

    assert np.allclose(ours, theirs[:, : ours.shape[1]], atol=1e-4)


def test_what_was_said_is_written_down(found: Writer) -> None:
    lines = found.write(found.listen(cut(recording("lines_in_woman"))))

    assert lines[0] == "lines in"


def test_what_was_said_is_likelier_than_what_sounds_alike_once_heard(found: Writer) -> None:
    said = ["strike shotgun", "strike short rigger", "lines out"]
    heard = found.listen(cut(recording("strike_shotgun")))

    gained = [
        with_sound - without
        for with_sound, without in zip(
            found.likelihoods(heard, said), found.score_unheard(said), strict=True
        )
    ]

    assert max(gained) == gained[0]
    assert gained[0] > 10  # natural logarithm: heard, the words are far likelier than unheard


def test_the_likelihood_of_a_text_does_not_depend_on_what_is_weighed_beside_it(
    found: Writer,
) -> None:
    heard = found.listen(cut(recording("fish_on")))
    texts = [f"{act} {where}" for act in ("strike", "clear", "set") for where in "abcd"]

    together = found.likelihoods(heard, ["fish on", *texts])
    alone = found.likelihoods(heard, ["fish on"])

    assert together[0] == pytest.approx(alone[0], abs=0.5)  # sums in 8 bit differ with the batch


def test_a_sliver_of_sound_does_not_end_in_an_error(found: Writer) -> None:
    heard = found.listen(pcm(noise(0.05, 0.1)))

    assert found.likelihoods(heard, ["fish on"])[0] < 0
    assert found.likelihoods(heard, []) == []


@pytest.mark.parametrize(
    ("names", "wanted"),
    [
        (
            ("released_blue", "strike_long_rigger"),
            "released a blue marlin strike long rigger purple eight",
        ),
        (
            ("set_long_rigger", "strike_short_corner"),
            "set long rigger black ten strike short corner",
        ),
    ],
)
def test_the_second_of_two_calls_in_one_recording_is_written_too(
    names: tuple[str, str], wanted: str
) -> None:
    deck = deck_writer()
    assert deck is not None
    both = np.concatenate([cut(recording(name)).samples for name in names])

    lines = deck.whole_lines(deck.listen(Pcm(both)))

    assert lines[0].text == wanted


@pytest.mark.parametrize("name", ["fish_on", "missed_it", "released_mahi", "strike_long_rigger"])
def test_nothing_is_put_behind_a_call_that_is_whole(name: str) -> None:
    deck = deck_writer()
    assert deck is not None
    heard = deck.listen(cut(recording(name)))

    assert deck.whole_lines(heard) == deck.lines(heard)
