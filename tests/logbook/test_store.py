"""The log on disk: real SQLite files, in a folder of their own."""

import os
import sqlite3
import subprocess
import sys
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from bot.errors import LogbookError
from bot.logbook.codec import VERSION, encode
from bot.logbook.recordings import recordings
from bot.logbook.store import Logbook, MessageRecord
from bot.messages import Advice, Button, Message, Reply
from bot.tackle.items import Lure
from bot.transcript import Alternative, Transcript
from bot.trip.call import Call
from bot.trip.entry import Advised, Asked, Entry, Record, Restored, Voided
from bot.trip.fold import fold
from bot.trip.history import standing_entries
from tests.builders import TRIP, at, call, entry, message

COLUMNS = [
    "id", "trip", "at", "act", "position", "lure", "size_in", "colours", "species", "count",
    "length_cm", "weight_kg", "crew", "source", "text", "side", "head", "what", "angler", "tagged", "tag",
    "tray", "speed_kn", "water_c", "depth_m", "drag_kg", "wind_kn", "wind_from", "sea_m", "void",
]  # fmt: skip
"""The view `entries` of the contract, section 3."""


def keep(log: Logbook, *records: Record, **values: object) -> Reply:
    name = log.new_id()
    words = values.pop("message", message())
    assert isinstance(words, Message)
    reply = Reply("Logged.", logged=tuple(r.id for r in records if isinstance(r, Entry)))
    kept = MessageRecord(
        name, words, reply, "logged", tuple(replace(r, message=name) for r in records), TRIP
    )
    return log.record(replace(kept, **values))  # type: ignore[arg-type]


def view(home: Path) -> list[dict[str, object]]:
    with sqlite3.connect(home / "deckcall.db") as db:
        db.row_factory = sqlite3.Row
        rows = [dict(r) for r in db.execute("SELECT * FROM entries ORDER BY id")]
    db.close()
    return rows


def test_the_view_has_the_columns_of_the_contract_and_what_was_said(tmp_path: Path) -> None:
    strike = entry(
        "19:40", "strike", "long rigger", "purple black 8", species="wahoo", count=2,
        crew="Ann", source="telegram", said="strike long rigger",
    )  # fmt: skip
    with Logbook.open(tmp_path) as log:
        keep(log, strike)

    (row,) = view(tmp_path)

    assert list(row) == COLUMNS
    assert row == {
        "id": strike.id, "trip": TRIP, "at": "2026-03-14T19:40:00Z", "act": "strike",
        "position": "long rigger", "lure": None, "size_in": 8, "colours": "purple black",
        "species": "wahoo", "count": 2, "length_cm": None, "weight_kg": None, "crew": "Ann",
        "source": "telegram", "text": "strike long rigger", "void": 0,
    } | dict.fromkeys(COLUMNS[15:-1])  # fmt: skip


def test_an_undone_entry_is_void_and_stands_again_when_restored(tmp_path: Path) -> None:
    with Logbook.open(tmp_path) as log:
        strike = entry("07:00", "strike")
        keep(log, strike)
        keep(log, Voided(log.new_id(), (strike.id,), at("07:01")))
        void = [r["void"] for r in view(tmp_path)]
        keep(log, Restored(log.new_id(), (strike.id,), at("07:02")))

        assert void == [1]
        assert [r["void"] for r in view(tmp_path)] == [0]
        assert len(standing_entries(log.records(TRIP))) == 1


def test_questions_and_advice_are_no_entries(tmp_path: Path) -> None:
    advice = Advice("shotgun", "purple 8-inch", "3 in 4 hours", 0.8, 0.2)
    asked = Asked("q1", "Which?", ((call("strike"),), (call("undo", of_act="set"),)), at("07:00"))
    with Logbook.open(tmp_path) as log:
        keep(log, asked, Advised("a1", advice, at("07:00")))

        assert view(tmp_path) == []
        assert log.trips() == ()
        assert [replace(r, message="") for r in log.records(TRIP)] == [
            asked, Advised("a1", advice, at("07:00"))
        ]  # fmt: skip
        assert log.last_questions()


def test_records_come_back_as_they_were(tmp_path: Path) -> None:
    first = entry(
        "07:00", "release", species="sailfish", tagged=True, tag="A1", inferred=("species",)
    )
    second = entry("07:10", "swap", "shotgun", "@Tin Roof", old_colours=("red",), replaces=first.id)
    with Logbook.open(tmp_path) as log:
        keep(log, first, second, Voided("v", (first.id,), at("07:10")))
    with Logbook.open(tmp_path) as log:
        found = log.records(TRIP)

    assert [replace(r, message="") for r in found] == [
        replace(first, message=""), replace(second, message=""), Voided("v", (first.id,), at("07:10"))
    ]  # fmt: skip


