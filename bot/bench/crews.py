"""Many groups at once: how many one machine answers in time, each with a log of its own.

The program itself runs as a process over real HTTP on loopback, with a home for each group. Measured
is the time from a call to its answer in the outbox, on the disk: from there Telegram's own limit (about
20 messages a minute in a group) decides, which makes several answers share a message.
"""

import argparse
import asyncio
import os
import resource
import sqlite3
import sys
import tempfile
import time
from collections.abc import Sequence
from contextlib import closing, suppress
from dataclasses import dataclass
from datetime import datetime
from itertools import cycle
from pathlib import Path
from typing import Final

import numpy as np

from bot.bench.crews_server import TOKEN, Server

GOAL_S: Final = 1.0
"""At the 95th percentile an answer is there within this."""
STEPS: Final = (1, 2, 5, 10, 20, 40, 80, 120, 200)
CALLS: Final = (
    "strike long rigger", "hooked up", "speed seven and a half", "released a striped marlin",
    "birds", "tally", "water twenty one degrees", "raise short corner",
    "note: current line to the east", "strike short corner", "missed him",
)  # fmt: skip
PICTURES: Final = "what's out"
"""A question that is answered with a drawing, which takes as long as some twenty calls."""
FIRST: Final = (
    "trip start", "lines in", "set long rigger purple eight, set short corner black 12",
    "strike long rigger", "missed him", "what next", "tally", "speed seven", "tally",
)  # fmt: skip
"""Called once in every group before the measurement: opens the logs and loads what loads late."""
DRAIN_S: Final = 120.0


@dataclass(frozen=True, slots=True)
class LoadResult:
    """What came of one load."""

    groups: int
    calls: int
    answered: int
    kept: int
    """Messages in the logs, each counted once."""
    per_s: float
    p50_s: float
    p95_s: float
    worst_s: float
    memory_mb: float
    cpu_ms: tuple[float, ...]
    """Computing time a call: of the bot's own process, of its workers, of this bench with its server."""


def main(argv: list[str]) -> int:
    """Raise the number of groups until answers are late, or measure one number of them."""
    parser = argparse.ArgumentParser(prog="python -m bot.bench crews", description=__doc__)
    parser.add_argument("--groups", type=int, help="one number of groups instead of a rising one")
    parser.add_argument("--seconds", type=float, default=30.0, help="length of each load")
    parser.add_argument("--rate", type=float, default=1.0, help="calls a second in each group")
    parser.add_argument("--workers", type=int, default=os.cpu_count() or 1)
    parser.add_argument("--no-board", action="store_true", help="without the pinned boards")
    parser.add_argument(
        "--pictures", action="store_true", help="one call in ten asks for a drawing"
    )
    args = parser.parse_args(argv)
    print(f"{os.cpu_count()} cores, {args.workers} workers, {args.rate:g} calls/s in each group,"
          f" {args.seconds:g} s each\n")  # fmt: skip
    print(
        "ms of computing a call: the bot's own process + its workers + this bench with its server\n"
    )
    print(
        "groups  calls  answered  kept  calls/s    p50      p95    worst  memory  ms a call     load"
    )
    for groups in (args.groups,) if args.groups else STEPS:
        found = asyncio.run(_measure(groups, args))
        print(
            f"{groups:6d} {found.calls:6d} {found.answered:9d} {found.kept:7d}"
            f" {found.per_s:8.1f} {found.p50_s:6.2f} s {found.p95_s:6.2f} s {found.worst_s:6.2f} s"
            f" {found.memory_mb:5.0f} MB  {' + '.join(f'{ms:.1f}' for ms in found.cpu_ms)}"
            f"  {os.getloadavg()[0]:4.1f}",
            flush=True,
        )
        if found.p95_s > GOAL_S:
            break
    return 0


async def _measure(groups: int, args: argparse.Namespace) -> LoadResult:
    server = Server()
    runner, base = await server.start()
    chats = [-1_000_000 - number for number in range(groups)]
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder)
        _settings(home, chats, args.workers, not args.no_board)
        bot = await _start(home, base)
        try:
            for text in (*FIRST, PICTURES) if args.pictures else FIRST:
                for chat in chats:
                    server.call(chat, text)
            warm = len(server.called_s)
            await _until_answered(home, warm, 600.0)
            said = (*CALLS, PICTURES) if args.pictures else CALLS
            before_s = _cpu_s(bot.pid)
            calls = await _load(server, chats, said, args.rate, args.seconds)
            await _until_answered(home, warm + calls, DRAIN_S)
            spent_s = tuple(b - a for a, b in zip(before_s, _cpu_s(bot.pid), strict=True))
            memory_mb = _memory_mb(bot.pid)
        finally:
            bot.terminate()
            await bot.wait()
            await runner.cleanup()
        waits = {c: s for c, s in _waits(home, server).items() if c[1] > warm}
        kept = sum(_kept(home / f"boat{number}") for number in range(groups)) - warm
    begun_s = min((s for c, s in server.called_s.items() if c[1] > warm), default=0.0)
    ended_s = max((server.called_s[c] + s for c, s in waits.items()), default=0.0)
    waits_s, seconds = list(waits.values()), max(ended_s - begun_s, 0.001)
    p50_s, p95_s = np.percentile(waits_s, (50, 95)) if waits_s else (np.inf, np.inf)
    return LoadResult(
        groups, calls, len(waits_s), kept, len(waits_s) / seconds, float(p50_s), float(p95_s),
        max([*waits_s, 0.0]), memory_mb, tuple(1000 * s / max(calls, 1) for s in spent_s),
    )  # fmt: skip


