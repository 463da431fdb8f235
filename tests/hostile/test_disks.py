"""Disks that are full, read-only or damaged: one true line, nothing written where nothing should be."""

import contextlib
import shutil
import subprocess
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from bot.desk import Desk
from bot.errors import LogbookError
from tests.builders import at
from tests.hostile.rig import FILE, entries, fished, run

READING = (
    ("trips",), ("tally", "--trip", "all"), ("spread",), ("next",), ("plan",), ("report",), ("export",),
    ("box", "list"), ("recording",), ("parse", "strike"), ("export", "--format", "jsonl"),
)  # fmt: skip
WRITING = (("telegram",), ("serve", "--port", "1"), ("backup",), ("box", "import", "BOX"))

Mount = Callable[[str], Path]


@pytest.fixture
def disk(tmp_path: Path) -> Iterator[Mount]:
    """Mount a small disk with these options; where that may not be done, the test is skipped."""
    place = tmp_path / "disk"
    place.mkdir()

    def mount(options: str) -> Path:
        command = ["mount", "-t", "tmpfs", "-o", options, "tmpfs", str(place)]
        if shutil.which("mount") is None or subprocess.run(command, check=False).returncode:
            pytest.skip("no disk may be mounted here")
        return place

    yield mount
    subprocess.run(["umount", "-l", str(place)], check=False, capture_output=True)


def fill(disk: Path) -> None:
    with (disk / "filler").open("wb", buffering=0) as file, contextlib.suppress(OSError):
        while file.write(bytes(1024)):
            pass


@pytest.fixture
def token(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("DECKCALL_TELEGRAM_TOKEN", "1:x")
    monkeypatch.setenv("DECKCALL_TELEGRAM_API", "http://127.0.0.1:9")


@pytest.mark.parametrize("command", READING, ids=" ".join)
@pytest.mark.parametrize("way", ["full", "read-only", "read-only, not ended well"])
def test_a_log_that_cannot_be_written_is_read(
    disk: Mount, tmp_path: Path, way: str, command: tuple[str, ...]
) -> None:
    source = fished(tmp_path / "source")
    place = disk("size=2m")
    home = place / "home"
    if way == "read-only, not ended well":
        with Desk(source) as desk:
            desk.say("strike long rigger", at=at("09:00"))
            shutil.copytree(source, home)
        assert (home / f"{FILE}-wal").stat().st_size
        (home / f"{FILE}-shm").unlink(missing_ok=True)
    else:
        shutil.copytree(source, home)
    if way == "full":
        fill(place)
    else:
        subprocess.run(["mount", "-o", "remount,ro", str(place)], check=True)

    done = run(home, *command)

    assert done.code == 0, done
    assert "Traceback" not in done.err
    if command[0] == "export":
        assert ("long rigger" in done.out) is (way == "read-only, not ended well")


@pytest.mark.parametrize("way", ["full", "read-only"])
def test_what_cannot_be_logged_is_said_and_questions_are_answered(
    disk: Mount, tmp_path: Path, way: str
) -> None:
    place = disk("size=2m")
    home = place / "home"
    assert run(tmp_path / "source", "chat", said="lines in\nstrike short corner\n").code == 0
    shutil.copytree(tmp_path / "source", home)
    before = entries(home)
    if way == "full":
        fill(place)
    else:
        subprocess.run(["mount", "-o", "remount,ro", str(place)], check=True)

    done = run(home, "chat", said="strike long rigger\ntally\n")

    assert "disk is full" in done.out if way == "full" else "can only be read" in done.out
    assert "1 strike" in done.out, done.out
    assert entries(home) == before


def test_calls_are_logged_again_once_there_is_room(disk: Mount, tmp_path: Path) -> None:
    place = disk("size=2m")
    home = place / "home"
    shutil.copytree(fished(tmp_path / "source"), home)
    fill(place)
    with Desk(home) as desk:
        with pytest.raises(LogbookError, match="disk is full"):
            desk.say("strike long rigger", at=at("09:00"))
        (place / "filler").unlink()

        assert desk.say("strike long rigger", at=at("09:00")).logged


@pytest.mark.usefixtures("token")
@pytest.mark.parametrize("command", WRITING, ids=" ".join)
@pytest.mark.parametrize("way", ["full", "full and new", "read-only"])
def test_what_must_write_says_why_it_cannot(
    disk: Mount, tmp_path: Path, way: str, command: tuple[str, ...]
) -> None:
    place = disk("size=2m")
    home = place / "home"
    (tmp_path / "box.csv").write_text("name,size_in,colours\nOld Boot,8,purple\n", encoding="utf-8")
    if way != "full and new":
        shutil.copytree(fished(tmp_path / "source"), home)
    if way == "read-only":
        subprocess.run(["mount", "-o", "remount,ro", str(place)], check=True)
    else:
        fill(place)

    done = run(home, *(str(tmp_path / "box.csv") if part == "BOX" else part for part in command))

    assert done.code == 1, done
    last = done.err.splitlines()[-1]
    assert "fault of the program" not in last
    assert "running here already" not in last
    assert "cannot listen" not in last
    assert any(
        part in last for part in ("full", "room", "ead-only", "only be read", "is not there")
    )


# damage


PAGE = 4096


def pages(home: Path) -> int:
    return (home / FILE).stat().st_size // PAGE


@pytest.mark.parametrize(
    "fill_with", [b"\0", b"\xff", b"\x0d"], ids=["noughts", "ones", "nonsense"]
)
def test_nothing_is_added_to_a_log_with_a_damaged_page(tmp_path: Path, fill_with: bytes) -> None:
    source = fished(tmp_path / "source")
    found = {"refused": 0, "whole": 0}
    for number in range(1, pages(source)):
        home = tmp_path / f"home{number}"
        shutil.copytree(source, home)
        with (home / FILE).open("r+b") as file:
            file.seek(number * PAGE)
            file.write(fill_with * PAGE)
        spoilt = (home / FILE).read_bytes()

        done = run(home, "chat", said="strike long rigger\n")

        assert done.is_one_line, (number, done)
        assert "is damaged" in done.err
        assert (home / FILE).read_bytes() == spoilt
        found["refused"] += 1
    assert found["refused"] > 10


def test_an_import_adds_nothing_to_a_damaged_log(tmp_path: Path) -> None:
    home = fished(tmp_path / "home")
    out = tmp_path / "x.jsonl"
    assert run(home, "export", "--out", str(out)).code == 0
    with (home / FILE).open("r+b") as file:
        file.seek(3 * PAGE)
        file.write(b"\xff" * PAGE)
    spoilt = (home / FILE).read_bytes()

    for command in (("import", str(out)), ("backup",)):
        done = run(home, *command)
        assert done.is_one_line, done
        assert "is damaged" in done.err
    assert (home / FILE).read_bytes() == spoilt
