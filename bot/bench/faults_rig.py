"""The rig of the fault bench: the program as a process, the server, and what came of the calls."""

import asyncio
import os
import re
import signal
import sqlite3
import sys
import time
from collections import Counter
from contextlib import closing
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

from bot.bench.crews_server import TOKEN, Server

GROUP: Final = -1001
FIRST: Final = 70_001
"""The first call's number: not to be taken for a time or a count of anything else."""
LONGEST_S: Final = 240.0
"""How long the calls of one fault may take to be in the log and answered."""


@dataclass(frozen=True, slots=True)
class FaultRow:
    """One row of the table."""

    sent: int
    acknowledged: int
    """Calls of which the crew saw an answer."""
    once: int
    lost: int
    doubled: int


@dataclass(slots=True)
class Rig:
    """One folder, one server, and the bot that is started and killed there."""

    home: Path
    server: Server = field(default_factory=Server)
    calls: int = 0
    _bot: asyncio.subprocess.Process | None = None

    async def start(self) -> None:
        """Start the bot."""
        environ = {k: v for k, v in os.environ.items() if not k.startswith("DECKCALL_")}
        environ |= {
            "DECKCALL_HOME": str(self.home), "DECKCALL_TELEGRAM_TOKEN": TOKEN,
            "DECKCALL_TELEGRAM_API": f"http://127.0.0.1:{self.server.port}",
            "DECKCALL_CREW": str(GROUP),
        }  # fmt: skip
        with (self.home / "stderr.txt").open("ab") as log:
            self._bot = await asyncio.create_subprocess_exec(
                sys.executable, "-m", "bot", "telegram", env=environ, stderr=log
            )

    async def kill(self) -> None:
        """End the bot as a power cut would end the process."""
        if self._bot is not None and self._bot.returncode is None:
            self._bot.kill()
            await self._bot.wait()

    async def stop(self) -> None:
        """End the bot as a system that goes down would, and wait until it has ended."""
        if self._bot is not None and self._bot.returncode is None:
            self._bot.send_signal(signal.SIGTERM)
            await self._bot.wait()

    def call(self, user: int = 501, **more: object) -> int:
        """Let one of the crew call the next of the numbered calls; return its number."""
        number = FIRST + self.calls
        self.calls += 1
        self.server.call(
            GROUP, words(number), user=user, name=f"Mate{user}", message_id=10 * self.calls, **more
        )
        return number

    async def until_answered(self) -> None:
        """Wait until every call is in the log and answered; gives up after a time."""
        end_s = time.monotonic() + LONGEST_S
        while time.monotonic() < end_s:
            if len(self.said()) >= self.calls and self.seen() >= self.calls:
                return
            await asyncio.sleep(0.3)

    def said(self) -> Counter[int]:
        """Return how often each call stands in the log."""
        path = self.home / "deckcall.db"
        if not path.exists():
            return Counter()
        with closing(sqlite3.connect(path, timeout=30)) as db:
            try:
                rows = db.execute(
                    "SELECT text FROM entries WHERE act = 'note' AND void = 0"
                ).fetchall()
            except sqlite3.OperationalError:  # no tables yet, or held by another
                return Counter()
        return Counter(number for (text,) in rows for number in _numbers_in(text))

    def seen(self) -> int:
        """Return how many of the calls the crew saw answered."""
        return len({number for text in self.server.texts for number in _numbers_in(text)})

    def counted(self) -> FaultRow:
        """Return the row of the table."""
        said = self.said()
        times = [said[number] for number in range(FIRST, FIRST + self.calls)]
        doubled = sum(found > 1 for found in times)
        return FaultRow(self.calls, self.seen(), times.count(1), times.count(0), doubled)


def words(number: int) -> str:
    """Return what is called: a note, whose answer repeats it, so that each call can be told."""
    return f"note: bucket {number}"


def _numbers_in(text: str) -> list[int]:
    return [int(found) for found in re.findall(r"bucket (\d{5})", text)]
