"""No line of any content raises, however long; what is said about it keeps to its bounds."""

from typing import Final

import pytest
from hypothesis import HealthCheck, given, settings, strategies as st

from bot.calls.language import Language
from bot.calls.understand import understand
from bot.transcript import Alternative, Transcript, typed_transcript

LONGEST: Final = 4096
SHARED = settings(
    deadline=None, max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture]
)


def _understood(line: str, words: Language) -> None:
    found = understand(typed_transcript(line), words)

    assert 0.0 <= found.confidence <= 1.0
    assert found.ask is None or found.calls
    for call in found.calls:
        call.to_json()


@SHARED
@given(line=st.text(max_size=LONGEST))
def test_any_characters_are_read(line: str, words: Language) -> None:
    _understood(line, words)


@SHARED
@given(data=st.data())
def test_any_words_of_the_language_are_read(data: st.DataObject, words: Language) -> None:
    known = sorted(words.grammar.vocabulary | words.grammar.talk_words | words.grammar.heard.keys())
    said = st.lists(st.sampled_from(known), max_size=40).map(" ".join)

    _understood(data.draw(said), words)


@SHARED
@given(line=st.text(alphabet="0123456789 .,:/'\"#x-half tag at", max_size=300))
def test_any_figures_are_read(line: str, words: Language) -> None:
    _understood(line, words)


@SHARED
@given(alternatives=st.lists(st.tuples(st.text(max_size=60), st.floats(0, 1)), max_size=8))
def test_any_alternatives_of_a_recording_are_read(
    alternatives: list[tuple[str, float]], words: Language
) -> None:
    heard = Transcript(tuple(Alternative(t, s) for t, s in alternatives), engine="pocketsphinx")

    assert 0.0 <= understand(heard, words).confidence <= 1.0


@pytest.mark.parametrize(
    "line",
    [
        "9" * LONGEST,  # a number too great for a float once raised
        "tag " + "7" * LONGEST,
        "a" * LONGEST,
        "blue and " * 450,
        "two hundred and " * 250,
        "x" + "9" * 400,
        "\u00b2\u0663 \u0130stanbul 7\u00bd",
        "\ud800 strike",
        "\x00\x1b[31m",
    ],
)
def test_lines_that_were_trouble_are_read(line: str, words: Language) -> None:
    _understood(line, words)


def test_a_note_is_kept_whole_however_long(words: Language) -> None:
    told = " ".join(f"{n} rods looked over" for n in range(40))

    (call,) = understand(typed_transcript(f"note: {told}."), words).calls

    assert call.act == "note"
    assert call.text == told
