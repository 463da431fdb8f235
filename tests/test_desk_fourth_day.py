"""What a fourth day aboard stumbled over, said again; what is right is common practice, no source."""

from pathlib import Path

import pytest

from bot import Desk
from tests.desk_rig import call, rows

BEGIN = (
    "06:30 set short corner red ten", "06:30 set long corner blue 12", "06:31 set long rigger purple 8",
    "06:31 set shotgun green 6", "06:32 lines in",
)  # fmt: skip
TWO_ON = (
    *BEGIN, "07:00 strike short corner", "07:01 fish on", "07:02 strike long rigger", "07:03 fish on",
)  # fmt: skip


def standing(home: Path, *columns: str) -> list[tuple[object, ...]]:
    query = f"SELECT {', '.join(columns)} FROM entries WHERE NOT void ORDER BY at, id"
    return [tuple(row[name] for name in columns) for row in rows(home, query)]


def test_a_weight_put_right_while_the_fish_is_asked_chooses_no_fish(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *TWO_ON, "07:20 boated one, yellowfin, twelve kilos")
        again = call(desk, "07:20:30 make that thirteen kilos")
        done = call(desk, "07:21 long rigger")

    assert again.ask is not None
    assert again.ask.startswith("Which fish")
    assert "13 kg, long rigger" in done.text
    caught = [row for row in standing(tmp_path, "act", "position", "weight_kg") if row[0] == "boat"]
    assert caught == [("boat", "long rigger", 13)]


@pytest.mark.parametrize(
    ("said", "where"),
    [("the long", "long rigger"), ("short one", "short corner"), ("corner", "short corner")],
)
def test_a_part_of_the_name_answers_which_fish(tmp_path: Path, said: str, where: str) -> None:
    with Desk(tmp_path) as desk:
        asked = call(desk, *TWO_ON, "07:10 he's off")
        call(desk, f"07:10:20 {said}")

    assert asked.ask is not None
    lost = [row for row in standing(tmp_path, "act", "position") if row[0] == "pulled_hook"]
    assert lost == [("pulled_hook", where)]


def test_an_end_that_may_be_that_of_the_same_fish_is_not_taken(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *TWO_ON, "07:10 he's off")
        reply = call(desk, "07:11 he broke the trace")

    assert "Taken" not in reply.text
    assert not {"pulled_hook", "break_off"} & {row[0] for row in standing(tmp_path, "act")}


def test_the_end_of_the_only_fish_that_is_left_is_taken(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *TWO_ON, "07:10 he's off")
        reply = call(desk, "07:11 boated the long rigger, wahoo")

    assert reply.text.startswith("Taken, as nobody answered: pulled hook, short corner")