def test_a_message_seen_twice_is_kept_once_and_answered_as_before(tmp_path: Path) -> None:
    seen = message(ref="telegram:1:2")
    with Logbook.open(tmp_path) as log:
        first = keep(log, entry("07:00", "strike"), message=seen)
        again = keep(log, entry("07:00", "strike"), message=seen)

        assert again == first == log.reply_to("telegram:1:2")
        assert len(view(tmp_path)) == 1
        assert log.reply_to("telegram:1:3") is None
        assert log.reply_to(None) is None


def test_a_reply_comes_back_whole(tmp_path: Path) -> None:
    reply = Reply(
        "Strike.\nTally 1.", "Strike.", ({"act": "strike", "size_in": 8},),
        Advice("shotgun", "Tin Roof", "why", 0.7, 0.1), 0.93, "Which?", ("e1",), "strike",
        (Button("Undo", "undo"),),
    )  # fmt: skip
    with Logbook.open(tmp_path) as log:
        keep(log, message=message(ref="x"), reply=reply)

        assert log.reply_to("x") == reply


def test_a_message_that_is_no_call_is_kept_without_entries(tmp_path: Path) -> None:
    heard = Transcript((Alternative("strange wrigglers", 0.4),), "sphinx", 1.5, {"snr_db": 3.0})
    with Logbook.open(tmp_path) as log:
        keep(log, outcome="not understood", transcript=heard, message=message(text=None))

    with sqlite3.connect(tmp_path / "deckcall.db") as db:
        rows = db.execute("SELECT outcome, alternatives FROM messages").fetchall()
    db.close()

    assert rows[0][0] == "not understood"
    assert "strange wrigglers" in rows[0][1]
    assert view(tmp_path) == []


@pytest.mark.parametrize("table", ["messages", "records", "stands", "trips"])
def test_nothing_that_was_kept_can_be_changed_or_deleted(tmp_path: Path, table: str) -> None:
    with Logbook.open(tmp_path) as log:
        strike = entry("07:00", "strike")
        keep(log, strike, Voided("v", (strike.id,), at("07:00")))
    db = sqlite3.connect(tmp_path / "deckcall.db")
    before = db.execute(f"SELECT * FROM {table}").fetchall()
    column = "entry" if table == "stands" else "id"

    for attack in (
        f"UPDATE {table} SET {column} = 'x'",
        f"DELETE FROM {table}",
        f"INSERT OR REPLACE INTO {table} SELECT * FROM {table}",
    ):
        with pytest.raises(sqlite3.IntegrityError):
            db.execute(attack)

    assert before
    assert db.execute(f"SELECT * FROM {table}").fetchall() == before
    db.close()


def test_a_message_is_kept_whole_or_not_at_all(tmp_path: Path) -> None:
    with Logbook.open(tmp_path) as log:
        strike = entry("07:00", "strike")
        with pytest.raises(LogbookError):
            keep(log, strike, strike, message=message(ref="r"))

        assert log.reply_to("r") is None
        assert log.records(TRIP) == ()
        assert keep(log, strike, message=message(ref="r")).logged == (strike.id,)


def test_the_log_survives_a_process_that_is_killed_after_the_reply(tmp_path: Path) -> None:
    program = """
import os, sys
from pathlib import Path
from bot.logbook.store import Logbook
from tests.logbook.test_store import keep
from tests.builders import entry
log = Logbook.open(Path(sys.argv[1]))
keep(log, entry("07:00", "strike"))
os.kill(os.getpid(), 9)
"""
    root = Path(__file__).parents[2]

    done = subprocess.run(
        [sys.executable, "-c", program, str(tmp_path)], cwd=root, check=False,
        env=os.environ | {"PYTHONPATH": str(root)},
    )  # fmt: skip

    assert done.returncode == -9
    assert [r["act"] for r in view(tmp_path)] == ["strike"]


def test_a_recording_is_kept_beside_the_log(tmp_path: Path) -> None:
    sound = b"OggS" + bytes(range(256))
    with Logbook.open(tmp_path) as log:
        name = log.new_id()
        log.record(
            MessageRecord(name, message(text=None, sound=sound), Reply(""), "not understood")
        )
        (kept,) = recordings(log)

        assert kept.message == name
        assert kept.path.read_bytes() == sound
        assert kept.path.suffix == ".ogg"
        assert kept.path.is_relative_to(tmp_path)


def test_the_trip_of_the_moment_is_the_last_of_which_something_stands(tmp_path: Path) -> None:
    with Logbook.open(tmp_path) as log:
        assert log.latest_trip() is None
        keep(log, entry("07:00", "trip_start", trip="one"))
        second = entry("08:00", "trip_start", trip="two")
        keep(log, second)
        assert log.latest_trip() == "two"
        keep(log, Voided("v", (second.id,), at("08:01")))

        assert log.latest_trip() == "one"
        assert log.last_trip() == "two"
        assert [t.id for t in log.trips()] == ["one", "two"]
        assert [type(r).__name__ for r in log.records("two")] == ["Entry", "Voided"]


