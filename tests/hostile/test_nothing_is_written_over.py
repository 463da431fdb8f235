"""Files that a command writes: never the log, a setting, a key, a recording; others only when asked."""

import os
from pathlib import Path

import pytest

from tests.hostile.rig import FILE, entries, fingerprint, fished, run

WRITERS = (
    ("export",),
    ("export", "--format", "jsonl"),
    ("report",),
    ("report", "--format", "pdf"),
    ("report", "--span", "all"),
    ("box", "export"),
    ("backup",),
)
KEPT = (FILE, f"{FILE}-wal", "deckcall.toml", "telegram.token", "serve.pem", "serve.db", "telegram.db",
        "recordings/a.ogg", "backups/old.db")  # fmt: skip


@pytest.fixture
def home(tmp_path: Path) -> Path:
    made = fished(tmp_path / "home")
    (made / "deckcall.toml").write_text('[boat]\nname = "Gull"\n', encoding="utf-8")
    for name in ("telegram.token", "serve.pem", "serve.db", "telegram.db"):
        (made / name).write_bytes(b"secret")
        (made / name).chmod(0o600)
    for name in ("recordings/a.ogg", "backups/old.db"):
        (made / name).parent.mkdir(exist_ok=True)
        (made / name).write_bytes(b"kept")
    return made


@pytest.mark.parametrize("command", WRITERS, ids=" ".join)
@pytest.mark.parametrize("name", KEPT)
def test_what_the_program_keeps_is_not_written_over_even_with_a_yes(
    home: Path, command: tuple[str, ...], name: str
) -> None:
    before = fingerprint(home)
    yes = () if command == ("backup",) else ("--yes",)

    done = run(home, *command, "--out", str(home / name), *yes)

    assert done.is_one_line, done
    assert "choose another" in done.err
    assert fingerprint(home) == before


@pytest.mark.parametrize("command", WRITERS, ids=" ".join)
@pytest.mark.parametrize("way", ["soft link", "hard link", "dotted", "capitals of the folder"])
def test_the_log_is_known_by_whatever_name_it_is_reached(
    home: Path, tmp_path: Path, command: tuple[str, ...], way: str
) -> None:
    out = tmp_path / "harmless.csv"
    if way == "soft link":
        out.symlink_to(home / FILE)
    elif way == "hard link":
        out.hardlink_to(home / FILE)
    elif way == "dotted":
        out = home / "recordings" / ".." / FILE
    else:
        (tmp_path / "Linked").symlink_to(home)
        out = tmp_path / "Linked" / FILE
    before = fingerprint(home)

    done = run(home, *command, "--out", str(out))

    assert done.is_one_line, done
    assert fingerprint(home) == before


@pytest.mark.parametrize("command", WRITERS, ids=" ".join)
def test_any_other_file_is_written_over_only_after_a_yes(
    home: Path, tmp_path: Path, command: tuple[str, ...]
) -> None:
    out = tmp_path / "thesis.txt"
    out.write_bytes(b"years of work")

    refused = run(home, *command, "--out", str(out))

    assert refused.is_one_line, refused
    assert out.read_bytes() == b"years of work"
    if command != ("backup",):
        assert run(home, *command, "--out", str(out), "--yes").code == 0
        assert out.read_bytes() != b"years of work"


def test_a_copy_replaces_earlier_copies_of_this_log_and_no_other_database(
    home: Path, tmp_path: Path
) -> None:
    other = fished(tmp_path / "other")
    (tmp_path / "their.db").write_bytes((other / FILE).read_bytes())
    before = (tmp_path / "their.db").read_bytes()

    first, again = (run(home, "backup", "--out", str(tmp_path / "own.db")) for _ in "ab")
    theirs = run(home, "backup", "--out", str(tmp_path / "their.db"))

    assert (first.code, again.code) == (0, 0)
    assert theirs.is_one_line
    assert (tmp_path / "their.db").read_bytes() == before


def test_the_log_of_another_boat_of_the_settings_is_not_written_over(
    home: Path, tmp_path: Path
) -> None:
    other = fished(tmp_path / "second")
    (home / "deckcall.toml").write_text(f'[telegram.boats]\n-5 = "{other}"\n', encoding="utf-8")
    before = fingerprint(other)

    done = run(home, "export", "--out", str(other / FILE), "--yes")

    assert done.is_one_line, done
    assert fingerprint(other) == before


@pytest.mark.parametrize(
    "command", [("tally",), ("plan",), ("spread",)], ids=lambda command: command[0]
)
def test_a_picture_is_not_put_over_another_file(
    home: Path, tmp_path: Path, command: tuple[str, ...]
) -> None:
    out = tmp_path / "wedding.png"
    out.write_bytes(b"the only one")

    done = run(home, *command, "--picture", str(out))

    assert done.is_one_line, done
    assert out.read_bytes() == b"the only one"


def test_the_demo_leaves_what_lies_in_its_folder(home: Path, tmp_path: Path) -> None:
    (tmp_path / "report.html").write_bytes(b"another report")

    done = run(home, "demo", "--typed", "--out", str(tmp_path))

    assert done.is_one_line, done
    assert (tmp_path / "report.html").read_bytes() == b"another report"


def test_a_disk_that_fills_up_leaves_the_file_that_was_there(home: Path, tmp_path: Path) -> None:
    out = tmp_path / "log.csv"
    out.write_bytes(b"the last good export")
    if os.geteuid() == 0:
        target = "/dev/full"
        done = run(home, "export", "--out", target)
        assert done.is_one_line, done
        assert "No space left" in done.err
    (tmp_path / "folder").mkdir()

    done = run(home, "export", "--out", str(tmp_path / "folder"))

    assert done.is_one_line, done
    assert out.read_bytes() == b"the last good export"
    assert entries(home)
