"""Recordings and the desk: kept with their message, heard once more where they were not, gone in time."""

import io
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
import soundfile

from bot import Desk
from bot.errors import EngineError
from bot.logbook.recordings import Recording, recordings, waiting_recordings
from bot.logbook.store import Logbook
from bot.messages import Message, Reply
from bot.speech.audio import Pcm
from bot.speech.engine import EngineGrammar
from bot.transcript import Alternative, HearingFailure, Transcript
from tests.scripted_engine import ScriptedEngine
from tests.speech.recordings import tone

DAY = datetime(2026, 3, 14, 6, 0, tzinfo=UTC)


class _Broken:
    """An engine without its model."""

    name = "scripted"

    def prepare(self, grammar: EngineGrammar) -> None:
        pass

    def transcribe(self, pcm: Pcm) -> Transcript:
        raise EngineError(f"{pcm.seconds:.0f} s, and no model: run 'deckcall model get'")


def _sound() -> bytes:
    out = io.BytesIO()
    soundfile.write(out, tone(1.0), 16_000, format="WAV")
    return out.getvalue()


def _said(minute: int, ref: str | None = None) -> Message:
    at = DAY + timedelta(minutes=minute)
    return Message("Ana", at, "telegram", sound=_sound(), ref=ref, name="voice")


def _waiting(home: Path) -> tuple[Recording, ...]:
    with Logbook.open(home) as log:
        return waiting_recordings(log)


def _logged(home: Path) -> list[tuple[str, str, str]]:
    with Logbook.open(home) as log:
        rows = log.rows("SELECT at, act, crew FROM entries WHERE void = 0 ORDER BY id")
    return [(at, act, crew) for at, act, crew in rows]


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """Return a home with a trip and one recording in it that could not be heard."""
    with Desk(tmp_path, engine=_Broken()) as desk:
        desk.say("lines in", "Ana", DAY)
        reply = desk.answer(_said(10, "telegram:1:5"))
        desk.say("lines out", "Ana", DAY + timedelta(minutes=60))
        desk.say("trip end", "Ana", DAY + timedelta(minutes=61))
        desk.say("lines in", "Ana", DAY + timedelta(days=2))
    assert "model get" in reply.text
    assert "kept" in reply.text
    return tmp_path


def test_a_recording_that_was_not_heard_is_logged_later_at_its_own_time_in_its_own_trip(
    home: Path,
) -> None:
    (one,) = _waiting(home)
    with Desk(home, engine=ScriptedEngine(["strike shotgun"])) as desk:
        reply = desk.retry(one)

    assert reply.heard == "strike shotgun"
    assert ("2026-03-14T06:10:00Z", "strike", "Ana") in _logged(home)
    assert _waiting(home) == ()
    with Logbook.open(home) as log:
        trips = dict(log.rows("SELECT act, trip FROM entries WHERE act IN ('strike', 'trip_end')"))
    assert trips["strike"] == trips["trip_end"]


def test_it_is_logged_once_however_often_it_is_tried(home: Path) -> None:
    (one,) = _waiting(home)
    with Desk(home, engine=ScriptedEngine(["strike shotgun", "strike shotgun"])) as desk:
        first, again = desk.retry(one), desk.retry(one)
        redelivered = desk.answer(_said(10, "telegram:1:5"))

    assert again.logged == first.logged
    assert "kept" in redelivered.text
    assert [act for _, act, _ in _logged(home)].count("strike") == 1


def test_one_that_cannot_be_heard_again_goes_on_waiting(home: Path) -> None:
    (one,) = _waiting(home)
    with Desk(home, engine=_Broken()) as desk:
        reply = desk.retry(one)

    assert reply.text.startswith("Not logged")
    assert _waiting(home) == (one,)


@pytest.mark.parametrize("words", ["undo", "no, long corner"])
def test_what_was_said_about_another_entry_then_is_not_done_now(home: Path, words: str) -> None:
    before = _logged(home)
    (one,) = _waiting(home)
    with Desk(home, engine=ScriptedEngine([words])) as desk:
        reply = desk.retry(one)

    assert reply.text.startswith("Not done")
    assert _logged(home) == before
    assert _waiting(home) == ()


def test_where_no_recordings_are_kept_one_that_waited_goes_when_it_was_heard(
    tmp_path: Path,
) -> None:
    (tmp_path / "deckcall.toml").write_text("[speech]\nkeep_days = 0\n")
    with Desk(tmp_path, engine=_Broken()) as desk:
        desk.answer(_said(0))
    (one,) = _waiting(tmp_path)
    with Desk(tmp_path, engine=ScriptedEngine(["strike shotgun"])) as desk:
        desk.retry(one)

    assert not one.path.exists()


@pytest.mark.parametrize(("again", "outcome"), [(True, "kept"), (False, "not heard")])
def test_what_an_ear_elsewhere_could_not_hear_is_kept_and_told(
    tmp_path: Path, again: bool, outcome: str
) -> None:
    with Desk(tmp_path) as desk:
        reply = desk.answer(_said(0), HearingFailure("3 recordings wait already", again))

    assert reply.text.startswith("Not logged: 3 recordings wait already.")
    with Logbook.open(tmp_path) as log:
        assert [one.outcome for one in recordings(log)] == [outcome]


def test_what_an_ear_elsewhere_heard_is_logged(tmp_path: Path) -> None:
    heard = Transcript((Alternative("strike shotgun", 1.0),), "scripted", 1.0)
    with Desk(tmp_path) as desk:
        grammar = desk.grammar(_said(0, "r1"))
        reply = desk.answer(_said(0, "r1"), heard)
        known = desk.grammar(_said(0, "r1"))

    assert grammar is not None
    assert "shotgun" in grammar.jsgf
    assert reply.calls[0]["act"] == "strike"
    assert known is None  # answered before: it need not be heard again


def test_old_recordings_go_at_the_start_and_then_once_a_day(tmp_path: Path) -> None:
    now = [DAY]

    def opened() -> Desk:
        return Desk(tmp_path, engine=ScriptedEngine(["strike shotgun"] * 2), clock=lambda: now[0])

    def count() -> int:
        return len(list((tmp_path / "recordings").iterdir()))

    with opened() as desk:
        desk.answer(_said(0))
        now[0] = DAY + timedelta(days=29)
        desk.tidy()
        assert count() == 1
        now[0] = DAY + timedelta(days=31)
        desk.say("undo")
        assert count() == 0
        desk.answer(_said(60 * 24 * 31))
    now[0] = DAY + timedelta(days=63)
    with opened():
        assert count() == 0


def test_no_reply_promises_what_the_settings_do_not_keep(tmp_path: Path) -> None:
    (tmp_path / "deckcall.toml").write_text("[speech]\nmax_s = 5\n")
    out = io.BytesIO()
    soundfile.write(out, tone(6.0), 16_000, format="WAV")
    with Desk(tmp_path, engine=ScriptedEngine(())) as desk:
        reply: Reply = desk.hear(out.getvalue())

    assert "longer than 5 s" in reply.text
    assert "retry" not in reply.text
