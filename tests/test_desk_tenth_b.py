"""Lures lost and found, lists, lines cleared, changed plans: from a day; common practice, no source."""

from pathlib import Path

import pytest

from bot import Desk
from bot.answers.open_questions import question_for
from bot.calls.phrasing import question as put
from bot.desk.outcome import buttons_of
from bot.desk.put_right import with_targets
from bot.trip.call import Call
from bot.trip.entry import Asked
from tests.desk_rig import STANDS, at, boxed, call, rows

BOX = """name,head,size_in,colours,ready,speed_min_kn,speed_max_kn
Paper Moon,cupped,13,black purple,yes,6,9
Garden Gate,slanted,11,blue white,yes,6,9
Iron Kettle,blunt,12,green yellow,yes,6,9
Red Wagon,slanted,9,red orange,yes,6,9
Tin Roof,slim,7,green,yes,6,9
Wool Sock,cupped,9,brown pink,yes,6,9
Pear Tree,jet,8,green chartreuse,yes,6,9
Back Porch,jet,8,yellow orange,yes,6,9
Nan's Apron,slim,6,pink white,no,6,9
"""
OUT = (
    "06:00 set short corner paper moon", "06:01 set long corner garden gate",
    "06:02 set short rigger iron kettle", "06:03 set long rigger red wagon",
    "06:04 set shotgun tin roof", "06:05 lines in",
)  # fmt: skip


def since(home: Path, clock: str) -> list[tuple[str, str | None, str | None]]:
    """Return what the log holds from a time on: act, position and lure."""
    told = [row for row in rows(home, STANDS) if row["at"][11:16] >= clock]
    return [(row["act"], row["position"], row["lure"]) for row in told]


def spread(desk: Desk) -> dict[str, str | None]:
    return {lure.position: lure.lure for lure in desk.view().trip.spread.values()}


# Lures lost and found


@pytest.mark.parametrize(
    "said",
    [
        "tin roof is lost, prop cut the line", "the tin roof's gone, bit off",
        "lost the tin roof, toothy critter",
        "chewed the tin roof clean off", "nope tin roof's gone with him", "oh no, the tin roof is lost",
    ],
)  # fmt: skip
def test_a_lost_lure_is_off_its_line_and_not_ready(tmp_path: Path, said: str) -> None:
    with boxed(tmp_path, BOX) as desk:
        reply = call(desk, *OUT, f"07:00 {said}")
        out = spread(desk)
        ready = call(desk, "07:01 what's ready").text

    assert reply.text.startswith("Lost: Tin Roof. It was on the shotgun.")
    assert "shotgun" not in out
    assert "Lost (1): Tin Roof" in ready


@pytest.mark.parametrize(
    "said", ["tin roof lost its skirt", "tin roof is missing a hook", "did we lose the tin roof?"]
)
def test_a_lure_that_lost_a_part_or_is_asked_about_is_not_lost(tmp_path: Path, said: str) -> None:
    with boxed(tmp_path, BOX) as desk:
        reply = call(desk, *OUT, f"07:00 {said}")
        out = spread(desk)

    assert "Lost:" not in reply.text
    assert out["shotgun"] == "Tin Roof"


