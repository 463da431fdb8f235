"""What was said as sound, from the command line: listed, given, forgotten, heard once more."""

import io
import json
import sys
from datetime import UTC, datetime
from pathlib import Path

import pytest

from bot import Desk
from bot.cli import main
from bot.messages import Message
from bot.transcript import Alternative, HearingFailure, Transcript

SPOKEN = Path(__file__).parents[2] / "fixtures" / "recordings" / "strike_shotgun.ogg"
SAID = datetime(2026, 3, 14, 6, 10, tzinfo=UTC)


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """Return a home with a strike that Ana called, and a recording of Ben's that was not heard."""
    heard = Transcript((Alternative("strike shotgun", 1.0),), "scripted", 2.0)
    sound = SPOKEN.read_bytes()
    with Desk(tmp_path) as desk:
        desk.say("lines in", "Ana", SAID.replace(hour=5))
        desk.answer(Message("Ana", SAID.replace(minute=0), "telegram", sound=sound), heard)
        desk.answer(
            Message("Ben", SAID, "telegram", sound=sound), HearingFailure("it hung", again=True)
        )
    return tmp_path


def _listed(home: Path, capsys: pytest.CaptureFixture[str]) -> list[dict[str, object]]:
    assert main(["recording", "--json", "--home", str(home)]) == 0
    found: list[dict[str, object]] = json.loads(capsys.readouterr().out)["recordings"]
    return found


def test_what_was_said_is_listed_and_given_by_the_id_of_its_entry(
    home: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    strike, _ = _listed(home, capsys)
    out = tmp_path / "said.ogg"
    entries = strike["entries"]
    assert isinstance(entries, list)

    assert main(["recording", entries[0], "--out", str(out), "--home", str(home)]) == 0

    assert (strike["crew"], strike["heard"]) == ("Ana", "strike shotgun")
    assert out.read_bytes() == SPOKEN.read_bytes()
    capsys.readouterr()
    assert main(["recording", "--home", str(home)]) == 0
    assert "Ben: waits for hear --retry" in capsys.readouterr().out


def test_a_recording_that_is_not_there_is_a_failure_of_one_line(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["recording", "ffffffff", "--home", str(home)]) == 1
    assert "it was typed, or removed" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("which", "left"),
    [
        (["--all"], []),
        (["--crew", "ana"], ["Ben"]),
        (["--older-than", "1"], ["Ana", "Ben"]),
        (["--older-than", "0"], []),
    ],
)
def test_recordings_are_forgotten_at_once(
    home: Path, capsys: pytest.CaptureFixture[str], which: list[str], left: list[str]
) -> None:
    assert main(["forget", *which, "--yes", "--home", str(home)]) == 0
    capsys.readouterr()

    assert [one["crew"] for one in _listed(home, capsys)] == left
    with Desk(home) as desk:
        assert "strike" in [one.call.act for one in desk.view().stood]


def test_nothing_is_forgotten_where_nobody_agrees(
    home: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "stdin", io.StringIO("y\n"))
    assert main(["forget", "--all", "--home", str(home)]) == 1
    assert "2 recordings, 1 of them not heard yet" in capsys.readouterr().err
    assert len(_listed(home, capsys)) == 2


def test_what_waits_is_heard_in_a_worker_and_logged_at_its_own_time(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["hear", "--retry", "--json", "--home", str(home)]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert main(["hear", "--retry", "--home", str(home)]) == 0
    again = capsys.readouterr()

    assert (answer["crew"], answer["at"]) == ("Ben", SAID.isoformat())
    assert answer["text"].startswith("strike")
    assert again.out == ""
    assert "No recording waits" in again.err


def test_the_doctor_knows_of_workers_and_of_recordings_that_wait(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["doctor", "--json", "--home", str(home)]) == 0
    checks = {one["name"]: one for one in json.loads(capsys.readouterr().out)["checks"]}

    assert checks["workers"]["text"].startswith("1 at once, 20 may wait, given up after 30 s")
    assert checks["recordings"]["state"] == "note"
    assert "1 not heard yet: deckcall hear --retry" in checks["recordings"]["text"]
