"""Lists of lures, lines by their side, questions: what a day stumbled over; common practice, no source."""

from pathlib import Path

import pytest

from tests.desk_rig import STANDS, boxed, call, rows

BOX = """name,head,size_in,colours,ready
Grandma's Teapot,blunt,12,pink white,yes
Tin Whistle,slim,7,brown orange,yes
Copper Kettle,cupped,9,green gold,yes
Old Bicycle,slanted,8,green,yes
Sunday Roast,slanted,12,black white,yes
Left Boot,jet,8,purple black,yes
Night Bus,cupped,10,blue white,no
"""
OUT = (
    "06:00 set short corner grandma's teapot", "06:01 set long corner sunday roast",
    "06:02 set short rigger copper kettle", "06:03 set long rigger old bicycle",
    "06:04 set shotgun left boot", "06:05 lines in",
)  # fmt: skip


def since(home: Path, clock: str) -> list[tuple[str, str | None, str | None]]:
    """Return what the log holds from a time on: act, position and lure."""
    told = [row for row in rows(home, STANDS) if row["at"][11:16] >= clock]
    return [(row["act"], row["position"], row["lure"]) for row in told]


# Lists of lures


@pytest.mark.parametrize(
    "said",
    [
        "teapot, old bicycle, left boot and night bus all ready",
        "grandmas teapot, the bicycle, left boot and the night bus are ready",
    ],
)
def test_every_lure_of_a_list_is_ready(tmp_path: Path, said: str) -> None:
    with boxed(tmp_path, BOX) as desk:
        reply = call(desk, *OUT, "08:00 lines out", f"08:10 {said}")

    assert reply.text == "Ready: Grandma's Teapot, Old Bicycle, Left Boot, Night Bus."
    lures = [lure for _, _, lure in since(tmp_path, "08:10")]
    assert lures == ["Grandma's Teapot", "Old Bicycle", "Left Boot", "Night Bus"]


def test_a_lure_that_needs_work_is_not_ready_with_the_others(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *OUT, "08:10 left boot is ready, night bus needs a leader")

    assert since(tmp_path, "08:10") == [("ready", None, "Left Boot"), ("rework", None, "Night Bus")]


@pytest.mark.parametrize("opens", ["lines in with", "going again, lines in:"])
def test_lines_in_with_a_list_holds_the_lines_and_every_lure(tmp_path: Path, opens: str) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *OUT, "08:00 lines out")
        call(desk, f"08:10 {opens} teapot short corner, night bus long corner, left boot gun")

    assert since(tmp_path, "08:10") == [
        ("lines_in", None, None), ("set", "short corner", "Grandma's Teapot"),
        ("set", "long corner", "Night Bus"), ("set", "shotgun", "Left Boot"),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("said", "line"),
    [
        ("set short corner teapot", "short corner"), ("teapot gun", "shotgun"),
        ("grandmas teapot on the long rigger", "long rigger"),
        ("grandma teapot short rigger", "short rigger"),
    ],
)  # fmt: skip
def test_a_name_without_its_mark_or_its_first_word_is_that_lure(
    tmp_path: Path, said: str, line: str
) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, "06:00 trip start", f"06:10 {said}")

    assert since(tmp_path, "06:10") == [("set", line, "Grandma's Teapot")]


# Back where they were


@pytest.mark.parametrize(
    "said",
    [
        "copper kettle and old bicycle back out same spots", "same positions as before",
        "both back where they were", "kettle and bicycle out again, same spots",
    ],
)  # fmt: skip
def test_lures_go_back_to_the_lines_that_they_had(tmp_path: Path, said: str) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *OUT, "07:00 clear the short rigger", "07:01 clear the long rigger")
        call(desk, f"07:10 {said}")

    assert sorted(since(tmp_path, "07:10")) == [
        ("set", "long rigger", "Old Bicycle"), ("set", "short rigger", "Copper Kettle"),
    ]  # fmt: skip


