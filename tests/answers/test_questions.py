"""Questions of the crew, answered from the trip."""

from dataclasses import replace
from datetime import timedelta, timezone

import pytest

from bot.answers.questions import answer, answers
from bot.answers.tallies import TWO_COLOURS, tally_line
from bot.tackle.cautions import CAUTIONS
from bot.trip.acts import QUESTIONS
from tests.answers.views import BOX, view
from tests.builders import call, entry, log_of
from tests.meanings import asked

DAY = log_of(
    ("06:00", call("lines_in")),
    ("06:00", call("set", "short corner", "black 12")),
    ("06:00", call("set", "long corner", "purple 8")),
    ("07:00", call("strike", "short corner"), call("hookup")),
    ("07:20", call("boat", species="wahoo", weight_kg=14.0)),
    ("08:00", call("strike", "long corner")),
    ("08:01", call("miss")),
    ("08:10", call("sighting", what="birds")),
)


@pytest.mark.parametrize("act", sorted(QUESTIONS))
@pytest.mark.parametrize("records", [(), DAY], ids=["empty log", "a day"])
def test_every_question_has_an_answer_in_words(act: str, records: tuple) -> None:  # type: ignore[type-arg]
    for box in ((), BOX):
        found = answer(view(records, "09:00", box), call(act))

        assert found.text.strip()
        assert found.spoken.strip()
        assert "None" not in found.text
        assert len(found.text.splitlines()[0]) < 200


def test_a_yes_beside_a_call_has_no_answer_of_its_own() -> None:
    said = (call("yes"), call("ask_sun"))

    assert len(answers(view(DAY, "09:00", BOX), said)) == 1


def test_the_tally_of_one_position_says_nothing_of_the_others() -> None:
    found = answer(view(DAY, "09:00"), call("ask_tally", "short corner"))

    assert found.text.startswith("Short corner: 1 strike, 1 hook-up, 1 caught in 2.7 lure-hours.")


def test_the_tally_by_colour_has_a_row_for_each_and_the_sum() -> None:
    found = answer(view(DAY, "09:00"), call("ask_tally", about="colour"))

    lines = found.text.splitlines()
    assert lines[0].startswith("purple: 1 strike in 3.0 h")
    assert lines[1].startswith("black: 1 strike, 1 caught in 2.7 h")
    assert lines[2] == "All: 2 strikes, 1 hook-up, 1 caught in 5.7 lure-hours."
    assert lines[3].startswith("Hooked 1 of 2, too few to say")
    assert lines[-1] == "2 strikes in all: too few to say which is better."


def test_a_time_that_is_said_is_where_the_tally_starts() -> None:
    found = answer(view(DAY, "09:00"), call("ask_tally", clock="07:30"))

    assert found.text.startswith("1 strike, 0 hook-ups")


def test_what_is_out_is_listed_from_the_boat_outwards_with_hours() -> None:
    found = answer(view(DAY, "09:00"), call("ask_spread"))

    assert found.text.splitlines() == [
        "Short corner: black 12-inch (2.7 h, 1 strike)",
        "Long corner: purple 8-inch (3.0 h, 1 strike)",
        "Empty: short rigger, long rigger, shotgun.",
    ]


def test_where_a_lure_is() -> None:
    found = answer(view(DAY, "09:00"), call("ask_spread", lure="purple 8"))

    assert found.text.startswith("Long corner: purple 8-inch")
    assert (
        answer(view(DAY, "09:00"), call("ask_spread", lure="red 6")).text == "No red 6-inch is out."
    )


def test_the_last_strike_and_the_last_entry() -> None:
    found = answer(view(DAY, "09:00"), asked("when was the last bite", "ask_last"))
    entry = answer(view(DAY, "09:00"), asked("read back the last entry", "ask_last"))

    bite = "Last strike 08:00, 1 h 00 min ago, long corner, purple 8-inch, missed."
    assert found.text == bite
    assert entry.text.startswith("Last entry: seen, birds, 08:10, 50 min ago")


def test_times_are_the_boats_own() -> None:
    tz = timezone(timedelta(hours=13))

    found = answer(view(DAY, "09:00", tz=tz), call("ask_last", "short corner"))

    assert "Last strike 20:00" in found.text


