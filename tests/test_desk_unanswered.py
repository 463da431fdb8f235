"""What nobody answered is not lost: it is taken as likeliest, told, and can be taken back.

What is right stands beside each talk; common practice, no source.
"""

from pathlib import Path

import pytest

from bot import Desk
from bot.messages import Reply
from tests.desk_rig import at, call, doubtful, rows, scripted, tone
from tests.test_desk_lives import acts, told, totals


def strikes(home: Path) -> list[tuple[str, str, str]]:
    found = rows(home, "SELECT at, crew, position FROM entries WHERE NOT void AND act = 'strike'")
    return [(row["at"], row["crew"], row["position"]) for row in found]


TWO = ("0 Ana: hooked up short rigger", "1 Ben: hooked up shotgun", "6 Ben: he came off")


def test_which_fish_is_taken_once_at_its_own_time_and_said(tmp_path: Path) -> None:
    *_, first, second = told(tmp_path, *TWO, "9 Ana: birds to port", "12 Ana: more birds to port")

    assert first.text.startswith("Taken, as nobody answered: pulled hook, ")
    assert "Seen: birds" in first.text
    assert "Taken" not in second.text
    assert sum(act.startswith("pulled_hook") for act in acts(tmp_path)) == 1


def test_what_was_asked_longer_ago_is_left_alone(tmp_path: Path) -> None:
    *_, reply = told(tmp_path, *TWO, "22 Ana: birds to port")

    assert "Taken" not in reply.text
    assert acts(tmp_path) == ["hookup short rigger", "hookup shotgun"]


@pytest.mark.parametrize("accept", [0.2, 0.45, 0.6, 0.8])
def test_whether_something_was_a_call_is_never_taken(tmp_path: Path, accept: float) -> None:
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


def test_a_doubtful_bite_that_a_hook_up_bears_out_is_taken_and_one_on_another_line_is_not(
    tmp_path: Path,
) -> None:
    for name, said, count in (("on", "he's on", 1), ("other", "hooked up long corner", 0)):
        home = tmp_path / name
        home.mkdir()
        with scripted(home, doubtful("strike short corner", 0.6)) as desk:
            call(desk, "06:30 lines in", "06:30 set short corner red ten")
            call(desk, "06:31 set long corner blue ten")
            desk.hear(tone(), crew="Ana", at=at("07:00"))
            reply = call(desk, f"07:01 {said}")

        assert ("Taken, as nobody answered" in reply.text) is (name == "on")
        assert len(strikes(home)) == count


@pytest.mark.parametrize("doubted", ["boated it", "released it", "pulled the hook", "leadered"])
def test_a_doubtful_leader_or_end_of_a_fish_is_never_taken(tmp_path: Path, doubted: str) -> None:
    with scripted(tmp_path, doubtful(doubted, 0.6)) as desk:
        call(desk, "06:30 lines in", "06:30 set short corner red ten", "07:00 strike short corner")
        call(desk, "07:01 hooked up short corner")
        assert desk.hear(tone(), crew="Ana", at=at("07:03")).ask
        call(desk, "07:06 birds to port", "07:10 boated it short corner", "07:14 lines back in")

    taken = rows(tmp_path, "SELECT act, at FROM entries WHERE NOT void AND at LIKE '%07:03%'")
    assert [tuple(row) for row in taken] == []


def test_what_was_not_answered_is_named_when_the_trip_ends(tmp_path: Path) -> None:
    with scripted(tmp_path, doubtful("strike short corner", 0.6)) as desk:
        call(desk, "06:30 lines in", "06:30 set short corner red ten")
        desk.hear(tone(), crew="Ana", at=at("07:00"))
        reply = call(desk, "08:00 end of trip")

    assert 'Not answered, not logged: "strike short corner" 07:00.' in reply.text


BOX = (
    "06:30 lines in", "06:30 set short corner red ten", "06:31 set long corner purple 8",
    "06:32 set long rigger blue 7", "12:20 strike on the long rigger", "12:21 missed him",
)  # fmt: skip


def asked_about(desk: Desk) -> Reply:
    """Return the question about a doubtful recording at the end of a short day."""
    call(desk, *BOX)
    reply = desk.hear(tone(), crew="Ana", at=at("12:40"))
    assert reply.ask
    return reply


def test_a_correction_hits_the_fish_just_boated_and_no_old_question(tmp_path: Path) -> None:
    with scripted(tmp_path, doubtful("birds to port", 0.6)) as desk:
        asked_about(desk)
        call(desk, "12:50 hooked up short corner", "12:54 in the box, twenty-two pounds")
        reply = call(desk, "12:54:30 it was a wahoo", "12:55 actually it was a mahi mahi")

    assert "mahi-mahi, 22 lb (10 kg), short corner" in reply.text
    assert [one for one, _, _ in strikes(tmp_path)] == ["2026-03-14T12:20:00Z"]


def test_undo_after_an_entry_takes_the_entry_back_and_not_an_older_question(tmp_path: Path) -> None:
    with scripted(tmp_path, doubtful("birds to port", 0.6)) as desk:
        asked_about(desk)
        reply = call(desk, "12:40:30 speed 7 knots", "12:41 undo")

    assert reply.text.startswith("Undone: speed")


def test_undo_of_a_question_says_which_was_dropped(tmp_path: Path) -> None:
    with scripted(tmp_path, doubtful("birds to port", 0.6)) as desk:
        asked = asked_about(desk)
        reply = call(desk, "12:40:30 undo")

    assert reply.text == f"Dropped the question: {asked.ask}"


def test_an_answer_that_fits_neither_is_asked_with_both_readings(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        on = ("12:30 hooked up short corner", "12:31 hooked up long corner")
        asked = call(desk, *BOX, *on, "12:40 he came off")
        reply = call(desk, "12:40:30 yes")

    assert asked.ask
    assert reply.text.endswith(asked.ask)


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


def test_a_correction_does_not_fill_an_open_question_about_a_lure(tmp_path: Path) -> None:
    box = tmp_path / "box.csv"
    lures = ("Disco Stick,9,purple black,cupped", "Night Bus,7,purple pink,cupped")
    box.write_text("\n".join(("name,size_in,colours,head", *lures, "")))
    with Desk(tmp_path) as desk:
        desk.box_import(box)
        call(desk, "06:30 lines in", "06:31 set long corner disco stick")
        call(desk, "06:32 set shotgun night bus", "07:00 strike shotgun")
        assert call(desk, "07:20 lost the purple lure").text.startswith("Which lure")
        reply = call(desk, "07:21 the last strike was the long corner not the shotgun")

    assert "Swap" not in reply.text
    assert [where for _, _, where in strikes(tmp_path)] == ["long corner"]


def test_what_was_asked_and_not_answered_stands_with_what_is_out(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        desk.say("lines in", crew="Ana", at=at("09:00"))
        desk.say("set short corner purple eight", crew="Ana", at=at("09:01"))
        assert desk.say("srtike", crew="Ana", at=at("09:02")).ask
        pending = desk.say("what's out", crew="Ana", at=at("09:10"))
        over = desk.say("what's out", crew="Ana", at=at("09:20"))

    assert 'Waiting for an answer, not logged yet: "srtike" 09:02' in pending.text
    assert 'Not answered, not logged: "srtike" 09:02' in over.text


def test_undo_said_to_the_question_whether_to_undo_takes_the_entry_back(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, "06:30 lines in", "06:31 set shotgun blue 7", "07:00 strike shotgun")
        if call(desk, "07:01 just weed, big clump of kelp on the hooks").ask:
            call(desk, "07:02 scratch that one then")

    assert strikes(tmp_path) == []
