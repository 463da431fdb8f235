"""What the desk asks when it is in doubt, and recordings that it cannot use; only the ear is scripted."""

import io
from pathlib import Path

import numpy as np
import pytest
import soundfile

from bot import Desk
from bot.messages import Message
from tests.desk_rig import at, call, doubtful, rows, scripted, tone


def test_a_doubtful_recording_is_asked_about_and_yes_logs_it_as_it_was_said(
    tmp_path: Path,
) -> None:
    with scripted(tmp_path, doubtful("strike short corner", 0.45)) as desk:
        desk.say("lines in", at=at("06:30"))
        asked = desk.hear(tone(), crew="Angler", at=at("07:00"))
        logged = desk.say("yes", crew="Mate", at=at("07:01"))

    assert asked.ask == "Did you say: strike, short corner?"
    assert (asked.logged, [b.say for b in asked.buttons]) == ((), ["yes", "no"])
    assert asked.calls == ({"act": "strike", "position": "short corner"},)
    assert asked.confidence <= 0.45
    strike = next(row for row in rows(tmp_path) if row["act"] == "strike")
    assert (strike["at"], strike["crew"], strike["text"]) == (
        "2026-03-14T07:00:00Z", "Angler", "strike short corner",
    )  # fmt: skip
    assert logged.logged == (strike["id"],)


def test_an_open_question_survives_a_restart(tmp_path: Path) -> None:
    with scripted(tmp_path, doubtful("strike short corner", 0.45)) as desk:
        desk.hear(tone(), crew="Angler", at=at("07:00"))
    with Desk(tmp_path) as desk:
        reply = desk.say("yes", crew="Mate", at=at("07:01"))

    assert len(reply.logged) == 2
    assert [row["act"] for row in rows(tmp_path)] == ["trip_start", "strike"]


@pytest.mark.parametrize(("clock", "logged"), [("07:02:00", True), ("07:02:01", False)])
def test_a_question_goes_stale_after_two_minutes(tmp_path: Path, clock: str, logged: bool) -> None:
    with scripted(tmp_path, doubtful("strike short corner", 0.45)) as desk:
        desk.hear(tone(), at=at("07:00:00"))
        reply = desk.say("yes", at=at(clock))

    assert bool(reply.logged) is logged
    assert reply.text


def test_no_drops_the_question_and_a_later_yes_finds_none(tmp_path: Path) -> None:
    with scripted(tmp_path, doubtful("strike short corner", 0.45)) as desk:
        desk.hear(tone(), at=at("07:00"))
        dropped = desk.say("no", at=at("07:00:20"))
        later = desk.say("yes", at=at("07:00:40"))

    assert "ot logged" in dropped.text
    assert not later.logged
    assert rows(tmp_path) == []


def test_saying_it_again_answers_the_question_and_is_logged_once(tmp_path: Path) -> None:
    with scripted(tmp_path, doubtful("strike short corner", 0.45)) as desk:
        call(desk, "06:30 lines in", "06:30 set short corner red ten", "06:30 set shotgun red six")
        desk.hear(tone(), at=at("07:00"))
        desk.say("strike short corner", at=at("07:00:20"))
        later = desk.say("yes", at=at("07:00:40"))

    strikes = [row["at"] for row in rows(tmp_path) if row["act"] == "strike"]
    assert strikes == ["2026-03-14T07:00:00Z"]
    assert not later.logged


def test_another_sure_call_closes_the_question(tmp_path: Path) -> None:
    with scripted(tmp_path, doubtful("strike short corner", 0.45)) as desk:
        call(desk, "06:30 lines in", "06:30 set short corner red ten", "06:30 set shotgun red six")
        desk.hear(tone(), at=at("07:00"))
        desk.say("strike shotgun", at=at("07:00:20"))
        later = desk.say("yes", at=at("07:00:40"))

    assert [r["position"] for r in rows(tmp_path) if r["act"] == "strike"] == ["shotgun"]
    assert not later.logged


def test_a_correction_of_what_was_asked_about_leaves_the_entry_before_alone(
    tmp_path: Path,
) -> None:
    with scripted(tmp_path, doubtful("strike short corner", 0.45)) as desk:
        call(desk, "06:30 lines in", "06:30 set long corner red ten", "06:50 strike long corner")
        desk.hear(tone(), at=at("07:00"))
        desk.say("no, short rigger", at=at("07:00:20"))

    strikes = [(r["position"], r["void"]) for r in rows(tmp_path) if r["act"] == "strike"]
    assert strikes == [("long corner", 0), ("short rigger", 0)]


def test_undo_drops_the_question_and_leaves_the_entry_before_alone(tmp_path: Path) -> None:
    with scripted(tmp_path, doubtful("strike short corner", 0.45)) as desk:
        call(desk, "06:30 lines in", "06:30 set long corner red ten", "06:50 strike long corner")
        desk.hear(tone(), at=at("07:00"))
        desk.say("scratch that", at=at("07:00:20"))

    strikes = [(r["position"], r["void"]) for r in rows(tmp_path) if r["act"] == "strike"]
    assert strikes == [("long corner", 0)]


def test_a_question_of_the_crew_leaves_the_open_question_open(tmp_path: Path) -> None:
    with scripted(tmp_path, doubtful("strike short corner", 0.45)) as desk:
        desk.hear(tone(), at=at("07:00"))
        desk.say("tally", at=at("07:00:20"))
        later = desk.say("yes", at=at("07:00:40"))

    assert later.logged