def test_sun_times_need_a_position_and_say_so() -> None:
    without = answer(view(), call("ask_sun"))
    there = answer(view(clock="00:30", place=(-36.8, 174.8)), call("ask_sun"))

    assert "latitude" in without.text
    assert "Sunrise" in there.text or "sunrise" in there.text


def test_ready_lures_are_listed_and_a_used_one_is_to_be_checked() -> None:
    records = log_of(
        ("06:00", call("lines_in")),
        ("06:00", call("set", "shotgun", "@Tea Cosy")),
        ("07:00", call("clear", "shotgun")),
    )

    found = answer(view(records, "08:00", BOX), call("ask_ready"))
    one = answer(view(records, "08:00", BOX), call("ask_ready", lure="@Tea Cosy"))

    assert "Ready (3): Garden Gate, 12-inch; Milk Jug, 10-inch; Tin Whistle, 6-inch" in found.text
    assert "To check (1): Tea Cosy" in found.text
    assert one.text == "Tea Cosy: to check (1.0 h in the water since it was checked)"


def test_help_has_the_cautions_in_full_only_where_one_person_reads_it() -> None:
    private = answer(view(), call("help"), private=True)
    group = answer(view(), call("help"))

    assert all(text in private.text for text in CAUTIONS.values())
    assert "skipper" in group.text
    assert CAUTIONS["gaff"] not in group.text


def test_a_plan_offers_to_be_set_and_another_differs_in_three_lures() -> None:
    from bot.tackle.items import Lure
    from bot.trip.entry import Asked
    from tests.builders import at

    colours = ("black", "blue", "red", "green", "pink", "silver")
    box = [
        Lure(f"{colour} {size}", size, (colour,), ready=True)
        for colour in colours
        for size in (6, 8, 10)
    ]
    first = answer(view(box=box), call("plan"))
    assert first.offer is not None
    offer = first.offer
    offered = Asked("q", offer.question, offer.options, at("12:00"), about=offer.about)
    second = answer(view(box=box, asked=offered), asked("another plan", "plan"))

    assert second.offer is not None
    lures = [{c.lure for c in offer.options[0]} for offer in (first.offer, second.offer)]
    assert len(lures[1] - lures[0]) >= 3
    assert all(c.act == "set" for c in first.offer.options[0])


def test_the_tally_line_names_the_colour_and_the_place_of_the_fish() -> None:
    seen = view(DAY, "09:00")

    strike = tally_line(seen, seen.trip.fish[1], "strike")
    caught = tally_line(seen, seen.trip.fish[0], "boat")

    assert strike == "Purple 1 of 2 strikes; long corner 1 in 3.0 h."
    assert caught == "1 hook-up of 2 strikes, 1 caught; short corner 1 in 2.7 h."


def test_what_had_most_strikes_is_named_only_where_it_had_more_than_the_rest() -> None:
    tied = (
        entry("06:00", "set", "short corner", "black purple 8"),
        entry("06:00", "set", "shotgun", "pink 8"),
        entry("06:00", "lines_in"),
        entry("07:00", "strike", "short corner"),
        entry("07:30", "strike", "shotgun"),
    )

    whole = answer(view(tied, "08:00"), call("ask_tally")).text
    more = answer(view((*tied, entry("07:40", "strike", "shotgun")), "08:00"), call("ask_tally"))

    assert "Most strikes: 8-inch 2 in 4.0 h." in whole
    assert more.text.endswith(
        "Most strikes: pink 2 in 2.0 h; 8-inch 3 in 4.0 h; shotgun 2 in 2.0 h."
    )


def test_a_lure_of_two_colours_counts_under_each_and_that_is_said() -> None:
    two = (
        entry("06:00", "set", "short corner", "black purple 8"),
        entry("06:00", "lines_in"),
        entry("07:00", "strike", "short corner"),
    )
    one = (replace(two[0], call=call("set", "short corner", "black 8")), *two[1:])
    asks = call("ask_tally", about="colour")

    assert TWO_COLOURS in answer(view(two, "08:00"), asks).text
    assert TWO_COLOURS not in answer(view(one, "08:00"), asks).text
