"""No fish is made up: doubtful bites in a fight, endings on another line, a bite that is said twice.

Common practice, no source: a fish counts once, and what is uncertain is asked about.
"""

from pathlib import Path

import pytest

from tests.desk_rig import call, rigged, standing, told

BOX = (
    "name,head,size_in,colours,ready\n"
    "Church Hat,blunt,10,purple black,yes\nBroom Handle,slim,6,silver blue,yes\n"
)


def test_a_doubtful_bite_is_asked_about_while_a_fish_is_on(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX, "07:00 hooked up long rigger", "07:02 he jumps!!") as desk:
        reply = call(desk, "07:03 and again!!")

    assert reply.ask == "Did you say: strike?"
    assert len(standing(tmp_path, "strike", "hookup")) == 1


def test_a_plain_bite_in_a_fight_is_logged(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX, "07:00 hooked up long rigger") as desk:
        reply = call(desk, "07:03 strike shotgun")

    assert reply.ask is None
    assert told(standing(tmp_path, "strike"), "position") == ["shotgun"]


@pytest.mark.parametrize(("answer", "hooked"), [("first", "long corner"), ("second", "shotgun")])
def test_an_ending_on_a_line_without_a_bite_is_of_the_fish_on_or_of_another(
    tmp_path: Path, answer: str, hooked: str
) -> None:
    with rigged(tmp_path, BOX, "07:00 hooked up shotgun") as desk:
        reply = call(desk, "07:09 long corner's on the deck, wahoo")
        call(desk, f"07:10 {answer}")

    assert reply.ask is not None
    assert "long corner" in reply.ask
    assert told(standing(tmp_path, "hookup"), "position") == [hooked]
    assert told(standing(tmp_path, "boat"), "position", "species") == [("long corner", "wahoo")]


@pytest.mark.parametrize(
    ("said", "count"),
    [
        ("two bites, no wait, just the one, long corner", None),
        ("two bites, no, only one, long corner", None),
        ("two bites on the long corner", 2),
    ],
)
def test_the_number_of_bites_is_the_one_said_last(
    tmp_path: Path, said: str, count: int | None
) -> None:
    with rigged(tmp_path, BOX) as desk:
        call(desk, f"07:00 {said}")

    assert told(standing(tmp_path, "strike"), "position", "count") == [("long corner", count)]


@pytest.mark.parametrize(
    ("again", "bites"),
    [
        ("07:01 the long rigger is bit he bites", 1),
        ("07:02 strike long rigger", 2),
        ("07:01 strike long rigger again", 2),
        ("07:01 another strike on the long rigger", 2),
    ],
)
def test_a_bite_that_its_caller_says_again_is_one(tmp_path: Path, again: str, bites: int) -> None:
    with rigged(tmp_path, BOX) as desk:
        call(desk, "07:00 strike long rigger", again)

    assert len(standing(tmp_path, "strike")) == bites


def test_a_bite_missed_in_one_breath_is_missed_on_its_line(tmp_path: Path) -> None:
    raised = ("07:00 one up behind the shotgun", "07:01 another behind the long rigger")
    with rigged(tmp_path, BOX, *raised, "07:02 strike long rigger") as desk:
        call(desk, "07:03 a bite also on the shotgun but missed", "07:03 long rigger is tight")

    assert told(standing(tmp_path, "miss"), "position") == ["shotgun"]
    assert len(standing(tmp_path, "strike")) == 2


@pytest.mark.parametrize(("said", "asks"), [("released a blue marlin", True), ("", False)])
def test_an_ending_with_nothing_on_is_another_fish_or_the_last(
    tmp_path: Path, said: str, asks: bool
) -> None:
    with rigged(tmp_path, BOX, "07:00 hooked up long rigger", "07:20 let him go") as desk:
        reply = call(desk, f"07:44 {said or 'another wahoo boated, short corner'}")

    assert (reply.ask is not None) is asks
    assert len(standing(tmp_path, "release", "boat")) == (1 if asks else 2)


@pytest.mark.parametrize(
    ("said", "answered"),
    [
        ("there's a small fire in my heart for that lure", False),
        ("best crew on the coast and daz", False),
        ("the rain came in the window and now my bunk is swimming", True),
    ],
)
def test_what_may_be_a_cry_is_never_silent(tmp_path: Path, said: str, answered: bool) -> None:
    with rigged(tmp_path, BOX) as desk:
        reply = call(desk, f"07:00 {said}")

    assert ("mayday" in reply.text) is answered
    assert standing(tmp_path, "emergency") == []


@pytest.mark.parametrize("said", ["the hook pulled!", "missed him", "boated"])
def test_an_ending_of_which_nothing_is_known_is_asked_about(tmp_path: Path, said: str) -> None:
    with rigged(tmp_path, BOX) as desk:
        reply = call(desk, f"07:00 {said}")

    assert reply.ask is not None
    assert standing(tmp_path, "pulled_hook", "miss", "boat", "strike", "hookup") == []


def test_an_ending_that_names_its_line_is_a_fish_nobody_called(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX) as desk:
        call(desk, "07:00 boated a wahoo off the shotgun")

    assert told(standing(tmp_path, "boat"), "position", "species") == [("shotgun", "wahoo")]


@pytest.mark.parametrize(
    ("said", "act"),
    [
        ("released at the boat, blue, around one ten", "release"),
        ("strike short corner at two in the morning", "strike"),
    ],
)
def test_a_clock_long_before_the_trip_is_no_time(tmp_path: Path, said: str, act: str) -> None:
    with rigged(tmp_path, BOX, "07:00 hooked up shotgun") as desk:
        call(desk, f"07:10 {said}")

    assert [row["at"][11:16] for row in standing(tmp_path, act)] == ["07:10"]


def test_what_is_dated_just_before_the_trip_is_asked_about(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX) as desk:
        reply = call(desk, "07:00 strike on the shotgun two hours ago")

    assert reply.ask is not None
    assert standing(tmp_path, "strike") == []


def test_the_bite_of_a_fish_that_is_on_is_no_second_one(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX) as desk:
        call(desk, "07:00 fish on, short corner, that was a hell of a hit")

    assert len(standing(tmp_path, "strike", "hookup")) == 1


def test_all_of_it_said_again_is_told_once(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX) as desk:
        call(desk, "07:00 strike, shotgun. on. gone.", "07:00:20 strike, on, pulled. four seconds.")

    assert [row["act"] for row in standing(tmp_path, "strike", "hookup", "pulled_hook")] == [
        "strike", "hookup", "pulled_hook",
    ]  # fmt: skip


def test_a_shout_that_asks_is_a_question(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX) as desk:
        call(desk, "07:00 we've got a double?!")

    assert standing(tmp_path, "hookup") == []