def test_an_ear_that_heard_no_call_is_told_and_the_recording_kept(tmp_path: Path) -> None:
    sound = tone()
    with scripted(tmp_path, "") as desk:
        reply = desk.hear(sound, crew="Mate", at=at("07:00"))

    assert reply.text.startswith("Not logged")
    assert _kept_sound(tmp_path) == [sound]


def test_no_recording_is_kept_where_the_boat_wants_none(tmp_path: Path) -> None:
    (tmp_path / "deckcall.toml").write_text("[speech]\nkeep_days = 0\n")
    with scripted(tmp_path, "strike shotgun") as desk:
        reply = desk.hear(tone(), at=at("07:00"))

    assert reply.heard == "strike shotgun"
    assert reply.logged
    assert _kept_sound(tmp_path) == []


def test_recordings_stay_with_their_message(tmp_path: Path) -> None:
    sound = tone()
    with scripted(tmp_path, "strike shotgun") as desk:
        desk.hear(sound, at=at("07:00"))

    assert _kept_sound(tmp_path) == [sound]


@pytest.mark.parametrize(
    ("sound", "words"),
    [(b"", "empty"), (b"no sound at all", "damaged"), (b"OggS\x00\x02 cut", "damaged")],
)
def test_a_broken_recording_is_answered_clearly_and_kept(
    tmp_path: Path, sound: bytes, words: str
) -> None:
    with scripted(tmp_path) as desk:
        reply = desk.hear(sound, at=at("07:00"))

    assert reply.text.startswith("Not logged: ")
    assert words in reply.text
    assert _kept_sound(tmp_path) == [sound]


def test_a_silent_and_an_endless_recording_are_answered_clearly(tmp_path: Path) -> None:
    out = io.BytesIO()
    soundfile.write(out, np.zeros(16_000), 16_000, format="WAV")
    with scripted(tmp_path) as desk:
        silent = desk.hear(out.getvalue(), at=at("07:00"))
        endless = desk.hear(tone(61.0), at=at("07:01"))

    assert "silent" in silent.text
    assert "longer than 60 s" in endless.text


def _kept_sound(home: Path) -> list[bytes]:
    folder = home / "recordings"
    return [path.read_bytes() for path in sorted(folder.iterdir())] if folder.is_dir() else []


def test_three_of_the_crew_are_asked_at_once_and_each_gets_an_answer(tmp_path: Path) -> None:
    said = ("strike short corner", "strike long corner", "strike shotgun")
    with scripted(tmp_path, *(doubtful(text, 0.45) for text in said)) as desk:
        desk.say("lines in", crew="Skip", at=at("06:30"))
        asked = [
            desk.hear(tone(), crew=who, at=at(f"07:00:{10 * n:02d}"))
            for n, who in enumerate(("Ana", "Ben", "Tom"))
        ]
        desk.say("birds to port", crew="Skip", at=at("07:00:40"))
        first = desk.say("yes", crew="Ana", at=at("07:01"))
        pressed = asked[2].buttons[0]
        third = desk.answer(
            Message("Skip", at("07:05"), "telegram", text=pressed.say, about=pressed.about)
        )
        second = desk.say("yes", crew="Ben", at=at("07:01:30"))

    assert first.text.startswith("Strike, short corner")
    assert second.text.startswith("Strike, long corner")
    assert third.text.startswith("Strike, shotgun")
    strikes = [row for row in rows(tmp_path) if row["act"] == "strike"]
    assert sorted((row["crew"], row["position"]) for row in strikes) == [
        ("Ana", "short corner"), ("Ben", "long corner"), ("Tom", "shotgun"),
    ]  # fmt: skip


def test_a_question_is_answered_once(tmp_path: Path) -> None:
    with scripted(tmp_path, doubtful("strike short corner", 0.45)) as desk:
        desk.say("lines in", crew="Skip", at=at("06:30"))
        asked = desk.hear(tone(), crew="Ana", at=at("07:00"))
        desk.say("yes", crew="Ana", at=at("07:00:20"))
        pressed = asked.buttons[0]
        again = desk.answer(
            Message("Skip", at("07:01"), "telegram", text=pressed.say, about=pressed.about)
        )

    assert not again.logged
    assert len([row for row in rows(tmp_path) if row["act"] == "strike"]) == 1


def test_what_was_asked_of_one_is_answered_by_that_one_or_a_skipper(tmp_path: Path) -> None:
    with scripted(tmp_path, doubtful("strike short corner", 0.45)) as desk:
        desk.say("lines in", at=at("06:30"))
        asked = desk.hear(tone(), crew="Ana", at=at("07:00"))
        about = asked.buttons[0].about
        word = desk.answer(Message("Tom", at("07:01"), "web", text="yes", skipper=False))
        button = Message("Tom", at("07:01"), "web", text="yes", skipper=False, about=about)
        pressed = desk.answer(button)
        own = desk.answer(Message("Ana", at("07:02"), "web", text="yes", skipper=False))

    assert word.text == "Not done: that was asked of Ana; Ana or the skipper can answer it."
    assert (pressed.text, pressed.logged) == (word.text, ())
    assert len(own.logged) == 1
