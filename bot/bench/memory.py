"""`python -m bot.bench memory`: what the Telegram bot holds in memory, process by process.

The program itself runs over real HTTP on loopback with its own home. Looked at after typed calls, and
again after recordings were heard, several at once so that every worker has its model loaded. Memory is
the proportional set size of Linux: pages that processes share are counted once over all of them.
"""

import argparse
import asyncio
import os
import sqlite3
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from contextlib import closing, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from bot.bench.crews_server import TOKEN, Server
from bot.errors import DeckcallError
from bot.shipped import data_folder

GOAL_MB: Final = 350
"""With the model of PocketSphinx loaded all processes together stay below this."""
CHAT: Final = -1001
TYPED: Final = ("trip start", "lines in", "set long rigger purple eight", "tally", "what next")
WAIT_S: Final = 300.0


@dataclass(frozen=True, slots=True)
class ProcessMemory:
    """What one process holds."""

    what: str
    pss_mb: float
    rss_mb: float


def main(argv: list[str]) -> int:
    """Measure and print; fails where it is over the goal."""
    parser = argparse.ArgumentParser(prog="python -m bot.bench memory", description=__doc__)
    parser.add_argument("--workers", type=int, default=1, help="[speech] workers")
    parser.add_argument("--model", type=Path, help="folder of a Vosk model instead of PocketSphinx")
    parser.add_argument("--rounds", type=int, default=3, help="how often each recording is sent")
    args = parser.parse_args(argv)
    if not Path("/proc/self/smaps_rollup").exists():
        raise DeckcallError("this bench reads /proc/PID/smaps_rollup: it needs Linux 4.14 or newer")
    before, after = asyncio.run(_measure(args))
    show("typed calls answered", before)
    total = show("recordings heard", after)
    print(f"goal: below {GOAL_MB} MB")
    return 0 if total < GOAL_MB else 1


def show(when: str, held: Sequence[ProcessMemory]) -> float:
    """Print what the processes hold, and return the sum in MB."""
    total = sum(one.pss_mb for one in held)
    print(f"{when}: {total:.0f} MB in {len(held)} processes")
    for one in held:
        print(f"  {one.what:<18} {one.pss_mb:6.0f} MB  (resident {one.rss_mb:.0f} MB)")
    return total


async def _measure(
    args: argparse.Namespace,
) -> tuple[tuple[ProcessMemory, ...], tuple[ProcessMemory, ...]]:
    server = Server()
    runner, base = await server.start()
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder)
        _settings(home, args)
        bot = await _start(home, base)
        try:
            for text in TYPED:
                server.call(CHAT, text)
            await _until_handled(home, len(TYPED))
            before = tuple(processes(bot.pid))
            sounds = sorted((data_folder("fixtures") / "recordings").glob("*_*.ogg"))
            for sound in sounds * args.rounds:
                server.speak(CHAT, sound.read_bytes(), 3)
            await _until_handled(home, len(TYPED) + len(sounds) * args.rounds)
            after = tuple(processes(bot.pid))
        finally:
            bot.terminate()
            await bot.wait()
            await runner.cleanup()
    return before, after


def processes(parent: int) -> Iterator[ProcessMemory]:
    """Yield the memory of a process and of all that it started."""
    families: dict[int, list[int]] = {}
    for status in Path("/proc").glob("[0-9]*/stat"):
        with suppress(OSError):
            fields = status.read_text().rsplit(")", 1)[1].split()
            families.setdefault(int(fields[1]), []).append(int(status.parent.name))
    wanted = [parent]
    for pid in wanted:
        wanted += families.get(pid, [])
        with suppress(OSError):
            yield _held(pid, pid == parent)


def _held(pid: int, is_parent: bool) -> ProcessMemory:
    lines = Path(f"/proc/{pid}/smaps_rollup").read_text(encoding="ascii").splitlines()[1:]
    sizes = {line.split(":")[0]: int(line.split()[1]) / 1000 for line in lines}
    return ProcessMemory("bot" if is_parent else _name(pid), sizes["Pss"], sizes["Rss"])


def _name(pid: int) -> str:
    """Tell the processes apart by what they have loaded."""
    mapped = Path(f"/proc/{pid}/maps").read_text(encoding="utf-8", errors="replace")
    if "libsndfile" in mapped:
        return "ear"
    return "desk" if "sqlite3" in mapped else "housekeeping"


def _settings(home: Path, args: argparse.Namespace) -> None:
    text = f"[speech]\nworkers = {args.workers}\nqueue = 1000\n"
    if args.model:
        text += f'model = "{args.model.resolve()}"\n'
    (home / "deckcall.toml").write_text(text, encoding="utf-8")


async def _start(home: Path, base: str) -> asyncio.subprocess.Process:
    environ = {k: v for k, v in os.environ.items() if not k.startswith("DECKCALL_")}
    environ |= {"DECKCALL_HOME": str(home), "DECKCALL_TELEGRAM_API": base,
                "DECKCALL_TELEGRAM_TOKEN": TOKEN, "DECKCALL_CREW": str(CHAT)}  # fmt: skip
    return await asyncio.create_subprocess_exec(
        sys.executable, "-m", "bot", "telegram", env=environ
    )


async def _until_handled(home: Path, count: int) -> None:
    end_s = time.monotonic() + WAIT_S
    while time.monotonic() < end_s:
        if _handled(home / "telegram.db") >= count:
            return
        await asyncio.sleep(0.3)
    raise DeckcallError(f"{count} calls were not handled within {WAIT_S:g} s")


def _handled(path: Path) -> int:
    if not path.exists():
        return 0
    with suppress(sqlite3.OperationalError), closing(sqlite3.connect(path, timeout=5)) as db:
        return int(db.execute("SELECT count(*) FROM inbox WHERE state = 'done'").fetchone()[0])
    return 0
