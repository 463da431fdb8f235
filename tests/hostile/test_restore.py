"""Files for `restore`: the data is taken, never the schema; paths and values are checked; nothing is run."""

import json
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from bot.logbook.ids import Ids
from bot.logbook.recordings import forget, purge, recordings
from bot.logbook.store import Logbook
from tests.builders import at
from tests.hostile.rig import FILE, entries, fingerprint, fished, run


@pytest.fixture
def home(tmp_path: Path) -> Path:
    return fished(tmp_path / "home")


@pytest.fixture
def copy(home: Path, tmp_path: Path) -> Path:
    """Return a good copy, to be spoilt."""
    assert run(home, "backup", "--out", str(tmp_path / "copy.db")).code == 0
    return tmp_path / "copy.db"


@contextmanager
def spoiling(copy: Path, *unguarded: str) -> Iterator[sqlite3.Connection]:
    """Open a copy to be changed; the guards of these tables are taken away."""
    db = sqlite3.connect(copy, isolation_level=None)
    for (name,) in db.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
        if name.startswith(unguarded or ("none",)):
            db.execute(f"DROP TRIGGER {name}")
    try:
        yield db
    finally:
        db.close()


def schema(file: Path) -> set[tuple[str, str]]:
    db = sqlite3.connect(file)
    try:
        return set(db.execute("SELECT type, name FROM sqlite_master").fetchall())
    finally:
        db.close()


def test_a_good_copy_comes_back_whole_with_the_schema_of_this_program(
    home: Path, copy: Path
) -> None:
    before, tables = entries(home), schema(home / FILE)

    done = run(home, "restore", str(copy))

    assert done.code == 0, done
    assert entries(home) == before
    assert schema(home / FILE) == tables
    assert run(home, "chat", said="strike long rigger\n").code == 0
    assert len(entries(home)) > len(before)


FOREIGN = (
    "CREATE TRIGGER evil AFTER INSERT ON messages BEGIN DELETE FROM lures; END",
    "CREATE TRIGGER evil BEFORE INSERT ON records BEGIN SELECT RAISE(IGNORE); END",
    "CREATE VIEW evil AS SELECT * FROM messages",
    "CREATE TABLE evil (secret TEXT)",
    "CREATE INDEX evil ON messages (text)",
    "CREATE TEMP VIEW messages AS SELECT 1",
    "DROP VIEW entries; CREATE VIEW entries AS SELECT 'x' AS id",
    "DROP TRIGGER messages_keep_DELETE",
    "CREATE INDEX evil ON lures (abs(size_in))",
)


@pytest.mark.parametrize("sql", FOREIGN)
def test_nothing_of_a_foreign_schema_lives_on(home: Path, copy: Path, sql: str) -> None:
    before, tables = entries(home), schema(home / FILE)
    with spoiling(copy) as db:
        db.executescript(sql)

    done = run(home, "restore", str(copy))

    assert done.code == 0, done
    assert schema(home / FILE) == tables
    assert entries(home) == before


RUNS_CODE = (
    "DROP TABLE lures; CREATE VIEW lures AS WITH RECURSIVE n(x) AS"
    " (SELECT 1 UNION ALL SELECT x + 1 FROM n) SELECT x AS name FROM n",
    "DROP TABLE messages",
    "DROP TABLE _sqlite_migrations",
    "DROP TABLE records; CREATE VIRTUAL TABLE records USING fts5(id, body)",
)


@pytest.mark.parametrize("sql", RUNS_CODE)
def test_a_file_that_would_run_something_or_lacks_a_table_is_not_taken(
    home: Path, copy: Path, sql: str
) -> None:
    before = fingerprint(home)
    with spoiling(copy) as db:
        db.executescript(sql)

    done = run(home, "restore", str(copy))

    assert done.is_one_line, done
    assert fingerprint(home) == before


OUTSIDE = ("../thesis.txt", "/etc/passwd", "recordings/../../thesis.txt", "recordings/..", "thesis.txt",
           "deckcall.db", "recordings/a/b.ogg", "recordings\\..\\x", "recordings/\x00",
           "file:///etc/passwd")  # fmt: skip


@pytest.mark.parametrize("path", OUTSIDE)
def test_a_recording_that_lies_outside_is_neither_read_nor_removed(
    home: Path, copy: Path, path: str
) -> None:
    outside = home.parent / "thesis.txt"
    outside.write_text("years of work", encoding="utf-8")
    with spoiling(copy, "messages") as db:
        db.execute("UPDATE messages SET sound = ?, arrived_at = '2001-01-01T00:00:00Z'", (path,))
    before = entries(home)

    done = run(home, "restore", str(copy))
    listed = run(home, "recording", "--json")
    run(home, "forget", "--all", "--yes")
    run(home, "chat", said="tally\n")

    assert done.code == 0, done
    assert "left out" in done.err
    assert json.loads(listed.out)["recordings"] == []
    assert outside.read_text(encoding="utf-8") == "years of work"
    assert entries(home) == before


