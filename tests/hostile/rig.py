"""A boat that is attacked: its home, its commands in this process, and what must still hold afterwards."""

import hashlib
import io
import sqlite3
import sys
from collections.abc import Iterator
from contextlib import contextmanager, redirect_stderr, redirect_stdout
from dataclasses import dataclass
from pathlib import Path

from bot.cli import main
from bot.desk import Desk
from tests.builders import at

FILE = "deckcall.db"
CALLS = (
    "lines in",
    "short corner purple 8 inch",
    "strike short corner",
    "hooked up",
    "boated mahi-mahi",
)


@dataclass(frozen=True, slots=True)
class Done:
    """What a command did."""

    code: int
    out: str
    err: str

    @property
    def is_one_line(self) -> bool:
        """Return whether it failed in one line and without a word of the program's insides."""
        return (
            self.code == 1
            and self.err.count("\n") == 1
            and "Traceback" not in self.err
            and "fault of the program" not in self.err
        )


class _Stream(io.TextIOWrapper):
    def __init__(self) -> None:
        super().__init__(io.BytesIO(), encoding="utf-8", errors="replace", write_through=True)

    def text(self) -> str:
        self.flush()
        return self.buffer.getvalue().decode("utf-8", "replace")  # type: ignore[attr-defined,no-any-return]


def run(home: Path, *args: str, said: str = "") -> Done:
    """Run a command of the program in this process."""
    out, err = _Stream(), _Stream()
    with redirect_stdout(out), redirect_stderr(err), _typed(said):
        try:
            code = main([*args, "--home", str(home)])
        except SystemExit as left:
            code = int(left.code or 0)
    return Done(code, out.text(), err.text())


@contextmanager
def _typed(said: str) -> Iterator[None]:
    held = sys.stdin
    sys.stdin = io.TextIOWrapper(io.BytesIO(said.encode("utf-8", "surrogateescape")), "utf-8")
    try:
        yield
    finally:
        sys.stdin = held


def fished(home: Path) -> Path:
    """Log a few calls in a home; gives it."""
    with Desk(home) as desk:
        for minute, call in enumerate(CALLS):
            desk.say(call, crew="Mate", at=at(f"07:{minute:02d}"))
    return home


def entries(home: Path) -> list[tuple[object, ...]]:
    """Return what stands in the log, by SQLite alone."""
    db = sqlite3.connect(f"{(home / FILE).resolve().as_uri()}?mode=ro", uri=True)
    try:
        return db.execute(
            "SELECT id, trip, at, act, crew, text, void FROM entries ORDER BY id"
        ).fetchall()
    finally:
        db.close()


def fingerprint(folder: Path) -> dict[str, str]:
    """Return every file below a folder with a digest of what is in it."""
    return {
        str(path.relative_to(folder)): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and not path.name.endswith(("-shm", "-wal"))
    }
