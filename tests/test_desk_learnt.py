"""The ear learns its crew from calls that stand, from nothing else, and forgets when told to."""

import json
from datetime import timedelta
from itertools import count
from pathlib import Path

import pytest

from bot import Desk
from bot.calls.heard import OPEN
from bot.cli import main
from bot.desk.boat_words import usual
from bot.logbook.learnt import FORGOTTEN_FILE, crew_speech
from bot.logbook.store import Logbook
from bot.messages import Message, Reply
from bot.settings import load
from bot.transcript import Alternative, Transcript
from tests.builders import at

PINK, BLACK = "set long rigger pink ten", "set long rigger black ten"
minutes = count(1)


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """A boat on which Ana has set pink often."""
    with Desk(tmp_path) as desk:
        desk.say("lines in", "Ana", at("06:00"))
        for _ in range(4):
            desk.say(PINK, "Ana", at("06:00") + timedelta(minutes=next(minutes)))
    return tmp_path


def heard(home: Path, crew: str) -> Reply:
    """Let somebody say what sounds like black, and nearly as much like pink."""
    lines = Alternative(BLACK, 0.60), Alternative(PINK, 0.59)
    said = Message(crew, at("06:00") + timedelta(minutes=next(minutes)), "microphone", sound=b"x")
    with Desk(home) as desk:
        return desk.answer(said, Transcript(lines, OPEN, 2.0, {"snr_db": 20.0}))


def colours(reply: Reply) -> list[str]:
    return [call["colours"][0] for call in reply.calls]


def wordings(home: Path, crew: str = "Ana") -> list[str]:
    with Logbook.open(home) as log:
        return list(usual(log, load(options={"home": home}), crew).wordings)


def test_what_its_speaker_is_used_to_saying_is_heard_first(home: Path) -> None:
    assert colours(heard(home, "Ana")) == ["pink"]


def test_another_speaker_is_heard_as_before(
    home: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    other = tmp_path_factory.mktemp("other")
    with Desk(other) as desk:
        desk.say("lines in", "Ana", at("06:00"))

    assert colours(heard(home, "Ben")) == colours(heard(other, "Ben")) == ["black"]


def test_it_can_be_switched_off(home: Path) -> None:
    (home / "deckcall.toml").write_text("[speech]\nlearn = false\n", encoding="utf-8")

    assert colours(heard(home, "Ana")) == ["black"]


def test_what_is_undone_is_unlearnt(home: Path) -> None:
    with Desk(home) as desk:
        desk.say("boated a wahoo", "Ana", at("09:00"))
        assert "boated a wahoo" in wordings(home)
        desk.say("undo", "Ana", at("09:01"))

    assert "boated a wahoo" not in wordings(home)


def test_nothing_is_learnt_from_what_was_asked_and_not_answered(home: Path) -> None:
    doubtful = Transcript((Alternative("strike shotgun", 0.4),), OPEN, 1.0, {"snr_db": 5.0})
    with Desk(home) as desk:
        asked = desk.answer(Message("Ana", at("10:00"), "microphone", sound=b"x"), doubtful)
        assert asked.ask
        assert "strike shotgun" not in wordings(home)
        desk.say("hooked up shotgun", "Ana", at("10:05"))

    assert "strike shotgun" not in wordings(home)


def test_what_was_confirmed_is_learnt(home: Path) -> None:
    doubtful = Transcript((Alternative("strike shotgun", 0.4),), OPEN, 1.0, {"snr_db": 5.0})
    with Desk(home) as desk:
        desk.answer(Message("Ana", at("10:00"), "microphone", sound=b"x"), doubtful)
        desk.say("yes", "Ana", at("10:00:10"))

    assert "strike shotgun" in wordings(home)


@pytest.mark.parametrize("which", [["--all"], ["--crew", "ana"], ["--older-than", "0"]])
def test_it_goes_with_forget(home: Path, which: list[str]) -> None:
    assert wordings(home)

    assert main(["forget", *which, "--yes", "--home", str(home)]) == 0

    assert wordings(home) == []
    assert colours(heard(home, "Ana")) == ["black"]
    with Logbook.open(home) as log:
        assert log.records(log.latest_trip())  # the log stays


def test_to_forget_one_of_the_crew_leaves_the_others(home: Path) -> None:
    main(["forget", "--crew", "Ben", "--yes", "--home", str(home)])

    assert PINK in wordings(home)


def test_where_it_cannot_be_told_what_is_forgotten_nothing_is_learnt(home: Path) -> None:
    (home / FORGOTTEN_FILE).write_text("[1", encoding="utf-8")

    assert wordings(home) == []
    assert colours(heard(home, "Ana")) == ["black"]


def test_what_was_learnt_can_be_looked_at(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["learnt", "--home", str(home)]) == 0
    assert PINK in capsys.readouterr().out

    assert main(["learnt", "--json", "--crew", "Ana", "--home", str(home)]) == 0
    told = json.loads(capsys.readouterr().out)
    assert list(told["crew"]) == ["Ana"]
    assert told["names"] == ["Ana"]


def test_only_calls_of_this_boat_are_learnt_from(home: Path) -> None:
    with Logbook.open(home) as log:
        assert {one.crew for one in crew_speech(log).said} == {"Ana"}
        log.rows("INSERT INTO imported SELECT id, 'other', 1, first_at FROM trips")
        assert crew_speech(log).said == ()