def test_a_time_that_would_be_before_the_hook_up_stops_there_and_says_so(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(
            desk,
            *BEGIN,
            "07:00 strike long rigger",
            "07:09 fish on",
            "07:15 released a blue marlin",
        )
        reply = call(desk, "07:16 that was ten minutes ago")

    assert "at 07:09" in reply.text
    assert "No earlier than 07:09 (hooked up)." in reply.text


def test_the_fish_moves_with_its_bite_when_its_line_was_wrong(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *BEGIN, "07:00 strike long rigger", "07:01 fish on")
        call(desk, "07:15 boated a wahoo, long rigger")
        reply = call(desk, "07:16 the wahoo was on the long corner")

    assert "1 hook-up of 1 strike, 1 caught" in reply.text
    fish = ("strike", "hookup", "boat")
    where = {row[1] for row in standing(tmp_path, "act", "position") if row[0] in fish}
    assert where == {"long corner"}


def test_an_end_put_on_the_line_of_another_fish_leaves_the_first_one_there(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        reply = call(desk, *TWO_ON, "07:15 boated a wahoo, long rigger", "07:16 no, short corner")

    assert "2 hook-ups of 2 strikes, 1 caught" in reply.text
    assert ("hookup", "long rigger") in standing(tmp_path, "act", "position")


def test_lures_were_in_the_water_from_the_time_at_which_lines_went_in(tmp_path: Path) -> None:
    named = ("09:00 trip start", "09:01 set short corner red ten", "09:02 set shotgun green 6")
    with Desk(tmp_path) as desk:
        reply = call(desk, *named, "09:05 lines went in three hours ago", "09:06 spread")

    assert "Short corner: red 10-inch (3.0 h)" in reply.text
    assert "Shotgun: green 6-inch (3.0 h)" in reply.text


def test_a_lure_set_after_others_were_out_keeps_its_own_time(tmp_path: Path) -> None:
    said = (
        "06:00 trip start", "06:01 set short corner red ten", "08:00 set shotgun green 6",
        "09:05 lines went in at seven", "09:06 spread",
    )  # fmt: skip
    with Desk(tmp_path) as desk:
        reply = call(desk, *said)

    assert "Short corner: red 10-inch (2.1 h)" in reply.text
    assert "Shotgun: green 6-inch (1.1 h)" in reply.text


def test_a_lure_goes_into_a_tray_too(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *BEGIN)
        reply = call(desk, "07:00 purple eight goes in the light tray too, as a spare")

    assert reply.text.startswith(
        "In the light tray: purple 8-inch, spare. It holds 0 lures, 1 spare"
    )


def test_when_the_day_began_is_answered(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, "06:10 trip start", *BEGIN)
        for said in ("when did we put the lines in", "what time did we start"):
            reply = call(desk, f"08:02 {said}")
            assert reply.text == "Trip 06:10, lines in 06:32, 1 h 30 min fished."


def test_what_was_lost_is_told_fish_by_fish(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *TWO_ON, "07:10 pulled the hook, long rigger", "07:30 strike shotgun")
        call(desk, "07:30:20 missed him")
        reply = call(desk, "08:00 how many fish lost today")
        on = call(desk, "08:01 how many have we got on")

    assert reply.text.splitlines() == [
        "1 lost, 1 bite missed.", "07:10 pulled hook, long rigger, purple 8-inch.",
    ]  # fmt: skip
    assert on.text.startswith("A fish, short corner, on for 1 h")


def test_an_end_that_nobody_answered_is_not_that_of_a_fish_named_by_its_angler(
    tmp_path: Path,
) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *TWO_ON, "07:04 Greta has the short corner", "07:10 pulled the hook")
        reply = call(desk, "07:16 Greta's dorado is in the boat, thirteen kilos")

    assert reply.text.startswith("Taken, as nobody answered: pulled hook, long rigger")
    assert "Boated, mahi-mahi, 13 kg, short corner, Greta" in reply.text


def test_of_two_anglers_the_one_who_is_named_has_the_fish_that_is_on(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(
            desk,
            *BEGIN,
            "07:00 hooked up shotgun, Joao's rod",
            "07:01 hooked up short corner, Kid's rod",
        )
        call(desk, "07:10 Joao's mahi is boated")
        reply = call(desk, "07:12 Kid's fish is a blue, about 200 pounds")

    assert "the log keeps no weight with it" in reply.text
    assert ("boat", "shotgun", "mahi-mahi") in standing(tmp_path, "act", "position", "species")
    assert ("hookup", "short corner", "blue marlin") in standing(
        tmp_path, "act", "position", "species"
    )


@pytest.mark.parametrize("said", ["missed him", "didn't stick"])
def test_a_miss_told_after_a_bite_of_hours_ago_is_of_that_bite(tmp_path: Path, said: str) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *BEGIN, "12:00 strike long rigger at 7:22")
        reply = call(desk, f"12:01 {said}")

    assert reply.text.startswith("Missed, long rigger, at 07:22.")
    assert "1 strike" in reply.text


def test_fish_on_after_a_bite_told_late_is_that_fish_and_not_the_one_that_was_lost(
    tmp_path: Path,
) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *BEGIN, "07:00 strike shotgun", "07:01 fish on", "07:10 spat the hook")
        call(desk, "07:40 strike long corner", "07:41 that was twenty minutes ago")
        reply = call(desk, "07:42 fish on")

    assert reply.text.startswith("Hooked up, long corner")
    assert [row[0] for row in standing(tmp_path, "act")].count("pulled_hook") == 1


def test_a_bite_of_now_is_not_joined_to_one_told_of_hours_ago(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *BEGIN, "12:00 strike long rigger at 7:22", "12:01 strike shotgun")
        reply = call(desk, "12:02 missed him")

    assert reply.text.startswith("Missed, shotgun.")


def test_a_weight_does_not_take_away_what_kind_it_was(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *BEGIN, "07:00 fish on, shotgun", "07:20 released a blue marlin")
        call(desk, "07:21 that marlin was about 180 pounds")

    assert ("release", "blue marlin", 81.6) in standing(tmp_path, "act", "species", "weight_kg")


def test_a_question_is_no_answer(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *TWO_ON, "07:10 he's off")
        reply = call(desk, "07:10:20 what's the drag on the short corner")

    assert "drag" in reply.text.casefold()
    assert "pulled_hook" not in {row[0] for row in standing(tmp_path, "act")}


@pytest.mark.parametrize("said", ["weed is clear", "cleared it, back out"])
def test_weed_that_is_cleared_is_no_weed_any_more(tmp_path: Path, said: str) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *BEGIN, "07:00 weed on the shotgun", f"07:10 {said}")
        trip = desk.view().trip

    assert all(span.end is not None for span in trip.fouled)


def test_hours_in_the_water_end_when_a_bite_was(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        reply = call(desk, *BEGIN, "07:40 strike long corner", "07:41 that was twenty minutes ago")

    assert "at 07:21. 49 min in the water." in reply.text


def test_a_fish_that_bit_hours_after_the_last_call_is_a_fish_of_now(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *BEGIN, "07:00 strike long rigger")
        call(desk, "10:00 fish on")

    assert ("hookup", None) in standing(tmp_path, "act", "position")


def test_a_fish_hooked_some_time_ago_is_landed_when_that_is_said(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *BEGIN, "07:30 hooked up shotgun at 7:05")
        reply = call(desk, "07:35 boated a wahoo")

    assert "On for 30 min." in reply.text


@pytest.mark.parametrize("said", ["long day", "short of coffee"])
def test_talk_with_a_word_of_a_line_chooses_no_fish(tmp_path: Path, said: str) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *TWO_ON, "07:10 he's off")
        call(desk, f"07:10:20 {said}")

    assert "pulled_hook" not in {row[0] for row in standing(tmp_path, "act")}
