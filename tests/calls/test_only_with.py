"""A meaning is looked for only where one of its signs stands: nothing is lost by not looking elsewhere."""

import inspect
import json
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

import pytest

from bot.calls.meant import (
    facts,
    questions,
    reminder,
    tackle,
    times_and_units,
    times_said,
    trays,
    undone,
    wishes,
)
from bot.calls.meant.reader import Line
from tests.meanings import reader

CREWS = Path(__file__).parents[2] / "fixtures" / "crews"
EVERY = 23
"""One line of so many is read."""
FOUND_IN: dict[Callable[..., Any], str] = {
    facts.cares: "mind the gaff when you step over",
    facts.found_lure: "rusty nail is back in its box",
    facts.lost_calls: "church hat's gone overboard",
    facts.needs_none: "nothing wrong with the rusty nail",
    facts.nothing_on: "nothing's on",
    facts.out_since: "rusty nail has been out since 06:40",
    facts.sided_kind: "bring the left corner closer",
    questions.another_plan: "another",
    questions.choice: "two",
    questions.drops_plan: "scrap that",
    questions.may_ask_change: "should we swap the shotgun",
    partial(reminder.cancelled_in, reader=reader()): "cancel the ice",
    reminder.is_misspelt_wish: "remaind me to check for weed in ten minutes",
    partial(reminder.moved_in, reader=reader()): "push lunch back half an hour",
    reminder.reminder_calls: "remind me to check for weed in ten minutes",
    tackle.standby_calls: "is the casting outfit ready",
    tackle.told_ready: "the casting outfit is ready",
    times_and_units.clock_bearing: "birds at two o'clock",
    times_and_units.unit_alone: "pounds",
    times_said.sets_plan: "set the spread",
    times_said.until_calls: "long rigger had the rusty nail until 08:40",
    trays.lists_a_tray: "tray three: silver 6",
    undone.undone_calls: "undo that strike",
    wishes.changes_plan: "not the church hat, he eats nothing",
    wishes.spread_calls: "have we got a black twelve ready",
    wishes.without_only: "no green",
}
"""Every look for a meaning, with a line in which it is found."""


def _name(look: Callable[..., Any]) -> str:
    return str(look.func.__name__ if isinstance(look, partial) else look.__name__)


def _everywhere(look: Callable[..., Any]) -> Callable[..., Any]:
    """Return what looks at every line, whatever signs stand in it."""
    if isinstance(look, partial):
        return partial(inspect.unwrap(look.func), **look.keywords)
    unwrapped: Callable[..., Any] = inspect.unwrap(look)
    return unwrapped


def _lines() -> list[Line]:
    said: list[str] = []
    for path in sorted(CREWS.glob("*/*.jsonl")):
        for row in map(json.loads, path.read_text("utf-8").splitlines()):
            said += [row["text"]] if "text" in row else [line[2] for line in row["lines"]]
    return [reader().line(text) for text in dict.fromkeys(said[::EVERY])]


@pytest.fixture(scope="module")
def lines() -> list[Line]:
    return _lines()


@pytest.mark.parametrize("look", FOUND_IN, ids=_name)
def test_where_no_sign_stands_there_is_nothing_to_find(
    look: Callable[..., Any], lines: list[Line]
) -> None:
    everywhere = _everywhere(look)
    lost = [line.text for line in lines if look(line) != everywhere(line)]
    assert lost == []


@pytest.mark.parametrize(("look", "text"), FOUND_IN.items(), ids=FOUND_IN.values())
def test_where_a_sign_stands_the_meaning_is_found(look: Callable[..., Any], text: str) -> None:
    assert look(reader().line(text))


@pytest.mark.parametrize("look", FOUND_IN, ids=_name)
def test_a_line_without_any_sign_is_not_looked_at(look: Callable[..., Any]) -> None:
    assert not look(reader().line("xyzzy"))
