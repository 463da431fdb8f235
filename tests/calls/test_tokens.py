"""A line as typed or heard to words, each with its place in the line."""

import pytest
from hypothesis import given, strategies as st

from bot.calls.tokens import MAX_WORDS, tokenise


def _words(line: str) -> list[str]:
    return [t.text for t in tokenise(line, {"hookup": ("hook", "up"), "sg": ("shotgun",)})]


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("Strike, LONG rigger!", "strike long rigger"),
        ("he's off", "he is off"),
        ("he\u2019s off", "he is off"),
        ("can't won't didn't", "can not will not did not"),
        ("we're we'll I'd they've I'm", "we are we will i would they have i am"),
        ("8kts", "8 kts"),
        ("82.1F", "82.1 f"),
        ("1,200 ft", "1200 ft"),
        ("10:40 6h15", "10:40 6:15"),
        ("7 1/2 and 3/4", "7.5 and 0.75"),
        ("7-1/2", "7.5"),
        ('10" blk', "10 inch blk"),
        ("5'4\"", "5 foot 4 inch"),
        ("wahoo x2", "wahoo x2"),
        ("3x stripey", "x3 stripey"),
        ("tag #A2217", "tag #a2217"),
        ("purple/black & gold @ sg", "purple / black and gold at shotgun"),
        ("hookup", "hook up"),
        ("3.50pm", "3:50 pm"),
        ("25\u00b0C", "25 degrees c"),
        ("s/corner", "s corner"),
        ("the mate's lure", "the mate is lure"),
        ("...", ""),
        ("", ""),
    ],
)
def test_a_line_becomes_these_words(line: str, words: str) -> None:
    assert " ".join(_words(line)) == words


def test_every_word_knows_where_it_stood_and_the_stop_before_it() -> None:
    line = "Strike SG, he's off"

    tokens = tokenise(line, {"sg": ("shotgun",)})

    assert [line[t.start : t.end] for t in tokens] == ["Strike", "SG", "he's", "he's", "off"]
    assert [t.stop for t in tokens] == [False, False, True, False, False]
    assert tokens[2].mark == ","


def test_what_follows_the_sixtieth_word_is_talk() -> None:
    assert len(tokenise("strike " * 500, {})) <= MAX_WORDS + 1


@given(st.text(max_size=200))
def test_no_text_raises_and_places_are_in_order(line: str) -> None:
    tokens = tokenise(line, {})

    places = [(t.start, t.end) for t in tokens]
    assert places == sorted(places)
    assert all(0 <= start < end <= len(line) for start, end in places)
    assert all(t.text for t in tokens)
