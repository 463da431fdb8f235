"""Copies of the log: made, checked, thinned out, put back; and a log that is damaged."""

import os
import sqlite3
import subprocess
import sys
from datetime import timedelta
from pathlib import Path

import pytest

from bot import Desk
from bot.cli import main
from bot.errors import LogbookError
from bot.logbook.backups import copies
from bot.logbook.keeping import back_up, back_up_and_keep, look_at, restore
from bot.logbook.store import FILE, Logbook
from bot.trip.entry import Record
from tests.builders import TRIP, at, entry
from tests.logbook.test_store import keep, view


def _logged(home: Path, *records: Record) -> Path:
    with Logbook.open(home) as log:
        keep(log, *(records or (entry("07:00", "strike", "shotgun"),)))
    return home


def _acts(home: Path) -> list[object]:
    return [row["act"] for row in view(home)]


def _spoil(path: Path, start: int = 4096, length: int = 60_000) -> bytes:
    """Overwrite pages in the middle of a file; gives what it holds then."""
    data = bytearray(path.read_bytes())
    data[start : start + length] = b"\xa5" * len(data[start : start + length])
    path.write_bytes(bytes(data))
    return bytes(data)


def test_a_copy_holds_what_was_logged_though_the_log_is_open_and_being_written(
    tmp_path: Path,
) -> None:
    with Logbook.open(tmp_path) as log:
        keep(log, entry("07:00", "strike", "shotgun"))
        made = back_up(tmp_path, at("08:00"))
        keep(log, entry("08:30", "raise", "shotgun"))

        held = look_at(made)

    assert made == tmp_path / "backups" / "deckcall-20260314T080000Z.db"
    assert (held.trips, held.entries, held.last_at) == (1, 1, "2026-03-14T07:00:00Z")
    assert [path.name for path in made.parent.iterdir()] == [made.name]
    assert _acts(tmp_path) == ["strike", "raise"]


def test_a_copy_is_a_single_file_that_opens_read_only(tmp_path: Path) -> None:
    made = back_up(_logged(tmp_path / "home"), at("08:00"), tmp_path / "stick.db")
    made.chmod(0o400)

    assert look_at(made).entries == 1
    assert sorted(path.name for path in tmp_path.iterdir()) == ["home", "stick.db"]
    db = sqlite3.connect(made)
    assert db.execute("PRAGMA journal_mode").fetchone() == ("delete",)
    db.close()


def test_two_copies_of_one_second_are_two_files(tmp_path: Path) -> None:
    _logged(tmp_path)

    assert back_up(tmp_path, at("08:00")) != back_up(tmp_path, at("08:00"))
    assert len(copies(tmp_path)) == 2


def test_a_copy_goes_into_a_folder_and_takes_the_place_of_an_older_copy_only(
    tmp_path: Path,
) -> None:
    home, folder = _logged(tmp_path / "home"), tmp_path / "stick"
    folder.mkdir()
    photo = tmp_path / "photo.jpg"
    photo.write_bytes(b"not to be lost")

    made = back_up(home, at("08:00"), folder)
    again = back_up(home, at("09:00"), made)

    assert made.parent == folder
    assert again == made
    with pytest.raises(LogbookError, match="choose another --out"):
        back_up(home, at("09:00"), photo)
    with pytest.raises(LogbookError, match="is the log itself"):
        back_up(home, at("09:00"), home / FILE)
    assert photo.read_bytes() == b"not to be lost"


def test_only_the_newest_copies_stay_and_nothing_else_is_removed(tmp_path: Path) -> None:
    _logged(tmp_path)
    back_up(tmp_path, at("00:00"), tmp_path / "backups" / "before the refit.db")
    made = [back_up_and_keep(tmp_path, at("08:00") + timedelta(hours=h), 3) for h in range(5)]

    assert copies(tmp_path) == tuple(reversed(made[2:]))
    assert (tmp_path / "backups" / "before the refit.db").exists()


def test_a_log_that_is_damaged_makes_no_copy_and_takes_none_away(tmp_path: Path) -> None:
    _logged(tmp_path)
    good = back_up(tmp_path, at("08:00"))
    _spoil(tmp_path / FILE)

    with pytest.raises(LogbookError):
        back_up_and_keep(tmp_path, at("09:00"), 1)

    assert copies(tmp_path) == (good,)
    assert [path.name for path in good.parent.iterdir()] == [good.name]


@pytest.mark.skipif(os.name != "posix" or os.geteuid() == 0, reason="needs a folder that refuses")
def test_a_place_that_cannot_be_written_is_explained(tmp_path: Path) -> None:
    folder = tmp_path / "stick"
    folder.mkdir(mode=0o500)

    with pytest.raises(LogbookError, match="the copy failed"):
        back_up(_logged(tmp_path / "home"), at("08:00"), folder / "x.db")


