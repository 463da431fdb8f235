"""Of two fish, or of two bites, the right one: what hard lives of fish showed.

What is right stands beside each talk; common practice, no source.
"""

from pathlib import Path

import pytest

from bot.bench.corpus import corpus_language
from bot.calls.reader.situation import bits, bits_of
from bot.calls.understand import understand
from bot.calls.weigh import Hints
from bot.desk.boat_words import said_before
from bot.transcript import typed_transcript
from tests.desk_rig import at, call, rigged, standing, told

BOX = "name,size_in,colours,head\nBroom Handle,6,blue,slim\n"
TWO = ("07:00 hooked up short corner", "07:00 hooked up long rigger")
RODS = ("07:01 Ana is on the short corner", "07:01 Ben is on the long rigger")


@pytest.mark.parametrize("said", ["never had the point", "nope, didn't stay", "nothing there"])
def test_a_bite_that_came_to_nothing_is_missed_in_any_words(tmp_path: Path, said: str) -> None:
    with rigged(tmp_path, BOX, "07:00 strike long rigger") as desk:
        call(desk, f"07:01 {said}")

    assert told(standing(tmp_path, "miss"), "position") == ["long rigger"]


def test_after_a_look_the_networks_are_not_told_of_a_bite() -> None:
    assert bits(0, True, "raise") == bits_of({"just seen"})
    assert bits(0, True, "strike") == bits_of({"just bitten"})


def test_of_two_fish_the_one_at_the_leader_ends_whatever_is_learnt_later(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX, *TWO) as desk:
        call(desk, "07:05 leader on the long rigger", "07:06 released a striped marlin")
        call(desk, "07:16 the short corner fish is a striped marlin too", "07:17 pulled the hook")

    assert told(standing(tmp_path, "release"), "position") == ["long rigger"]
    assert told(standing(tmp_path, "pulled_hook"), "position") == ["short corner"]


def test_the_line_of_a_hook_up_is_not_that_of_another_bite(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX, "07:00 strike short rigger", "07:01 strike long rigger") as desk:
        call(desk, "07:01 hooked up", "07:01 no, the short rigger")

    assert told(standing(tmp_path, "strike"), "position") == ["short rigger", "long rigger"]
    assert told(standing(tmp_path, "hookup"), "position") == ["short rigger"]


def test_another_ending_leaves_the_fish_that_was_on(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX, "07:00 strike long corner, hooked up, pulled the hook") as desk:
        call(desk, "07:01 scratch that, he broke off")

    acts = told(standing(tmp_path, "strike", "hookup", "pulled_hook", "break_off"), "act")
    assert acts == ["strike", "hookup", "break_off"]


def test_a_bite_after_a_miss_is_no_echo_of_the_one_before(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX) as desk:
        call(desk, "07:00 strike short corner", "07:00:05 missed him", crew="Ana")
        call(desk, "07:00:50 strike short corner", crew="Ben")

    assert told(standing(tmp_path, "strike"), "position") == ["short corner", "short corner"]


@pytest.mark.parametrize("answer", ["Ben's", "Ben", "that was Ben's", "Ben's fish"])
def test_who_has_the_rod_says_which_fish(tmp_path: Path, answer: str) -> None:
    with rigged(tmp_path, BOX, *TWO, *RODS) as desk:
        asked = call(desk, "07:10 wired him", crew="Cleo")
        call(desk, f"07:10 {answer}", crew="Cleo")

    assert asked.ask is not None
    assert told(standing(tmp_path, "leader"), "position", "angler") == [("long rigger", "Ben")]


def test_the_same_rod_is_the_line_that_was_spoken_of_last(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX, "07:00 strike long corner", "07:01 missed him") as desk:
        talk = call(desk, "07:02 that's the same line I bought in Cairns")
        call(desk, "07:04 hit again, same rod")

    assert not talk.logged
    assert told(standing(tmp_path, "strike"), "position") == ["long corner", "long corner"]


def test_both_riggers_of_a_swap_are_two(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX) as desk:
        call(desk, "07:00 swap both riggers to the green nine")

    assert told(standing(tmp_path, "swap"), "position") == ["short rigger", "long rigger"]


def test_a_miss_long_into_a_fight_is_asked_about(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX, "07:00 hooked up shotgun") as desk:
        reply = call(desk, "07:25 missed him")

    assert reply.ask is not None
    assert not standing(tmp_path, "miss")


def test_two_lines_before_are_read_the_latest_last_and_no_older_one(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX, "07:00 who's up", "07:02 not me", "07:04 Ben then") as desk:
        seen = said_before(desk._log, at("07:05"))
        stale = said_before(desk._log, at("07:09"))
        call(desk, "07:20 well well")
        gap = said_before(desk._log, at("07:21"))

    assert seen == ("not me", "Ben then")
    assert stale == ()
    assert gap == ("well well",)


def test_what_was_said_two_lines_ago_may_decide() -> None:
    language = corpus_language()
    after = ("Tess, that's you", "I'm on the toilet dad")
    hints = Hints(flags=bits_of({"fish on", "just called the rod"}), before=after)
    found = understand(typed_transcript("Bridie then"), language, hints)

    assert [(c.act, c.angler) for c in found.calls] in (
        [("amend", "Bridie")],
        [("angler", "Bridie")],
    )


CHURCH_HAT = "name,size_in,colours,head\nChurch Hat,10,purple/black,blunt\n"


@pytest.mark.parametrize(("later", "lure"), [("07:01", "Church Hat"), ("07:10", None)])
def test_it_is_the_lure_that_was_made_ready_just_now(
    tmp_path: Path, later: str, lure: str | None
) -> None:
    with rigged(tmp_path, CHURCH_HAT) as desk:
        call(desk, "07:00 church hat is ready", f"{later} ok put it on the long corner")

    assert told(standing(tmp_path, "set"), "lure")[-1] == lure


def test_what_is_shredded_is_the_lure_that_was_bitten_just_now(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX, "07:00 strike shotgun", "07:01 missed it") as desk:
        call(desk, "07:02 the skirt's shredded")

    assert told(standing(tmp_path, "rework"), "lure") == ["Broom Handle"]
