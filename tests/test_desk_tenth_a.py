"""Which fish, which person, and what is taken unanswered; common practice, no source."""

from pathlib import Path

import pytest

from tests.desk_rig import call, rigged, standing, told

BOX = (
    "name,head,size_in,colours,ready\n"
    "Church Hat,blunt,10,purple black,yes\nBroom Handle,slim,6,silver blue,yes\n"
)


@pytest.mark.parametrize(
    "asked", ["is a fish on", "is there a fish on yet", "have we got a fish on", "any fish on"]
)
def test_whether_a_fish_is_on_is_asked_and_never_a_call(tmp_path: Path, asked: str) -> None:
    with rigged(tmp_path, BOX, "07:00 wahoo on, long rigger", "07:02 broke off") as desk:
        reply = call(desk, f"07:02:30 {asked}")

    assert reply.ask is None
    assert "nothing is on" in reply.text
    assert told(standing(tmp_path, "hookup"), "position") == ["long rigger"]


def test_a_fish_that_is_on_is_a_call(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX) as desk:
        call(desk, "07:00 a fish is on, long rigger")

    assert told(standing(tmp_path, "hookup"), "position") == ["long rigger"]


@pytest.mark.parametrize(
    ("said", "act"),
    [("both boated", "boat"), ("both released and swimming", "release"), ("both on", "hookup"),
     ("both in the boat", "boat"), ("both boated, 20 kilos", "boat")],
)  # fmt: skip
def test_what_befell_both_fish_of_a_double_is_one_entry_for_each_line(
    tmp_path: Path, said: str, act: str
) -> None:
    with rigged(tmp_path, BOX, "07:00 two skipjack at once, both corners") as desk:
        call(desk, f"07:01 {said}")

    found = standing(tmp_path, act)
    assert told(found, "position") == ["short corner", "long corner"]
    assert told(found, "count") == [None, None]


def test_both_off_ends_both(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX, "07:00 strike both corners", "07:01 both on") as desk:
        reply = call(desk, "07:05 both off")

    assert reply.ask is None
    assert told(standing(tmp_path, "pulled_hook"), "position") == ["short corner", "long corner"]


def test_both_that_somebody_says_again_are_no_other_two(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX, "07:00 strike both corners", "07:01 both boated") as desk:
        call(desk, "07:01:20 both in the boat", crew="Ana")
        call(desk, "07:03 both boated", crew="Ben")

    assert told(standing(tmp_path, "boat"), "position", "count") == [
        ("short corner", None),
        ("long corner", None),
    ]


def test_two_fish_that_were_never_called_apart_stay_one_entry(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX) as desk:
        call(desk, "07:01 boated two skipjack, shotgun")

    assert told(standing(tmp_path, "boat"), "position", "count") == [("shotgun", 2)]


def test_mine_is_a_fish_that_waits_and_not_one_that_is_over(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX, "07:00 strike short corner") as desk:
        call(desk, "07:05 pulled the hook, mahi", crew="Dee")
        call(desk, "07:10 strike both riggers", "07:10:10 ana has the short rigger")
        call(desk, "07:10:30 mine's a blue marlin", crew="Dee")

    assert told(standing(tmp_path, "pulled_hook"), "species") == ["mahi-mahi"]
    assert told(standing(tmp_path, "strike")[1:], "position", "species") == [
        ("short rigger", None),
        ("long rigger", "blue marlin"),
    ]


def test_mine_is_asked_where_nobody_said_who_has_which_rod(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX, "07:00 strike short corner") as desk:
        call(desk, "07:05 pulled the hook, mahi", crew="Dee")
        call(desk, "07:10 strike both riggers")
        reply = call(desk, "07:10:30 mine's a blue marlin", crew="Dee")

    assert "short rigger" in (reply.ask or "")
    assert "long rigger" in (reply.ask or "")
    assert told(standing(tmp_path, "pulled_hook"), "species") == ["mahi-mahi"]


@pytest.mark.parametrize(
    "said",
    ["the one I pulled at 7:05 was a wahoo", "the pulled hook at 07:05 was a wahoo",
     "the one I lost at 7:05 was a wahoo"],
)  # fmt: skip
def test_a_time_said_with_a_fish_names_it(tmp_path: Path, said: str) -> None:
    with rigged(tmp_path, BOX, "07:00 strike short corner") as desk:
        call(desk, "07:05 pulled the hook, mahi", crew="Dee")
        call(desk, "07:20 strike long rigger, blue marlin", "07:25 pulled the hook")
        call(desk, f"07:26 {said}", crew="Dee")

    assert told(standing(tmp_path, "pulled_hook"), "species") == ["wahoo", "blue marlin"]