@pytest.mark.parametrize("path", OUTSIDE)
def test_a_log_that_names_such_a_file_already_leaves_it_alone(home: Path, path: str) -> None:
    outside = home.parent / "thesis.txt"
    outside.write_text("years of work", encoding="utf-8")
    with spoiling(home / FILE, "messages") as db:
        db.execute("UPDATE messages SET sound = ?, arrived_at = '2001-01-01T00:00:00Z'", (path,))

    with Logbook.open(home) as log:
        assert recordings(log) == ()
        assert purge(log, 0, at("09:00")) == 0
        assert forget(log, recordings(log)) == 0

    assert outside.exists()
    assert (home / FILE).exists()


DEEP = "[" * 100_000 + "]" * 100_000
VALUES = {
    "a body that is no JSON": ("records", "UPDATE records SET body = 'x'"),
    "a body 100,000 deep": ("records", f"UPDATE records SET body = '{DEEP}'"),
    "a body with NaN": ("records", "UPDATE records SET body = replace(body, '{', '{\"x\":NaN,')"),
    "a reply that is none": ("messages", "UPDATE messages SET reply = '{}'"),
    "a reply that is a list": ("messages", "UPDATE messages SET reply = '[]'"),
    "a time that is none": ("records", "UPDATE records SET at = 'yesterday'"),
    "the year 9999": ("records", "UPDATE records SET at = '9999-12-31T23:59:59Z'"),
    "the year 2300": ("trips", "UPDATE trips SET first_at = '2300-01-01T00:00:00Z'"),
    "a text of 5 MB": ("messages", "UPDATE messages SET text = hex(zeroblob(2500000))"),
    "text that is no UTF-8": ("messages", "UPDATE messages SET text = CAST(x'ff' AS TEXT)"),
    "a lure without end": ("lures", "INSERT INTO lures (name, size_in, colours, ready, imported_at)"
                           " VALUES ('x', 9e999, 'red', 0, '2026-01-01T00:00:00Z')"),
    "a lure less than nothing": ("lures", "INSERT INTO lures (name, size_in, colours, ready, imported_at)"
                                 " VALUES ('x', -1, 'red', 0, '2026-01-01T00:00:00Z')"),
}  # fmt: skip


@pytest.mark.parametrize(("table", "sql"), VALUES.values(), ids=VALUES.keys())
def test_a_value_that_would_stop_commands_later_is_not_taken(
    home: Path, copy: Path, table: str, sql: str
) -> None:
    before = fingerprint(home)
    with spoiling(copy, table) as db:
        db.execute(sql)

    done = run(home, "restore", str(copy))

    assert done.is_one_line, done
    assert len(done.err) < 600
    assert fingerprint(home) == before


def test_rows_with_the_last_number_that_there_is_leave_room_for_the_next(
    home: Path, copy: Path
) -> None:
    with spoiling(copy, "messages", "records") as db:
        for table in ("messages", "records"):
            db.execute(
                f"UPDATE {table} SET seq = 9223372036854775807 WHERE seq = (SELECT max(seq) FROM {table})"
            )
    before = entries(home)

    assert run(home, "restore", str(copy)).code == 0
    said = run(home, "chat", said="strike long rigger\n")

    assert said.code == 0, said
    assert len(entries(home)) > len(before)


def test_the_last_id_that_there_is_does_not_stop_the_next(home: Path, copy: Path) -> None:
    with spoiling(copy, "records") as db:
        db.execute("UPDATE records SET id = 'ffffffff-ffff-ffff-ffff-ffffffffffff' WHERE seq = 1")

    assert run(home, "restore", str(copy)).code == 0
    said = run(home, "chat", said="strike long rigger\n")

    assert "Strike, long rigger" in said.out
    assert Ids("ffffffff-ffff-ffff-ffff-ffffffffffff").new() < "1"


@pytest.mark.parametrize("way", ["a column less", "a table without types", "twice the same id"])
def test_tables_of_another_shape_are_copied_by_value_or_refused(
    home: Path, copy: Path, way: str
) -> None:
    before = fingerprint(home)
    with spoiling(copy, "messages", "records", "trips", "stands") as db:
        if way == "a column less":
            db.execute("ALTER TABLE messages DROP COLUMN reply")
        else:
            db.executescript(
                "CREATE TABLE loose AS SELECT * FROM messages; DROP TABLE messages;"
                "ALTER TABLE loose RENAME TO messages"
            )
            if way == "twice the same id":
                db.execute("INSERT INTO messages SELECT * FROM messages")
            else:
                db.execute("UPDATE messages SET confidence = 'sure'")

    done = run(home, "restore", str(copy))

    assert done.is_one_line, done
    assert fingerprint(home) == before