def test_two_programs_at_once_see_each_others_entries(tmp_path: Path) -> None:
    with Logbook.open(tmp_path) as one, Logbook.open(tmp_path) as two:
        keep(one, entry("07:00", "strike"))
        assert len(two.records(TRIP)) == 1
        keep(two, entry("07:01", "miss"))

        assert [r.call.act for r in one.records(TRIP) if isinstance(r, Entry)] == ["strike", "miss"]


def test_the_log_replayed_gives_the_same_trip(tmp_path: Path) -> None:
    made = [entry("07:00", "lines_in"), entry("07:01", "set", "shotgun", "red 6"),
            entry("08:00", "strike", "shotgun")]  # fmt: skip
    with Logbook.open(tmp_path) as log:
        for one in made:
            keep(log, one)
    with Logbook.open(tmp_path) as log:
        assert fold(standing_entries(log.records(TRIP))) == fold(made)


def test_what_a_newer_program_wrote_is_found_and_left_out(tmp_path: Path) -> None:
    with Logbook.open(tmp_path) as log:
        keep(log, entry("07:00", "strike"))
    db = sqlite3.connect(tmp_path / "deckcall.db")
    row = encode(entry("07:05", "strike"), TRIP)
    for number, (kind, version, body) in enumerate(
        [
            ("whale_song", 1, "{}"),
            ("entry", VERSION + 1, row.body),
            ("entry", 1, '{"call": {"act": "x", "z": 1}}'),
        ]
    ):
        db.execute(
            "INSERT INTO records (id, message, trip, at, kind, version, crew, source, text, body)"
            " VALUES (?, '', ?, ?, ?, ?, '', '', '', ?)",
            (f"n{number}", TRIP, row.at, kind, version, body),
        )
    db.commit()
    db.close()

    with Logbook.open(tmp_path) as log:
        assert len(log.records(TRIP)) == 1
        assert [f.code for f in log.findings(TRIP)] == ["unreadable-record"] * 3


def test_the_tackle_box_is_brought_up_to_date_by_name(tmp_path: Path) -> None:
    tin = Lure("Tin Roof", 8, ("purple", "black"), "slanted", "medium", 1, 180, 4, True, 7, 9.5)
    plain = Lure("Apple", 6.5, ("red",))
    with Logbook.open(tmp_path) as log:
        log.import_lures((tin, plain), at("07:00"))
        log.import_lures((replace(tin, ready=False),), at("08:00"))

        assert log.lures() == (plain, replace(tin, ready=False))


def test_times_are_kept_in_utc(tmp_path: Path) -> None:
    auckland = entry("07:00", "strike")
    zone = datetime(2026, 3, 15, 8, 40, tzinfo=UTC).astimezone().tzinfo
    with Logbook.open(tmp_path) as log:
        keep(log, replace(auckland, at=datetime(2026, 3, 15, 8, 40, tzinfo=UTC).astimezone(zone)))

    assert view(tmp_path)[0]["at"] == "2026-03-15T08:40:00Z"


def test_an_open_log_has_a_write_ahead_log_and_syncs_fully(tmp_path: Path) -> None:
    with Logbook.open(tmp_path) as log:
        assert log._db.execute("PRAGMA journal_mode").fetchone() == ("wal",)
        assert log._db.execute("PRAGMA synchronous").fetchone() == (2,)


def test_an_amended_entry_is_a_void_row_and_a_new_one(tmp_path: Path) -> None:
    with Logbook.open(tmp_path) as log:
        wrong = entry("07:00", "strike", "long rigger")
        keep(log, wrong)
        right = replace(entry("07:00", "strike", "shotgun"), replaces=wrong.id)
        keep(log, Voided("v", (wrong.id,), at("07:01")), right)

    assert [(r["position"], r["void"]) for r in view(tmp_path)] == [
        ("long rigger", 1),
        ("shotgun", 0),
    ]


def test_every_slot_of_a_call_is_kept(tmp_path: Path) -> None:
    full = Call(
        "boat", "shotgun", "port", ("red", "green"), 8.5, "Tin Roof", "blunt", ("blue",), 7.0,
        "Old", "wahoo", 3, 101.6, 22.7, True, "A1", 8.2, 22.5, 120.0, "birds", "position", 37.0,
        "text", 5.0, "09:40", "Ana", 11.5, 15.0, "sw", 1.5, "two", "strike", "09:41", "long rigger",
    )  # fmt: skip
    with Logbook.open(tmp_path) as log:
        keep(log, replace(entry("07:00", "boat"), call=full))
    with Logbook.open(tmp_path) as log:
        (found,) = log.records(TRIP)

    assert isinstance(found, Entry)
    assert found.call == full


def test_the_name_of_a_log_entry_is_later_than_all_before_it(tmp_path: Path) -> None:
    future = "f1a2120b-31fb-7521-96a2-c4fae0a6e8cc"  # made when the clock was far ahead
    with Logbook.open(tmp_path) as log:
        keep(log, replace(entry("07:00", "strike"), id=future))
    with Logbook.open(tmp_path) as log:
        ids = [log.new_id() for _ in range(100)]

    assert [future, *ids] == sorted([future, *ids])