@pytest.mark.parametrize("said", ["we fished those same spots last week", "same spots tomorrow"])
def test_talk_of_the_same_spots_puts_nothing_out(tmp_path: Path, said: str) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *OUT, "07:00 clear the short rigger", f"07:10 {said}")

    assert since(tmp_path, "07:10") == []


def test_a_lure_without_a_line_is_written_without_one(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *OUT)
        reply = call(desk, "07:10 put the night bus and the tin whistle out")

    assert "None" not in reply.text


# Lines named by their side


def test_a_rigger_by_its_side_is_asked_by_name_and_answered_in_a_word(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        asked = call(desk, *OUT, "07:00 strike! stbd rigger")
        again = call(desk, "07:00 no its the port one")
        call(desk, "07:01 short")

    assert asked.ask == again.ask == "Which rigger: the short rigger or the long rigger?"
    assert [b.label for b in asked.buttons][:2] == [
        "Starboard short rigger",
        "Starboard long rigger",
    ]
    (strike,) = rows(tmp_path, STANDS)[-1:]
    assert (strike["act"], strike["position"], strike["side"]) == ("strike", "short rigger", "port")


def test_a_rigger_that_was_set_on_a_side_leaves_the_other_one(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *OUT, "06:30 put the night bus on the short rigger, port side")
        call(desk, "07:00 strike starboard rigger")

    assert since(tmp_path, "07:00") == [("strike", "long rigger", "Old Bicycle")]


# Questions


FIGHT = (*OUT, "07:00 strike short rigger, Ruth", "07:01 fish on", "07:05 clear the long corner")


@pytest.mark.parametrize("said", ["how long she been on", "how long they been fighting it"])
def test_how_long_a_fish_has_been_on_is_told_without_has(tmp_path: Path, said: str) -> None:
    with boxed(tmp_path, BOX) as desk:
        reply = call(desk, *FIGHT, f"07:11 {said}")

    assert "on for 10 min" in reply.text


@pytest.mark.parametrize(
    "said", ["what drag's on that rod", "and what's the drag on it", "what's her drag"]
)
def test_the_drag_of_a_fight_is_that_of_its_rod(tmp_path: Path, said: str) -> None:
    toml = '[[outfit]]\nposition = "{}"\nline_class_kg = {}\n'
    outfits = "".join(toml.format(*one) for one in (("short rigger", 37), ("long corner", 60)))
    (tmp_path / "deckcall.toml").write_text(outfits)
    with boxed(tmp_path, BOX) as desk:
        reply = call(desk, *FIGHT, f"07:11 {said}")

    assert reply.text.startswith("No drag was read off a scale on the short rigger.\nThe settings ")


def test_the_drag_of_a_rod_that_is_named_is_that_one(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        reply = call(desk, *FIGHT, "07:11 what's the drag on the long corner")

    assert reply.text.startswith("No drag was read off a scale on the long corner.")


def test_what_was_lost_names_fish_and_lures(tmp_path: Path) -> None:
    lost = ("07:10 broke him off", "07:11 lost the copper kettle")
    with boxed(tmp_path, BOX) as desk:
        lures = call(desk, *FIGHT, *lost, "07:12 what lures have we lost")
        all_of = call(desk, "07:13 what did we lose")

    assert lures.text == "Lost (1): Copper Kettle"
    assert all_of.text.startswith("1 lost, 0 bites missed.")
    assert all_of.text.endswith("1 lure lost: Copper Kettle.")


def test_what_is_on_tells_a_bite_of_just_now(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        reply = call(desk, *OUT, "07:00 strike long rigger", "07:01 what's on")

    assert reply.text.startswith("Struck, long rigger, 07:00.")


@pytest.mark.parametrize(
    "said",
    [
        "how many strikes today vs yesterday", "how does today compare to the last trip",
        "are we doing better than yesterday", "strikes today compared with the last trip",
    ],
)  # fmt: skip
def test_a_day_is_told_beside_the_one_that_it_is_held_against(tmp_path: Path, said: str) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *OUT, "06:40 strike shotgun", "07:00 lines out", "07:01 trip over")
        call(desk, "12:00 trip start", "12:01 lines in", "12:20 strike shotgun, purple eight")
        call(desk, "12:30 strike shotgun")
        reply = call(desk, f"12:40 {said}")

    here, there, which = reply.text.splitlines()
    assert here.startswith("This trip: 2 strikes")
    assert "1 strike" in there
    assert "14 March" in there or there.startswith("Yesterday")
    assert which == "Too little of either to say which is better."


def test_a_question_of_yesterday_alone_is_of_yesterday(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *OUT, "06:40 strike shotgun", "07:00 lines out", "07:01 trip over")
        reply = call(desk, "12:00 trip start", "12:01 how did we do last trip")

    assert "This trip:" not in reply.text


@pytest.mark.parametrize("said", ["send me the report", "can i get the report please"])
def test_the_report_is_told_in_words_and_how_it_is_made(tmp_path: Path, said: str) -> None:
    with boxed(tmp_path, BOX) as desk:
        reply = call(desk, *OUT, "06:40 strike shotgun", f"07:10 {said}")

    assert reply.text.startswith("1 strike,")
    assert reply.text.endswith("The report: deckcall report --out day.html.")


@pytest.mark.parametrize(
    "said", ["what do we need to sort for the morning", "what needs doing for tomorrow"]
)
def test_what_is_to_be_sorted_is_what_is_not_ready(tmp_path: Path, said: str) -> None:
    with boxed(tmp_path, BOX) as desk:
        reply = call(desk, f"18:00 {said}")

    assert reply.text.startswith("To check (1): Night Bus")


# The end of the day


@pytest.mark.parametrize(
    "said", ["that's a wrap, trip over", "that's a wrap, reel em in, trip over"]
)
def test_a_wrap_ends_the_trip(tmp_path: Path, said: str) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *OUT, f"15:00 {said}")

    assert [act for act, _, _ in since(tmp_path, "15:00")][-1] == "trip_end"


@pytest.mark.parametrize("said", ["lines out, that's us", "right that'll do us, lines out"])
def test_lines_out_that_is_us_asks_for_the_end_of_the_trip(tmp_path: Path, said: str) -> None:
    with boxed(tmp_path, BOX) as desk:
        reply = call(desk, *OUT, f"15:00 {said}")
        end = call(desk, "15:01 yes")

    assert reply.text.endswith("Shall I log trip end?")
    assert [act for act, _, _ in since(tmp_path, "15:00")] == ["lines_out", "trip_end"]
    assert "Not answered" not in end.text


@pytest.mark.parametrize("said", ["lines out, we're moving", "lines out, that's us here, moving"])
def test_lines_out_for_a_while_ends_no_trip(tmp_path: Path, said: str) -> None:
    with boxed(tmp_path, BOX) as desk:
        reply = call(desk, *OUT, f"15:00 {said}")

    assert "trip end" not in reply.text


# Lures that were not heard, and all of them at once


@pytest.mark.parametrize(
    "said",
    ["swap the long corner to the cobbo", "swap the long corner", "change the long corner"],
)
def test_a_swap_to_a_lure_that_was_not_heard_is_asked_before_the_old_one_comes_in(
    tmp_path: Path, said: str
) -> None:
    with boxed(tmp_path, BOX) as desk:
        asked = call(desk, *OUT, f"07:00 {said}")
        again = call(desk, "07:00 yes")
        call(desk, "07:01 tin whistle")

    assert asked.ask == "Which lure goes out on the long corner? Sunday Roast stays till then."
    assert again.ask == asked.ask
    assert since(tmp_path, "07:00") == [("swap", "long corner", "Tin Whistle")]


def test_a_swap_whose_lure_nobody_names_changes_nothing(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        reply = call(desk, *OUT, "07:00 swap the long corner", "07:05 what's on the long corner")

    assert reply.text.startswith("Long corner: Sunday Roast")
    assert since(tmp_path, "07:00") == []


@pytest.mark.parametrize(
    "said", ["all lures are checked and ready", "everything's rigged and ready"]
)
def test_all_lures_are_ready_but_those_in_the_water(tmp_path: Path, said: str) -> None:
    with boxed(tmp_path, BOX) as desk:
        reply = call(desk, *OUT, f"07:00 {said}")

    assert reply.text == "Ready: Night Bus, Tin Whistle."


def test_the_question_whether_all_lures_are_ready_makes_none_ready(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *OUT, "07:00 are all the lures ready")

    assert since(tmp_path, "07:00") == []


# In and out again


@pytest.mark.parametrize(
    "said",
    [
        "shotgun had weed on it, cleared it, back out 2 minutes ago",
        "weed on the shotgun, cleared and back out",
    ],
)
def test_a_line_that_came_in_for_weed_and_went_out_again_has_its_lure(
    tmp_path: Path, said: str
) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *OUT, f"08:30 {said}")
        reply = call(desk, "08:31 what's on the shotgun")

    laid = [one for one in since(tmp_path, "08:20") if one[0] != "sighting"]
    assert laid == [("clear", "shotgun", None), ("set", "shotgun", "Left Boot")]
    assert reply.text.startswith("Shotgun: Left Boot")


def test_a_lure_named_after_a_line_came_in_goes_out_on_that_line(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *OUT, "08:30 clear the short corner and set the tin whistle there")

    assert since(tmp_path, "08:30") == [
        ("clear", "short corner", None), ("set", "short corner", "Tin Whistle"),
    ]  # fmt: skip


def test_a_line_that_came_in_for_weed_stays_in_where_nobody_says_more(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *OUT, "08:30 weed on the shotgun, cleared it")

    assert "set" not in [act for act, _, _ in since(tmp_path, "08:30")]


def test_since_when_a_lure_is_out_is_held_against_the_log_and_is_no_rework(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        same = call(desk, *OUT, "08:30 the teapot has been in since 06:00")
        other = call(desk, "08:31 copper kettle has been out since 06:40")
        inside = call(desk, "08:32 night bus has been out since 06:40")

    assert same.text == "As in the log: short corner, Grandma's Teapot, out since 06:00."
    assert other.ask is not None
    assert inside.text.startswith("Night Bus is not out in the log.")
    assert since(tmp_path, "08:30") == []


@pytest.mark.parametrize("day", ["for tomorrow", "for the arvo", "for the morning"])
def test_the_day_of_a_plan_is_no_wish_that_was_not_understood(tmp_path: Path, day: str) -> None:
    with boxed(tmp_path, BOX) as desk:
        reply = call(desk, f"18:00 plan a spread {day} at eight and a half knots")

    assert reply.text.startswith("Plan for 8.5 kn")
    assert "not understood" not in reply.text


# An answer goes to the question that it fits


@pytest.mark.parametrize("between", ["what's out", "did we beat yesterday's biggest", "nice fish"])
def test_the_line_of_a_catch_is_asked_and_told_by_whoever_knows_it(
    tmp_path: Path, between: str
) -> None:
    with boxed(tmp_path, BOX) as desk:
        asked = call(desk, *OUT, "07:00 boated a yellowfin")
        call(desk, f"07:00 {between}", crew="Pete")
        call(desk, "07:01 long rigger", crew="Ruth")

    assert asked.text.startswith("Boated, yellowfin tuna. Which position?")
    assert since(tmp_path, "07:00") == [("boat", "long rigger", None)]


@pytest.mark.parametrize("said", ["set it, as of 6:10", "set it from 6:10"])
def test_a_plan_is_set_as_of_a_time(tmp_path: Path, said: str) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, "06:30 plan a spread", f"06:31 {said}")

    assert {row["at"][11:16] for row in rows(tmp_path, STANDS) if row["act"] == "set"} == {"06:10"}
