"""Lives of fish: what the trip decides of a line, and what is no question; common practice, no source."""

from pathlib import Path

import pytest

from tests.desk_rig import call, rigged, standing, told

BOX = (
    "name,head,size_in,colours,ready\n"
    "Church Hat,blunt,10,purple black,yes\nBroom Handle,slim,6,silver blue,yes\n"
)


@pytest.mark.parametrize(
    ("said", "who"),
    [("wilma take him", "Wilma"), ("I have it", "Mate"), ("gimme. my rod now", "Mate")],
)
def test_who_has_the_rod_of_the_only_fish_is_not_asked(tmp_path: Path, said: str, who: str) -> None:
    with rigged(tmp_path, BOX) as desk:
        call(desk, "07:00 hooked up short corner", crew="Wilma")
        reply = call(desk, f"07:02 {said}")

    assert reply.ask is None
    assert told(standing(tmp_path, "angler"), "angler", "position") == [(who, "short corner")]


def test_who_has_which_rod_of_a_double_is_not_asked(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX, "07:00 double hookup, short rigger and long rigger") as desk:
        call(desk, "07:01 priya's on the short rigger, dale's got the long")

    assert told(standing(tmp_path, "angler"), "angler", "position") == [
        ("Priya", "short rigger"), ("Dale", "long rigger"),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("said", "who"),
    [("got it", "Bridie"), ("my back's gone, wilma take the rod", "Wilma")],
)
def test_a_rod_is_taken_by_the_one_named_or_by_the_speaker(
    tmp_path: Path, said: str, who: str
) -> None:
    with rigged(tmp_path, BOX) as desk:
        call(desk, "07:00 fish on the short rigger", crew="Wilma")
        call(desk, f"07:01 {said}", crew="Bridie")

    assert told(standing(tmp_path, "angler"), "angler") == [who]


def test_the_leader_is_not_asked_for_a_reading_that_hardly_anybody_means(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX, "07:00 hooked up long rigger") as desk:
        reply = call(desk, "07:25 she's wired, black, maybe sixty kilos")

    assert reply.ask is None
    assert told(standing(tmp_path, "leader"), "species") == ["black marlin"]


@pytest.mark.parametrize(
    ("said", "kg"),
    [("no that's thirteen two sorry, had me thumb on it", 13.2), ("nine eight on the scale", 9.8),
     ("no, fifty three", 53), ("no it was one twenty", 120), ("no that was twenty five pounds", 11.3)],
)  # fmt: skip
def test_a_weight_is_read_out_with_its_tenths(tmp_path: Path, said: str, kg: float) -> None:
    with rigged(tmp_path, BOX, "07:00 hooked up short rigger") as desk:
        call(desk, "07:08 boated him, twelve kilos", f"07:10 {said}")

    assert told(standing(tmp_path, "boat"), "weight_kg") == [kg]


def test_a_line_shouted_again_at_once_is_no_second_bite(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX) as desk:
        call(desk, "07:00 long rigger", "07:00:04 long rigger long rigger")

    assert told(standing(tmp_path, "strike"), "position", "crew") == [("long rigger", "Mate")]


@pytest.mark.parametrize("between", ["07:00:03 missed him", "07:00:03 strike short rigger"])
def test_a_line_shouted_again_after_something_else_is_a_bite(tmp_path: Path, between: str) -> None:
    with rigged(tmp_path, BOX) as desk:
        call(desk, "07:00 strike long rigger", between, "07:00:06 strike long rigger")

    assert told(standing(tmp_path, "strike"), "position").count("long rigger") == 2


@pytest.mark.parametrize("said", ["that's plenty leave the rest", "keep the rest in"])
def test_lines_that_are_left_are_not_cleared(tmp_path: Path, said: str) -> None:
    with rigged(tmp_path, BOX, "07:00 hooked up long rigger", "07:01 clear the shotgun") as desk:
        call(desk, f"07:02 {said}")

    assert told(standing(tmp_path, "clear"), "position") == ["shotgun"]


def test_the_rest_is_cleared_where_that_is_said(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX, "07:00 hooked up long rigger", "07:01 clear the shotgun") as desk:
        call(desk, "07:02 clear the rest")

    assert len(standing(tmp_path, "clear")) == 4


@pytest.mark.parametrize(
    ("said", "act"),
    [("other one's in too", "boat"), ("other one came aboard", "boat"), ("other one's gone", "pulled_hook"),
     ("clear the other one", "clear")],
)  # fmt: skip
def test_the_other_one_is_the_other_fish_of_a_double(tmp_path: Path, said: str, act: str) -> None:
    with rigged(tmp_path, BOX, "07:00 double hookup both corners") as desk:
        call(desk, "07:05 boated the short corner", f"07:08 {said}")

    assert told(standing(tmp_path, act), "position")[-1:] == ["long corner"]
    assert not standing(tmp_path, "strike")


def test_news_of_another_line_does_not_answer_which_line_it_was(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX, "07:00 double hookup both corners") as desk:
        asked = call(desk, "07:02 strike, port rigger")
        call(desk, "07:03 boated the short corner")

    assert asked.ask is not None
    assert told(standing(tmp_path, "boat"), "position") == ["short corner"]


def test_a_side_with_the_line_that_is_meant_is_not_asked(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX) as desk:
        call(desk, "07:00 zinging! left corner, the short one")

    assert told(standing(tmp_path, "strike"), "position", "side") == [("short corner", "port")]


def test_a_colour_that_is_not_on_the_line_is_not_of_its_lure(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX) as desk:
        reply = call(desk, "07:00 hooked up short corner, something brown")

    assert reply.ask is None
    assert told(standing(tmp_path, "hookup"), "colours") == ["black"]


