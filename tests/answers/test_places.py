"""The way back to a strike or a mark."""

from typing import Any

from bot.answers.places import (
    UNKNOWN_HERE,
    UNKNOWN_THERE,
    from_here,
    last_mark,
    way_words,
)
from bot.answers.questions import answer
from bot.trip.call import Call
from bot.water.bearing import Leg
from tests.answers.views import view
from tests.builders import entry
from tests.meanings import asked

HERE = (21.0, -157.0)
THERE: dict[str, Any] = {"latitude": 20.8816726, "longitude": -156.8741438}
"""10 nm at 135 degrees true from `HERE` on WGS 84 (recomputed with two libraries)."""


def test_the_way_to_the_last_strike_is_told_where_both_places_are_known() -> None:
    strike = entry("11:00", "strike", "long rigger", **THERE)

    told = answer(view([strike], here=HERE), Call("ask_last"))

    assert told.text.splitlines()[0].endswith("long rigger. 10 nm, 135° true from here.")


def test_nothing_is_said_of_places_that_nobody_shared_unless_asked() -> None:
    strike = entry("11:00", "strike", "long rigger")
    placed = entry("11:00", "strike", "long rigger", **THERE)

    assert from_here(view([strike], here=HERE), Call("ask_last"), {strike.id}) == ""
    far = asked("how far to the last strike", "ask_last")
    assert from_here(view([strike], here=HERE), far, {strike.id}) == UNKNOWN_THERE
    assert from_here(view([placed]), far, {placed.id}) == UNKNOWN_HERE


def test_the_last_mark_is_named_with_its_way() -> None:
    marks = [entry("10:00", "mark", text="ledge"), entry("11:30", "mark", text="wreck", **THERE)]
    there, mark = view(marks, here=HERE), asked("distance to the mark", "ask_last")

    assert (
        last_mark(there, mark) == "Last mark 11:30, 30 min ago: wreck. 10 nm, 135° true from here."
    )
    assert answer(there, mark).text == last_mark(there, mark)
    assert "No spot is marked" in last_mark(view(), mark)


def test_short_ways_are_in_metres_and_bearings_have_three_figures() -> None:
    assert way_words(Leg(0.05, 4.6)) == "93 m, 005° true"
    assert way_words(Leg(1.234, 359.7)) == "1.2 nm, 000° true"
