"""What `hear --json` says of a recording: the outcome that a desk would come to."""

from datetime import UTC, datetime

import pytest

from bot.bench.corpus import corpus_language
from bot.calls.heard import OPEN
from bot.calls.language import Language
from bot.calls.weigh import Hints
from bot.desk.understood import understand_transcript, would_do
from bot.transcript import Alternative, Transcript

AT = datetime(2026, 2, 7, tzinfo=UTC)


@pytest.fixture(scope="module")
def words() -> Language:
    """Make the language once."""
    return corpus_language()


@pytest.mark.parametrize(
    ("text", "score", "outcome"),
    [
        ("strike long rigger purple eight", 0.99, "logged"),
        ("what next", 0.99, "answered"),
        ("did anybody bring the sandwiches from the kitchen", 0.98, "talk"),
        ("an young haseau chort ha", 0.36, "refused"),
    ],
)
def test_a_recording_comes_to_one_of_the_outcomes_of_the_contract(
    words: Language, text: str, score: float, outcome: str
) -> None:
    heard = Transcript((Alternative(text, score),), OPEN, 2.0)

    assert would_do(understand_transcript(heard, words, Hints()), heard, AT)[0] == outcome


def test_two_colours_that_sound_as_likely_are_asked_about(words: Language) -> None:
    heard = Transcript(
        (
            Alternative("set long rigger black ten", 0.66),
            Alternative("set long rigger pink ten", 0.65),
        ),
        OPEN,
        2.0,
    )

    outcome, question = would_do(understand_transcript(heard, words, Hints()), heard, AT)

    assert outcome == "asked"
    assert question


def test_nothing_heard_is_to_be_said_again(words: Language) -> None:
    heard = Transcript((), OPEN, 2.0)

    assert would_do(understand_transcript(heard, words, Hints()), heard, AT) == ("refused", None)