def test_a_lure_lost_with_its_fish_is_asked_about(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        asked = call(
            desk,
            *OUT,
            "07:00 strike shotgun",
            "07:01 hooked up",
            "07:02 chewed the tin roof clean off",
        )
        call(desk, "07:02 first")

    assert asked.ask is not None
    assert "broken off, shotgun" in asked.ask
    assert since(tmp_path, "07:02")[-1][:2] == ("break_off", "shotgun")


def test_a_lure_is_found_again(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *OUT, "07:00 lost the tin roof")
        call(desk, "07:10 tin roof is not lost, I have it here in my hand")
        ready = call(desk, "07:11 what's ready").text

    assert "Lost" not in ready
    assert "To check (2): Tin Roof" in ready or "Tin Roof" in ready


def test_a_lure_that_went_with_a_fish_came_back_for_work(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *OUT, "07:00 strike shotgun", "07:01 hooked up", "07:02 broke him off")
        call(desk, "07:10 tin roof came back ok, leader chafed though")
        ready = call(desk, "07:11 what's ready").text

    assert "To rework (1): Tin Roof" in ready
    assert "Lost" not in ready


def test_a_lost_lure_that_goes_in_nowhere_is_said_to_be_lost(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        reply = call(desk, *OUT, "07:00 lost the pear tree", "07:05 swap in the pear tree")

    assert "Pear Tree is lost in the log" in reply.text


# Lines of a boat's own

OWN = """[boat]
positions = ["left flat", "right flat", "left short", "right short", "left long", "right long", "shotgun"]
"""
LAID = (
    "06:00 set left flat paper moon", "06:01 set right flat garden gate", "06:02 set left short iron kettle",
    "06:03 set right short red wagon", "06:04 set left long wool sock", "06:05 set shotgun tin roof",
    "06:06 lines in",
)  # fmt: skip
USUAL = {"short corner", "long corner", "short rigger", "long rigger"}


def own_lines(home: Path) -> Desk:
    (home / "deckcall.toml").write_text(OWN)
    return boxed(home, BOX)


def on_both_sides(desk: Desk) -> None:
    call(desk, *LAID, "07:00 strike left short", "07:00 hooked up left short")
    call(desk, "07:01 strike right flat", "07:01 hooked up right flat")


@pytest.mark.parametrize(
    "said",
    [
        "clear the right flat and right short", "wind in the left flat, right short and left long",
        "strike the long one", "nah, leave em. we kept the gun, left flat and left long in",
    ],
)  # fmt: skip
def test_no_line_that_the_boat_has_not_is_offered_or_logged(tmp_path: Path, said: str) -> None:
    with own_lines(tmp_path) as desk:
        on_both_sides(desk)
        reply = call(desk, f"07:02 {said}")

    assert not any(line in reply.text for line in USUAL)
    assert not USUAL & {position for _, position, _ in since(tmp_path, "06:00")}


def test_a_usual_line_is_refused_by_a_boat_with_names_of_its_own(tmp_path: Path) -> None:
    with own_lines(tmp_path) as desk:
        reply = call(desk, *LAID, "07:00 put the pear tree on the short corner")
        bitten = call(desk, "07:01 strike short corner")

    assert reply.text.startswith("This boat has no short corner. Its lines: left flat, right flat")
    assert bitten.text.startswith("Strike. Which position?")
    assert since(tmp_path, "07:00") == [("strike", None, None)]


# Lines cleared for a fish


@pytest.mark.parametrize(
    "said",
    [
        "clear everything but the fish", "get the rest of em in, all but the two with fish",
        "clear all but the fish", "get the rest in",
    ],
)  # fmt: skip
def test_all_lines_without_a_fish_are_cleared(tmp_path: Path, said: str) -> None:
    with own_lines(tmp_path) as desk:
        on_both_sides(desk)
        call(desk, f"07:02 {said}")
        out = spread(desk)

    assert set(out) == {"left short", "right flat"}
    cleared = {position for act, position, _ in since(tmp_path, "07:02") if act == "clear"}
    assert cleared == {"left flat", "right short", "left long", "shotgun"}


def test_all_lines_are_cleared_but_the_one_that_is_named(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(
            desk,
            *OUT,
            "07:00 strike shotgun",
            "07:02 clear all but the long corner and the shotgun",
        )

    cleared = {position for act, position, _ in since(tmp_path, "07:02") if act == "clear"}
    assert cleared == {"short corner", "short rigger", "long rigger"}


def test_with_only_the_line_of_the_fish_out_nothing_is_cleared(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(
            desk,
            *OUT,
            "07:00 strike shotgun",
            "07:01 get the rest in",
            "07:02 clear all but the fish",
        )

    assert since(tmp_path, "07:02") == []


# Lists of lures


@pytest.mark.parametrize(
    ("said", "lures"),
    [
        ("wool sock checked and ready, nan too", ["Wool Sock", "Nan's Apron"]),
        (
            "wool sock, pear tree and nan all checked, ready to go",
            ["Wool Sock", "Pear Tree", "Nan's Apron"],
        ),
        ("pear tree ready, nan and the sock as well", ["Pear Tree", "Nan's Apron", "Wool Sock"]),
    ],
)
def test_a_list_of_lures_that_are_ready_loses_none(
    tmp_path: Path, said: str, lures: list[str]
) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *OUT, f"07:00 {said}")

    assert [(act, lure) for act, _, lure in since(tmp_path, "07:00")] == [
        ("ready", x) for x in lures
    ]


def test_the_first_word_of_a_name_beside_a_line_is_the_lure(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *OUT, "07:00 put the wool on the long rigger and nan on the shotgun")

    assert since(tmp_path, "07:00") == [
        ("set", "long rigger", "Wool Sock"),
        ("set", "shotgun", "Nan's Apron"),
    ]


def test_a_lure_that_needs_work_beside_one_that_is_ready_is_not_ready(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *OUT, "07:00 pear tree is ready, nan needs a new leader")

    assert [row[0] for row in since(tmp_path, "07:00") if row[2] == "Nan's Apron"] in (
        [],
        ["rework"],
    )


# A plan that is changed in parts


def planned(text: str) -> dict[str, str]:
    """Return the plan in a reply: the lure of each line."""
    rows_of = (line.split(": ", 1) for line in text.splitlines() if " back on wave " in line)
    return {place.casefold(): lure.split(" (")[0] for place, lure in rows_of}


@pytest.mark.parametrize(
    "said", ["nah put the pear tree way back and no {0}", "pear tree on the shotgun, and not {0}"]
)
def test_a_plan_changed_in_parts_is_set_whole(tmp_path: Path, said: str) -> None:
    with boxed(tmp_path, BOX) as desk:
        first = planned(call(desk, "06:00 plan a spread").text)
        out = next(
            lure for line, lure in first.items() if line != "shotgun" and lure != "Pear Tree"
        )
        second = planned(call(desk, f"06:01 {said.format('the ' + out.casefold())}").text)
        call(desk, "06:02 set it", crew="Skipper")
        laid = spread(desk)

    assert second["shotgun"] == "Pear Tree"
    assert out not in second.values()
    kept = {
        line for line, lure in first.items() if lure not in (out, "Pear Tree") and line != "shotgun"
    }
    assert all(second[line] == first[line] for line in kept)
    assert laid == second


def test_a_lure_is_left_out_of_a_plan_with_the_reason(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        first = planned(call(desk, "06:00 plan a spread").text)
        out = first["long rigger"]
        second = planned(call(desk, f"06:01 not the {out.casefold()}, he eats nothing").text)

    assert len(second) == len(first)
    assert out not in second.values()


def test_without_a_plan_on_offer_such_words_plan_nothing(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        reply = call(desk, *OUT, "07:00 not the pear tree, he eats nothing")

    assert "Plan" not in reply.text


# "It", swaps, questions and plans


def test_it_is_the_lure_that_was_spoken_of_last_where_it_is_out(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *OUT, "07:00 swap the shotgun to the wool sock")
        call(desk, "07:05 red wagon needs a new skirt", "07:06 swap it for back porch")
        call(desk, "07:07 no, the short rigger")
        out = spread(desk)

    assert out["short rigger"] == "Back Porch"
    assert out["long rigger"] == "Red Wagon"


def test_a_lure_in_the_box_that_needs_work_is_not_it(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(
            desk, *OUT, "07:00 strike shotgun", "07:01 missed", "07:02 pear tree needs a new skirt"
        )
        call(desk, "07:03 swap it for back porch")
        out = spread(desk)

    assert out["shotgun"] == "Back Porch"


def test_a_question_names_the_lure_that_goes_back_on_a_line(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *OUT)
        view = desk.view(at("07:01"))
    options = (
        (Call("set", position="shotgun"),),
        (Call("set", position="shotgun", colours=("black",)),),
    )
    question = with_targets(put(options), options, view)

    assert question == "First: set, shotgun, Tin Roof, or second: set, shotgun, black?"
    assert [one.label for one in buttons_of(options)] == ["First", "Second", "No"]


def test_second_means_a_question_with_two_readings() -> None:
    one, two = (Call("strike"),), (Call("raise"),)
    both = Asked("1", "First or second?", (one, two), at("07:00"), crew="")
    only = Asked("2", "Did you say?", (one,), at("07:01"), crew="")

    asked = (only, both)
    assert question_for(asked, "Ada", True, "", at("07:01"), chooses=True) == both
    assert question_for(asked, "Ada", True, "", at("07:01")) == only


def test_a_slow_plan_that_cannot_be_made_does_not_deny_what_is_ready(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        reply = call(desk, *OUT, "07:00 plan a slow spread")

    assert "No ready lure runs only below" in reply.text
    assert "No lure is ready" not in reply.text
