"""Numbers and times of day against num2words, text2num and the digit words of IMO A.918(22)."""

import pytest
from num2words import num2words
from text_to_num import text2num

from bot.bench.corpus import corpus_language
from bot.calls.grammar_text import RANGE_KINDS, words_of
from bot.calls.lattice import Lattice, plain
from bot.calls.numbers import numbers_at
from bot.calls.times import clocks_at
from bot.calls.tokens import tokenise


def _lattice(text: str) -> Lattice:
    return plain(tokenise(text, {}))


def _whole(text: str) -> set[float]:
    lattice = _lattice(text)
    return {n.value for n in numbers_at(lattice, 0) if n.end == lattice.size}


@pytest.mark.parametrize("number", [*range(0, 130), *range(130, 1000, 7), *range(1000, 9999, 97)])
def test_what_num2words_says_is_read_back(number: int) -> None:
    said = num2words(number).replace(",", "")

    assert float(number) in _whole(said)


@pytest.mark.parametrize(
    "said", ["eighty-one", "two hundred and forty", "nine hundred ninety nine", "fifty-one"]
)
def test_text2num_reads_the_same(said: str) -> None:
    assert float(text2num(said, "en")) in _whole(said)


@pytest.mark.parametrize(
    ("said", "value"),
    [
        ("niner", 9), ("fife", 5), ("tree", 3), ("fower", 4), ("ait", 8),
        ("two decimal five", 2.5), ("two point five", 2.5), ("one five zero", 150),
    ],
)  # fmt: skip
def test_digits_as_the_imo_phrases_have_them(said: str, value: float) -> None:
    """IMO Standard Marine Communication Phrases, A.918(22), General 2.2 and 10."""
    assert value in _whole(said)


@pytest.mark.parametrize(
    ("said", "value"),
    [
        ("eight and a half", 8.5), ("six and three quarters", 6.75), ("seven and a quarter", 7.25),
        ("two twenty", 220), ("a hundred and fifty", 150), ("half a dozen", 6), ("7 1/2", 7.5),
        ("one fifty five", 155), ("1,200", 1200), ("7,5", 7.5), ("nought point five", 0.5),
    ],
)  # fmt: skip
def test_numbers_as_they_are_said_on_deck(said: str, value: float) -> None:
    assert value in _whole(said)


@pytest.mark.parametrize(
    ("said", "clock"),
    [
        ("ten forty", "10:40"), ("quarter to four in the afternoon", "15:45"), ("1410", "14:10"),
        ("half past ten", "10:30"), ("noon", "12:00"), ("6:10am", "06:10"), ("5:30pm", "17:30"),
        ("ten to seven", "06:50"), ("eight twenty", "08:20"), ("six oh five", "06:05"),
        ("twelve thirty a m", "00:30"), ("3.50pm", "15:50"),
    ],
)  # fmt: skip
def test_times_of_day(said: str, clock: str) -> None:
    lattice = _lattice(said)

    found = {c.clock for c in clocks_at(lattice, 0) if c.end == lattice.size}

    assert clock in found


def test_a_range_of_feet_is_no_time_of_day() -> None:
    units = words_of(corpus_language(networks=False).grammar.units, RANGE_KINDS)
    clocks = clocks_at(_lattice("four to six feet"), 0, units)

    assert "05:56" not in {found.clock for found in clocks}
    assert "05:56" in {found.clock for found in clocks_at(_lattice("four to six"), 0, units)}