async def _load(
    server: Server, chats: Sequence[int], said: Sequence[str], rate: float, seconds: float
) -> int:
    """Call in every group at its own moment of the second; return how many calls were made."""
    texts = [cycle(_turned(said, number)) for number in range(len(chats))]
    start_s, made = time.monotonic(), 0
    while (at_s := made / (rate * len(chats))) < seconds:
        await asyncio.sleep(max(0.0, start_s + at_s - time.monotonic()))
        group = made % len(chats)
        server.call(chats[group], next(texts[group]))
        made += 1
    return made


def _turned(said: Sequence[str], by: int) -> tuple[str, ...]:
    """Return the calls in a ring, begun at another one, so that groups do not all say the same at once."""
    start = by % len(said)
    return (*said[start:], *said[:start])


async def _start(home: Path, base: str) -> asyncio.subprocess.Process:
    environ = {k: v for k, v in os.environ.items() if not k.startswith("DECKCALL_")}
    environ |= {"DECKCALL_HOME": str(home), "DECKCALL_TELEGRAM_API": base,
                "DECKCALL_TELEGRAM_TOKEN": TOKEN}  # fmt: skip
    with (home / "stderr.txt").open("wb") as log:
        return await asyncio.create_subprocess_exec(
            sys.executable, "-m", "bot", "telegram", env=environ, stderr=log
        )


def _settings(home: Path, chats: Sequence[int], workers: int, board: bool) -> None:
    lines = ["[telegram]", f"workers = {workers}", f"board = {str(board).lower()}"]
    lines += ["[telegram.boats]", *(f'{chat} = "boat{n}"' for n, chat in enumerate(chats))]
    (home / "deckcall.toml").write_text("\n".join(lines) + "\n", encoding="utf-8")


async def _until_answered(home: Path, count: int, seconds: float) -> None:
    """Wait until so many calls are handled; gives up after a time, and the table shows it."""
    end_s = time.monotonic() + seconds
    while time.monotonic() < end_s:
        with suppress(sqlite3.OperationalError):
            found = _rows(home / "telegram.db", "SELECT count(*) FROM inbox WHERE state = 'done'")
            if found and found[0][0] >= count:
                return
        await asyncio.sleep(0.5)


def _waits(home: Path, server: Server) -> dict[tuple[int, int], float]:
    """Return for every call that was answered the seconds until its answer was on the disk."""
    query = "SELECT chat, reply_to, min(made) FROM outbox GROUP BY chat, reply_to"
    return {
        (chat, message): datetime.fromisoformat(made).timestamp() - server.called_s[chat, message]
        for chat, message, made in _rows(home / "telegram.db", query)
        if (chat, message) in server.called_s
    }


def _kept(home: Path) -> int:
    """Return how many messages a log holds, each once."""
    if not (home / "deckcall.db").exists():
        return 0
    found = _rows(home / "deckcall.db", "SELECT count(DISTINCT ref) FROM messages")
    return int(found[0][0])


def _rows(path: Path, query: str) -> list[tuple[int, int, str]]:
    if not path.exists():
        return []
    with closing(sqlite3.connect(path, timeout=30)) as db:
        return db.execute(query).fetchall()


def _memory_mb(pid: int) -> float:
    """Return what the bot and its workers hold in memory; 0 where the system does not say."""
    pages = 0
    for one in (pid, *_children(pid)):
        with suppress(OSError):
            pages += int(Path(f"/proc/{one}/statm").read_text().split()[1])
    return pages * resource.getpagesize() / 1e6


def _cpu_s(pid: int) -> tuple[float, float, float]:
    """Return the seconds computed by the bot's process, its workers and this one; 0 where not said."""
    return _own_cpu_s(pid), sum(_own_cpu_s(one) for one in _children(pid)), time.process_time()


def _own_cpu_s(pid: int) -> float:
    with suppress(OSError):
        fields = Path(f"/proc/{pid}/stat").read_text().rsplit(")", 1)[1].split()
        return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")
    return 0.0


def _children(pid: int) -> list[int]:
    found = []
    for status in Path("/proc").glob("[0-9]*/stat"):
        with suppress(OSError):
            if int(status.read_text().rsplit(")", 1)[1].split()[1]) == pid:
                found.append(int(status.parent.name))
    return found