def test_the_last_one_is_the_fish_that_ended_last(tmp_path: Path) -> None:
    with rigged(
        tmp_path, BOX, "07:00 hooked up short corner", "07:01 long corner's on too"
    ) as desk:
        call(
            desk, "07:06 long corner, wahoo, boated", "07:14 short corner boated, wahoo, 46 pounds"
        )
        call(desk, "07:15 no, that last one's fifty six")

    assert told(standing(tmp_path, "boat"), "position", "weight_kg") == [
        ("long corner", None), ("short corner", 25.4),
    ]  # fmt: skip


def test_a_call_behind_a_question_is_a_call(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX, "07:00 hooked up short corner") as desk:
        call(desk, "07:05 bluefin? longtail. in the box")

    assert told(standing(tmp_path, "boat"), "species") == ["longtail tuna"]


def test_a_shout_before_a_question_mark_is_asked_about_and_logged_with_a_yes(
    tmp_path: Path,
) -> None:
    with rigged(tmp_path, BOX) as desk:
        asked = call(desk, "07:05 Strike! Shotgun! Did I do that right?")
        nothing = standing(tmp_path, "strike")
        call(desk, "07:05:20 yes")

    assert asked.ask == "Did you say: strike, shotgun?"
    assert not nothing
    assert told(standing(tmp_path, "strike"), "position") == ["shotgun"]


@pytest.mark.parametrize("said", ["who's up? shotgun", "is that a fish on the gun?"])
def test_a_question_and_its_answer_are_no_bite(tmp_path: Path, said: str) -> None:
    with rigged(tmp_path, BOX) as desk:
        call(desk, f"07:00 {said}")

    assert not standing(tmp_path, "strike")


def test_the_rod_of_somebody_aboard_is_hers_without_the_s(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX) as desk:
        call(desk, "07:00 hooked up short rigger", crew="Bridie")
        call(desk, "07:10 tagged, bridies sail")

    assert told(standing(tmp_path, "release"), "angler") == ["Bridie"]


def test_mine_after_a_catch_says_whose_rod_it_was(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX, "07:00 hooked up short rigger", "07:10 boated, wahoo") as desk:
        call(desk, "07:11 mine", crew="Bridie")

    assert told(standing(tmp_path, "boat"), "angler") == ["Bridie"]


def test_mine_while_a_fish_is_on_takes_the_rod(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX, "07:00 hooked up short rigger") as desk:
        call(desk, "07:01 mine", crew="Bridie")

    assert told(standing(tmp_path, "angler"), "angler") == ["Bridie"]


@pytest.mark.parametrize(
    ("said", "species"),
    [("a wahoo", "wahoo"), ("wahoo?", None), ("bloody wahoo, every time", None)],
)
def test_a_fish_named_alone_after_its_loss_is_that_fish(
    tmp_path: Path, said: str, species: str | None
) -> None:
    with rigged(tmp_path, BOX, "07:00 hooked up short rigger", "07:10 bit through") as desk:
        call(desk, f"07:10 {said}")

    assert told(standing(tmp_path, "break_off"), "species") == [species]


@pytest.mark.parametrize(
    "said", ["double hookup, missed the shotgun", "missed the shotgun, double hookup"]
)
def test_two_on_beside_a_miss_are_those_that_are_left(tmp_path: Path, said: str) -> None:
    with rigged(tmp_path, BOX) as desk:
        call(desk, "07:00 strike short rigger, strike long rigger, strike shotgun", f"07:01 {said}")

    assert told(standing(tmp_path, "miss"), "position") == ["shotgun"]
    assert {*told(standing(tmp_path, "hookup"), "position")} == {"short rigger", "long rigger"}


def test_one_number_is_one_measure(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX, "07:00 hooked up long rigger", "07:06 boated, yellowfin") as desk:
        call(desk, "07:07 write hundred and eighty, i was bein shy")

    assert told(standing(tmp_path, "boat"), "weight_kg", "length_cm") == [(180, None)]


@pytest.mark.parametrize(
    ("said", "kg"),
    [("landed, it's a yellowfin, lionel owed twenty bucks", None), ("landed, a yellowfin, twenty kilos", 20)],
)  # fmt: skip
def test_money_is_no_weight(tmp_path: Path, said: str, kg: float | None) -> None:
    with rigged(tmp_path, BOX, "07:00 hooked up long rigger") as desk:
        call(desk, f"07:06 {said}")

    assert told(standing(tmp_path, "boat"), "weight_kg") == [kg]


def test_a_rod_that_somebody_unknown_may_take_is_not_the_speakers(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX, "07:00 fish on the short rigger") as desk:
        call(desk, "07:09 I'm too old for this, Bridie take over", crew="Graeme")

    assert "Graeme" not in told(standing(tmp_path, "angler"), "angler")


def test_a_boast_behind_a_doubting_question_is_no_weight(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX, "07:00 fish on the short rigger") as desk:
        call(desk, "07:09 swam off. black marlin 80kg")
        call(desk, "07:11 Eighty? That was a hundred if it was an ounce")

    assert told(standing(tmp_path, "release"), "weight_kg") == [80]


def test_me_after_a_loss_says_nothing_of_the_rod(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX, "07:00 hooked up short rigger, Hal's up", "07:10 broke off") as desk:
        call(desk, "07:11 it was me", crew="Duane")

    assert told(standing(tmp_path, "hookup"), "angler") == ["Hal"]


def test_an_answer_to_ones_own_question_is_no_call(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX, "07:00 triple hookup", "07:06 one lost, the hook came out") as desk:
        call(desk, "07:13 who has the third one? ah, the lost one. ok ok")

    assert len(standing(tmp_path, "pulled_hook")) == 1
