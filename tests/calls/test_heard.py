"""What the lines of the ears come to: many wordings of one call, rivals, talk."""

from math import exp

import pytest

from bot.bench.corpus import corpus_language
from bot.calls.heard import NAMES, OPEN, figures, read_transcript, understand_heard
from bot.calls.language import Language
from bot.transcript import Alternative, Transcript


@pytest.fixture(scope="module")
def words() -> Language:
    """Make the language once."""
    return corpus_language()


def _heard(*lines: tuple[str, float], **signals: float) -> Transcript:
    alternatives = tuple(Alternative(text, exp(sure)) for text, sure in lines)
    return Transcript(alternatives, OPEN, 2.0, {"deck_first": 0.0, "plain_first": 0.0} | signals)


def test_a_clear_call_is_done(words: Language) -> None:
    found = understand_heard(_heard(("strike long rigger purple eight", -0.01)), words)

    assert [call.act for call in found.calls] == ["strike"]
    assert found.ask is None


def test_the_same_call_in_other_words_makes_it_likelier(words: Language) -> None:
    alone = _heard(("strike shotgun", -0.35), ("striped shot", -0.37))
    twice = _heard(("strike shotgun", -0.35), ("strike on the shotgun", -0.37))

    one, both = (understand_heard(heard, words) for heard in (alone, twice))

    assert both.confidence > one.confidence
    assert both.calls == one.calls


def test_two_calls_that_are_as_likely_are_asked_about(words: Language) -> None:
    found = understand_heard(
        _heard(("set long rigger black ten", -0.4), ("set long rigger pink ten", -0.41)), words
    )

    assert found.ask is not None
    assert len(found.options) == 2


def test_talk_with_a_faint_call_behind_it_stays_talk(words: Language) -> None:
    found = understand_heard(
        _heard(("did anybody bring the sandwiches", -0.03), ("bring in the shotgun", -1.4)), words
    )

    assert found.calls == ()


def test_nothing_heard_is_nothing(words: Language) -> None:
    assert understand_heard(Transcript((), OPEN), words).calls == ()


def test_the_figures_of_a_line_are_its_sound_and_how_far_it_is_ahead(words: Language) -> None:
    one = read_transcript(_heard(("lines in", -0.1), ("did you eat", -0.5)), words)

    shown = dict(zip(NAMES, figures(one[0].meant.calls, one, {}), strict=True))

    assert shown["acoustic"] == pytest.approx(-0.1)
    assert 0.4 <= shown["behind"] <= 1.0
    assert shown["alike"] == 0.25


def test_calls_are_no_likelier_than_an_equal_rival_leaves(words: Language) -> None:
    found = understand_heard(
        _heard(("set long rigger black ten", -0.01), ("set long rigger pink ten", -0.01)), words
    )

    assert found.confidence <= 0.5
    assert found.ask is not None


@pytest.mark.parametrize(
    ("line", "sure", "acts"),
    [
        ("man overboard man overboard", -0.4, ["emergency"]),
        ("he's on it theo it's through", -0.96, []),
        ("man overboard man overboard", -1.6, []),
    ],
)
def test_a_cry_is_acted_on_where_it_was_made_out(
    words: Language, line: str, sure: float, acts: list[str]
) -> None:
    heard = _heard((line, sure), ("we had a good one on it", sure - 0.05))

    found = understand_heard(heard, words)

    assert [c.act for c in found.calls if c.act == "emergency"] == acts


def test_lines_that_cry_together_are_acted_on(words: Language) -> None:
    lines = (
        "mayday mayday may day this is a ski boat off richards bay",
        "mayday mayday may day this is a ski boat off richard's bay",
        "maybe maybe maybe which is a steebo up liter bay",
    )
    sure = (-0.43, -0.44, -1.08)

    found = understand_heard(_heard(*zip(lines, sure, strict=True)), words)

    assert ([c.act for c in found.calls], found.ask) == (["emergency"], None)


def test_what_may_be_a_cry_is_no_question_and_not_silent(words: Language) -> None:
    heard = _heard(("we had a good one on it", -0.3), ("man overboard man overboard", -0.7))

    found = understand_heard(heard, words)

    assert (found.calls, found.ask) == ((), None)
    assert any(way.may_be_trouble for way in found.ways)