def test_which_of_two_is_taken_only_as_the_next_call_bears_out(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX, "07:00 strike both riggers", "07:01 both on") as desk:
        call(desk, "07:01:10 the long rigger is a blue marlin")
        asked = call(desk, "07:04 leader!", crew="Dee")
        reply = call(desk, "07:04:30 released the blue marlin")

    assert asked.ask
    assert "Taken, as nobody answered: leadered, long rigger" in reply.text
    assert told(standing(tmp_path, "leader", "release"), "position") == [
        "long rigger",
        "long rigger",
    ]


def test_a_fish_asked_about_is_not_taken_from_what_befell_others(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX, "07:00 wahoo on, long rigger", "07:02 broke off") as desk:
        asked = call(desk, "07:02:30 hooked up")
        call(desk, "07:03 strike both corners", crew="Ana")
        reply = call(desk, "07:03:40 both boated", crew="Ana")

    assert asked.ask
    assert "Taken" not in reply.text
    assert told(standing(tmp_path, "hookup"), "position") == ["long rigger"]


TROUBLE = ("07:00 hook through my hand, skipper", "07:00:20 man overboard")


@pytest.mark.parametrize(
    ("said", "left"),
    [(["false alarm"], ["injury"]), (["false alarm", "false alarm"], []),
     (["false alarm on the injury"], ["man overboard"])],
)  # fmt: skip
def test_a_false_alarm_ends_the_latest_trouble_or_the_one_it_names(
    tmp_path: Path, said: list[str], left: list[str]
) -> None:
    with rigged(tmp_path, BOX, *TROUBLE) as desk:
        for n, line in enumerate(said):
            call(desk, f"07:01:{n:02d} {line}")

    assert told(standing(tmp_path, "emergency"), "what") == left


@pytest.mark.parametrize(("first", "act"), [("raised one", "raise"), ("boated a wahoo", "boat")])
def test_a_line_alone_answers_which_position_though_another_called_since(
    tmp_path: Path, first: str, act: str
) -> None:
    with rigged(tmp_path, BOX) as desk:
        call(desk, f"07:00 {first}", crew="Ana")
        call(desk, "07:00:30 fish on shotgun", crew="Ben")
        call(desk, "07:00:40 short rigger", crew="Ana")

    assert told(standing(tmp_path, act), "position") == ["short rigger"]
    assert told(standing(tmp_path, "hookup"), "position") == ["shotgun"]


def test_a_line_put_right_is_that_of_what_was_called_last(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX, "07:00 raised one", "07:00:30 fish on shotgun") as desk:
        call(desk, "07:00:40 no, short rigger")

    assert told(standing(tmp_path, "hookup"), "position") == ["short rigger"]


def test_a_fish_that_is_back_is_on_the_line_that_it_missed(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX, "07:00 strike short rigger, missed") as desk:
        call(desk, "07:00:20 he's back, same one")
        call(desk, "07:10 raised one")

    assert told(standing(tmp_path, "raise"), "position") == ["short rigger", None]


def test_a_fish_on_another_lure_is_no_second_call_of_the_first(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX, "06:30 set long corner church hat") as desk:
        call(desk, "07:00 hooked up long corner", crew="Ana")
        reply = call(desk, "07:00:20 fish on, the broom handle", crew="Ben")

    assert reply.ask is None
    assert told(standing(tmp_path, "hookup"), "position") == ["long corner", "shotgun"]


CAUGHT = (
    "07:00 mahi boated, 5 kilos, short corner",
    "07:20 shark boated, 6 kilos, long corner",
    "07:40 spanish mackerel boated, 7 kilos, shotgun",
)


@pytest.mark.parametrize(
    ("said", "names"),
    [("sorry that was not a shark, a shark mackerel", ["mahi-mahi", "shark mackerel", "spanish mackerel"]),
     ("no, not a mahi, a wahoo", ["wahoo", "shark", "spanish mackerel"]),
     ("no, not a cobia, it was a bonito", ["mahi-mahi", "shark", "bonito"])],
)  # fmt: skip
def test_what_a_fish_is_said_not_to_be_names_it(
    tmp_path: Path, said: str, names: list[str]
) -> None:
    with rigged(tmp_path, BOX, *CAUGHT) as desk:
        call(desk, f"07:41 {said}")

    assert told(standing(tmp_path, "boat"), "species") == names


def test_a_shark_mackerel_is_no_shark(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX) as desk:
        call(desk, "07:00 shark mack boated, 5 kilos, short rigger")

    assert told(standing(tmp_path, "boat"), "species") == ["shark mackerel"]