def test_the_end_of_a_trip_makes_a_copy_that_holds_the_trip(tmp_path: Path) -> None:
    with Desk(tmp_path, clock=lambda: at("12:01")) as desk:
        desk.say("lines in", crew="Ann", at=at("06:00"))
        desk.say("strike shotgun", crew="Ann", at=at("07:00"))
        assert copies(tmp_path) == ()
        desk.say("trip over", crew="Ann", at=at("12:00"))

    (made,) = copies(tmp_path)
    assert look_at(made).last_at == "2026-03-14T12:00:00Z"


def test_with_no_copies_wanted_none_are_made(tmp_path: Path) -> None:
    (tmp_path / "deckcall.toml").write_text("[keeping]\nbackups = 0\n", encoding="utf-8")
    with Desk(tmp_path) as desk:
        desk.say("lines in", at=at("06:00"))
        desk.say("trip over", at=at("12:00"))

    assert copies(tmp_path) == ()


def test_a_copy_that_fails_keeps_no_reply_back(
    tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    (tmp_path / "backups").write_text("a file where the folder should be", encoding="utf-8")
    with Desk(tmp_path) as desk:
        desk.say("lines in", at=at("06:00"))
        reply = desk.say("trip over", at=at("12:00"))

    assert "Trip ended" in reply.text
    assert "no copy of the log was made" in caplog.text


def test_a_copy_is_put_back_and_the_log_that_was_there_is_kept(tmp_path: Path) -> None:
    _logged(tmp_path)
    made = back_up(tmp_path, at("08:00"))
    _logged(tmp_path, entry("09:00", "raise", "shotgun"))

    held, kept = restore(tmp_path, made, at("10:00"))

    assert _acts(tmp_path) == ["strike"]
    assert held.entries == 1
    assert kept == tmp_path / "backups" / "replaced-20260314T100000Z.db"
    assert look_at(kept).entries == 2
    with Logbook.open(tmp_path) as log:
        assert len(log.records(TRIP)) == 1


def test_a_damaged_log_is_replaced_by_its_copy_and_kept_as_it_is(tmp_path: Path) -> None:
    _logged(tmp_path)
    made = back_up(tmp_path, at("08:00"))
    spoilt = _spoil(tmp_path / FILE, start=0)

    _, kept = restore(tmp_path, made, at("10:00"))

    assert _acts(tmp_path) == ["strike"]
    assert kept is not None
    assert kept.read_bytes() == spoilt


def test_the_write_ahead_log_of_the_old_log_never_gets_into_the_copy(tmp_path: Path) -> None:
    _logged(tmp_path / "home")
    made = back_up(tmp_path / "home", at("08:00"), tmp_path / "copy.db")
    wal = tmp_path / "home" / f"{FILE}-wal"
    (tmp_path / "home" / FILE).write_bytes(b"junk" * 100)
    wal.write_bytes(b"stale" * 1000)

    _, kept = restore(tmp_path / "home", made, at("10:00"))

    assert kept is not None
    assert kept.with_name(f"{kept.name}-wal").read_bytes() == b"stale" * 1000
    assert not wal.exists()
    assert _acts(tmp_path / "home") == ["strike"]


def test_opening_a_damaged_log_leaves_its_write_ahead_log_alone(tmp_path: Path) -> None:
    (tmp_path / FILE).write_bytes(b"junk" * 100)
    wal = tmp_path / f"{FILE}-wal"
    wal.write_bytes(b"kept" * 1000)

    with pytest.raises(LogbookError, match="is not a log of deckcall"):
        Logbook.open(tmp_path)

    assert wal.read_bytes() == b"kept" * 1000


def test_a_log_in_use_is_not_replaced(tmp_path: Path) -> None:
    _logged(tmp_path)
    made = back_up(tmp_path, at("08:00"))
    with Logbook.open(tmp_path) as log:
        keep(log, entry("09:00", "raise", "shotgun"))

        with pytest.raises(LogbookError, match="in use by another program"):
            restore(tmp_path, made, at("10:00"))
        keep(log, entry("09:01", "miss", "shotgun"))

    assert _acts(tmp_path) == ["strike", "raise", "miss"]
    assert not list((tmp_path / "backups").glob("replaced*"))


def test_a_copy_is_put_back_where_there_is_no_log(tmp_path: Path) -> None:
    made = back_up(_logged(tmp_path / "old"), at("08:00"))

    _, kept = restore(tmp_path / "new", made, at("10:00"))

    assert kept is None
    assert _acts(tmp_path / "new") == ["strike"]


def _newer(path: Path) -> None:
    db = sqlite3.connect(path)
    db.execute(
        "INSERT INTO _sqlite_migrations (migration_set, name, applied_at)"
        " VALUES ('deckcall', 'telepathy', '2030')"
    )
    db.commit()
    db.close()


def _other(path: Path) -> None:
    path.unlink()
    db = sqlite3.connect(path)
    db.execute("CREATE TABLE recipes (name TEXT)")
    db.commit()
    db.close()


@pytest.mark.parametrize(
    ("change", "why"),
    [
        (lambda path: _spoil(path), "is damaged"),
        (lambda path: path.write_bytes(path.read_bytes()[:20_000]), "is damaged"),
        (lambda path: path.write_bytes(b"a shopping list\n" * 40), "is no log of deckcall"),
        (lambda path: path.write_bytes(b""), "is no log of deckcall"),
        (lambda path: path.unlink(), "is not there"),
        (_other, "is no log of deckcall"),
        (_newer, "a newer deckcall made this log"),
    ],
    ids=["spoilt", "cut off", "no database", "empty", "missing", "other database", "newer"],
)
def test_what_is_no_whole_copy_is_refused_and_the_log_stays(
    tmp_path: Path, change: object, why: str
) -> None:
    home = _logged(tmp_path / "home")
    made = back_up(home, at("08:00"), tmp_path / "copy.db")
    before = (home / FILE).read_bytes()
    assert callable(change)
    change(made)

    with pytest.raises(LogbookError, match=why) as problem:
        restore(home, made, at("10:00"))

    assert "\n" not in str(problem.value)
    assert (home / FILE).read_bytes() == before
    assert [path.name for path in home.iterdir()] == [FILE]


@pytest.mark.parametrize("start", [0, 20, 4096], ids=["head gone", "head spoilt", "pages spoilt"])
def test_a_damaged_log_names_the_way_back_and_is_not_touched(tmp_path: Path, start: int) -> None:
    _logged(tmp_path)
    back_up(tmp_path, at("08:00"))
    newest = back_up(tmp_path, at("09:00"))
    spoilt = _spoil(tmp_path / FILE, start=start)

    with pytest.raises(LogbookError) as problem, Logbook.open(tmp_path) as log:
        log.records(TRIP)

    assert f"deckcall restore {newest}" in str(problem.value)
    assert "\n" not in str(problem.value)
    assert (tmp_path / FILE).read_bytes() == spoilt


@pytest.mark.parametrize("lost", ["empty", "gone"])
def test_a_log_that_was_lost_is_not_quietly_begun_anew(tmp_path: Path, lost: str) -> None:
    _logged(tmp_path)
    newest = back_up(tmp_path, at("08:00"))
    if lost == "gone":
        (tmp_path / FILE).unlink()
    else:
        (tmp_path / FILE).write_bytes(b"")

    with pytest.raises(LogbookError, match="is missing or empty") as problem:
        Logbook.open(tmp_path)

    assert f"deckcall restore {newest}" in str(problem.value)
    restore(tmp_path, newest, at("09:00"))
    assert _acts(tmp_path) == ["strike"]


def test_by_command_a_copy_is_made_checked_and_put_back(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    home, file = _logged(tmp_path / "home"), tmp_path / "copy.db"

    assert main(["backup", "--out", str(file), "--home", str(home)]) == 0
    assert "1 trip, 1 entry, checked" in capsys.readouterr().out
    _spoil(home / FILE, start=0)
    assert main(["trips", "--home", str(home)]) == 1
    assert main(["restore", str(file), "--home", str(home)]) == 0
    assert "the log that was there is now" in capsys.readouterr().out
    assert main(["trips", "--home", str(home)]) == 0


def test_a_disk_that_is_full_leaves_no_half_copy(tmp_path: Path) -> None:
    # the kernel refuses files of more than 30 kB to that process, as a full disk would
    home = _logged(tmp_path / "home")
    program = """
import resource, signal, sys
from pathlib import Path
from bot.logbook.keeping import back_up
from tests.builders import at
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
resource.setrlimit(resource.RLIMIT_FSIZE, (30_000, 30_000))
back_up(Path(sys.argv[1]), at("08:00"))
"""
    root = Path(__file__).parents[2]

    done = subprocess.run(
        [sys.executable, "-c", program, str(home)], cwd=root, check=False, capture_output=True,
        text=True, env=os.environ | {"PYTHONPATH": str(root)},
    )  # fmt: skip

    assert "LogbookError" in done.stderr
    assert "the copy failed" in done.stderr
    assert list((home / "backups").iterdir()) == []
    assert _acts(home) == ["strike"]


def test_a_restore_that_fails_at_the_last_step_leaves_the_log_in_its_place(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    _logged(tmp_path)
    made = back_up(tmp_path, at("08:00"))
    _logged(tmp_path, entry("09:00", "raise", "shotgun"))

    def refuses(self: Path, target: Path) -> Path:
        raise OSError(5, "Input/output error", str(self), None, str(target))

    with monkeypatch.context() as broken:
        broken.setattr(Path, "replace", refuses)
        with pytest.raises(LogbookError, match="the copy failed"):
            restore(tmp_path, made, at("10:00"))

    assert _acts(tmp_path) == ["strike", "raise"]
    assert look_at(made).entries == 1
    assert not list(tmp_path.glob("*.part"))
