"""Opening a log: what is none, what is in use, and that others see what is kept after it."""

import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest

from bot.errors import LogbookError
from bot.logbook.store import Logbook
from tests.builders import entry
from tests.logbook.test_store import keep


@pytest.mark.parametrize("content", [b"this is a shopping list, not a database\n" * 50])
def test_a_file_that_is_no_log_is_explained_in_one_line(tmp_path: Path, content: bytes) -> None:
    (tmp_path / "deckcall.db").write_bytes(content)

    with pytest.raises(LogbookError, match="is not a log of deckcall") as problem:
        Logbook.open(tmp_path)

    assert "\n" not in str(problem.value)
    assert (tmp_path / "deckcall.db").read_bytes() == content


def test_a_folder_that_cannot_be_made_is_explained(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x")

    with pytest.raises(LogbookError, match="DECKCALL_HOME"):
        Logbook.open(tmp_path / "file" / "home")


def test_a_log_of_a_newer_program_is_not_touched(tmp_path: Path) -> None:
    Logbook.open(tmp_path).close()
    db = sqlite3.connect(tmp_path / "deckcall.db")
    db.execute(
        "INSERT INTO _sqlite_migrations (migration_set, name, applied_at)"
        " VALUES ('deckcall', 'telepathy', '2030')"
    )
    db.commit()
    db.close()

    with pytest.raises(LogbookError, match="newer deckcall"):
        Logbook.open(tmp_path)


def test_a_log_in_use_is_explained(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("bot.logbook.opening.BUSY_S", 0.05)
    with Logbook.open(tmp_path) as log:
        other = sqlite3.connect(tmp_path / "deckcall.db", isolation_level=None)
        other.execute("BEGIN IMMEDIATE")

        with pytest.raises(LogbookError, match="in use by another program"):
            keep(log, entry("07:00", "strike"))

        other.execute("ROLLBACK")
        other.close()
        assert keep(log, entry("07:00", "strike")).text == "Logged."


def test_what_is_logged_after_a_reopening_is_seen_by_others_and_outlives_the_process(
    tmp_path: Path,
) -> None:
    """Closing a file drops the locks of its process on it (sqlite.org/howtocorrupt.html, section 2.2)."""
    with Logbook.open(tmp_path) as log:
        keep(log, entry("06:01", "strike"))
    look = (
        "import sqlite3, sys; db = sqlite3.connect(sys.argv[1]);"
        "print(db.execute('SELECT count(*) FROM entries').fetchone()[0]); db.close()"
    )

    def others_see() -> str:
        command = [sys.executable, "-c", look, str(tmp_path / "deckcall.db")]
        return subprocess.run(command, capture_output=True, text=True, check=True).stdout.strip()

    with Logbook.open(tmp_path, check=True) as log:
        before = others_see()
        keep(log, entry("06:02", "strike"))
        after = others_see()
        wal = tmp_path / "deckcall.db-wal"

        assert wal.exists()
        assert (before, after) == ("1", "2")


_TWICE = """
import subprocess, sys
from pathlib import Path
from bot.logbook import opening
from bot.logbook.keeping import back_up, look_at
from bot.logbook.store import Logbook
from tests.builders import at
from tests.logbook.test_store import entry, keep

home, way = Path(sys.argv[1]), sys.argv[2]
look = "import sqlite3, sys; db = sqlite3.connect(sys.argv[1]);" \
    "print(db.execute('SELECT count(*) FROM entries').fetchone()[0]); db.close()"


def others_see():
    command = [sys.executable, "-c", look, str(home / "deckcall.db")]
    done = subprocess.run(command, capture_output=True, text=True)
    return done.stdout.strip() or done.stderr


with Logbook.open(home, check=True) as log:
    keep(log, entry("06:01", "strike"))
    if way == "opened":
        Logbook.open(home, check=True).close()
    elif way == "only read":
        opening.why_not_written = lambda path: "the disk is full"
        again = Logbook.open(home)
        assert again.only_read
        again.close()
    else:
        look_at(back_up(home, at("06:01")))
    print(others_see())
    keep(log, entry("06:02", "strike"))
    print(others_see(), (home / "deckcall.db-wal").exists())
"""


@pytest.mark.parametrize("way", ["opened", "only read", "copied"])
def test_a_second_opening_in_one_process_leaves_the_locks_of_the_first(
    tmp_path: Path, way: str
) -> None:
    """In a process of its own: what other tests hold open would keep the locks by itself."""
    command = [sys.executable, "-c", _TWICE, str(tmp_path), way]
    done = subprocess.run(command, capture_output=True, text=True, check=False)

    assert done.stdout.split() == ["1", "2", "True"], done.stderr
