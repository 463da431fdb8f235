"""A Bot API server and the bot as a process of its own."""

import os
import signal
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import IO, Any

import pytest

from tests.transports.bot_api import TOKEN, BotApi, serving

GROUP, SKIPPER = -1001, 77
CREW = f"{GROUP},{SKIPPER}"


@pytest.fixture
def api() -> BotApi:
    return BotApi()


@pytest.fixture
def base(api: BotApi) -> Iterator[str]:
    with serving(api) as address:
        yield address


class BotProcess:
    """The bot under test: started, killed and started again in one folder."""

    def __init__(self, base: str, folder: Path, log: Path | None = None) -> None:
        self.base, self.folder = base, folder
        self._process: subprocess.Popen[bytes] | None = None
        self._said = (log or folder) / "stderr.txt"
        self._log: IO[bytes] = self._said.open("ab")

    def start_real(self, crew: str = CREW) -> None:
        """Start the program itself, with its Desk, in this folder."""
        self._start_in_home(["-m", "bot", "telegram"], crew)

    def start_quick(self) -> None:
        """Start the program with its Desk and short waits."""
        self._start_in_home(["-m", "tests.transports.quick_bot"], CREW)

    def start_hanging(self, workers: int, queue: int, give_up_s: float) -> None:
        """Start it with an ear that does what the recordings say."""
        said = [str(workers), str(queue), str(give_up_s)]
        self._start_in_home(["-m", "tests.transports.hanging_bot", *said], CREW)

    def _start_in_home(self, command: list[str], crew: str) -> None:
        environ = {k: v for k, v in os.environ.items() if not k.startswith("DECKCALL_")}
        environ |= {
            "DECKCALL_HOME": str(self.folder),
            "DECKCALL_TELEGRAM_API": self.base,
            "DECKCALL_TELEGRAM_TOKEN": TOKEN,
            "DECKCALL_CREW": crew,
        }
        self._process = subprocess.Popen(
            [sys.executable, *command],
            stderr=self._log,
            cwd=Path(__file__).parents[2],
            env=environ,
        )

    def entries(self, columns: str = "act") -> list[Any]:
        """Return the entries of the real log that stand, in order."""
        query = f"SELECT {columns} FROM entries WHERE void = 0 ORDER BY id"
        return _rows(self.folder / "deckcall.db", query)

    def start(self, crew: str = CREW, slow_s: float = 0.0, board: bool = False) -> None:
        script = str(Path(__file__).with_name("scripted_bot.py"))
        command = [sys.executable, script, self.base, str(self.folder), crew, str(slow_s)]
        command += ["board"] if board else []
        root = Path(__file__).parents[2]
        self._process = subprocess.Popen(
            command, stderr=self._log, cwd=root, env=os.environ | {"PYTHONPATH": str(root)}
        )

    def kill(self) -> None:
        assert self._process is not None
        self._process.kill()
        self._process.wait()

    def stop(self, seconds: float = 20.0) -> int:
        assert self._process is not None
        self._process.send_signal(signal.SIGTERM)
        return self._process.wait(seconds)

    def wait(self, seconds: float = 20.0) -> int:
        assert self._process is not None
        return self._process.wait(seconds)

    @property
    def alive(self) -> bool:
        return self._process is not None and self._process.poll() is None

    @property
    def stderr(self) -> str:
        return self._said.read_text(encoding="utf-8")

    def calls(self) -> list[tuple[str, str, str, str]]:
        """Return ref, crew, time and words of what was logged."""
        return _rows(self.folder / "calls.db", "SELECT ref, crew, at, said FROM calls ORDER BY n")

    def store(self, query: str) -> list[Any]:
        return _rows(self.folder / "telegram.db", query)

    def close(self) -> None:
        if self.alive:
            self.kill()
        self._log.close()


def _rows(path: Path, query: str) -> list[Any]:
    if not path.exists():
        return []
    db = sqlite3.connect(path)
    try:
        return db.execute(query).fetchall()
    except sqlite3.OperationalError:  # the bot has not made its tables yet
        return []
    finally:
        db.close()


@pytest.fixture
def bot(base: str, tmp_path: Path) -> Iterator[BotProcess]:
    process = BotProcess(base, tmp_path)
    yield process
    process.close()
