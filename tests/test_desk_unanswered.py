"""What nobody answered is not lost: it is taken as likeliest, told, and can be taken back.

What is right stands beside each talk; common practice, no source.
"""

from pathlib import Path

import pytest

from tests.desk_rig import at, call, doubtful, rows, scripted, tone
from tests.test_desk_lives import acts, told, totals


def strikes(home: Path) -> list[tuple[str, str, str]]:
    found = rows(home, "SELECT at, crew, position FROM entries WHERE NOT void AND act = 'strike'")
    return [(row["at"], row["crew"], row["position"]) for row in found]


def test_a_question_that_waited_is_taken_at_its_own_time_and_said(tmp_path: Path) -> None:
    with scripted(tmp_path, doubtful("strike short corner", 0.6)) as desk:
        call(desk, "06:30 lines in", "06:30 set short corner red ten")
        desk.hear(tone(), crew="Ana", at=at("07:00"))
        reply = desk.say("birds to port", crew="Ben", at=at("07:03"))

    assert reply.text.startswith("Taken, as nobody answered: strike, short corner, 07:00.")
    assert "Seen: birds" in reply.text
    assert strikes(tmp_path) == [("2026-03-14T07:00:00Z", "Ana", "short corner")]
    assert len(reply.logged) == 2


def test_it_is_taken_once(tmp_path: Path) -> None:
    with scripted(tmp_path, doubtful("strike short corner", 0.6)) as desk:
        call(desk, "06:30 lines in", "06:30 set short corner red ten")
        desk.hear(tone(), crew="Ana", at=at("07:00"))
        for clock in ("07:03", "07:06", "07:09"):
            desk.say("birds to port", crew="Ben", at=at(clock))

    assert len(strikes(tmp_path)) == 1


@pytest.mark.parametrize("accept", [0.2, 0.45])
def test_what_was_hardly_heard_is_never_taken(tmp_path: Path, accept: float) -> None:
    with scripted(tmp_path, doubtful("strike short corner", accept)) as desk:
        call(desk, "06:30 lines in", "06:30 set short corner red ten")
        desk.hear(tone(), crew="Ana", at=at("07:00"))
        desk.say("birds to port", crew="Ben", at=at("07:03"))

    assert strikes(tmp_path) == []


@pytest.mark.parametrize("word", ["no", "scratch that"])
def test_what_was_denied_is_not_taken(tmp_path: Path, word: str) -> None:
    with scripted(tmp_path, doubtful("strike short corner", 0.6)) as desk:
        call(desk, "06:30 lines in", "06:30 set short corner red ten")
        desk.hear(tone(), crew="Ana", at=at("07:00"))
        desk.say(word, crew="Ana", at=at("07:00:30"))
        desk.say("birds to port", crew="Ben", at=at("07:03"))

    assert strikes(tmp_path) == []


def test_what_somebody_else_called_meanwhile_is_one_event(tmp_path: Path) -> None:
    with scripted(tmp_path, doubtful("strike short corner", 0.6)) as desk:
        call(desk, "06:30 lines in", "06:30 set short corner red ten")
        desk.hear(tone(), crew="Ana", at=at("07:00"))
        desk.say("strike short corner", crew="Ben", at=at("07:00:20"))
        desk.say("birds to port", crew="Ben", at=at("07:03"))

    assert len(strikes(tmp_path)) == 1


def test_what_comes_further_takes_the_question_it_builds_on_at_once(tmp_path: Path) -> None:
    with scripted(tmp_path, doubtful("hooked up short corner", 0.6)) as desk:
        call(desk, "06:30 lines in", "06:30 set short corner red ten")
        desk.hear(tone(), crew="Ana", at=at("07:00"))
        desk.say("boated a wahoo", crew="Ben", at=at("07:01"))

    found = rows(tmp_path, "SELECT act, position FROM entries WHERE NOT void AND act = 'boat'")
    assert [row["position"] for row in found] == ["short corner"]


def test_of_two_fish_the_one_that_is_left_is_the_one_that_was_asked_about(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    told(
        tmp_path, "0 A: hooked up short rigger", "1 B: hooked up shotgun", "6 B: he came off",
        "12 A: wahoo in the boat, shotgun",
    )  # fmt: skip

    assert acts(tmp_path)[2:] == ["pulled_hook short rigger", "boat shotgun"]
    assert totals(tmp_path, capsys) == (2, 2, 1)


def test_two_of_a_kind_that_were_both_asked_about_are_two(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    told(
        tmp_path, "0 A: hooked up short rigger", "1 B: hooked up shotgun",
        "6 B: boated a yellowfin", "9 A: boated another yellowfin", "15 A: lines back in",
    )  # fmt: skip

    assert totals(tmp_path, capsys) == (2, 2, 2)
