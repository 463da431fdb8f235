"""A log of many trips: opening, tallies over all, replies, memory; and that earlier trips cost nothing.

Logs of 10, 100 and 1000 trips with a thousand entries each are made once, in the user's cache folder. Every
one is copied and measured in a process of its own, through the very calls that the crew and the commands
use. Times are of the wall; the processor's own stand beside, for a machine that is busy with other things.
"""

import argparse
import json
import resource
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import timedelta
from itertools import cycle, islice
from pathlib import Path
from typing import Any, Final

from bot.bench.scale_log import VERSION, last_day, make, summarise

SIZES: Final = (10, 100, 1000)
ENTRIES: Final = 1000
REPLIES: Final = 1200
FIRST: Final = (
    "trip start", "lines in", "set short corner black 3", "set long corner purple 2",
    "set short rigger blue 1", "set long rigger green 4", "set shotgun pink 1", "speed 8 knots",
)  # fmt: skip
DAY: Final = (
    "strike long rigger", "missed him", "birds", "speed seven and a half", "water 21 degrees",
    "strike short corner", "hooked up", "released a striped marlin", "note: rip to the east",
    "tally", "raise shotgun", "bait", "what next", "swap long rigger black 4", "speed eight knots",
    "strike shotgun", "hooked up", "pulled the hook", "which colour has the most bites", "weed",
    "swap long rigger purple 3", "whats out", "strike long corner", "undo", "working birds",
)  # fmt: skip
SEASON: Final = ("tally by colour this season", "tally by size and position all trips",
                 "strikes by hour all trips")  # fmt: skip
"""Asked one after the other, each time the first in a process, and again."""


def main(argv: list[str]) -> int:
    """Make the logs that are missing, measure each, print the tables."""
    parser = argparse.ArgumentParser(prog="python -m bot.bench scale", description=__doc__)
    parser.add_argument("--trips", type=int, nargs="+", default=list(SIZES))
    parser.add_argument("--entries", type=int, default=ENTRIES, help="in each trip")
    parser.add_argument("--cache", type=Path, help="folder of the logs that are made")
    parser.add_argument("--measure", type=Path, metavar="HOME", help=argparse.SUPPRESS)
    args = parser.parse_args(argv)
    if args.measure:
        print(json.dumps(_measured(args.measure, args.trips[0])))
        return 0
    found = {}
    for trips in args.trips:
        home = made_home(args.cache, trips, args.entries)
        found[trips] = _in_process(home, trips)
        print(f"{trips} trips measured", file=sys.stderr)
    _show(found)
    return 0


def made_home(cache: Path | None, trips: int, entries: int) -> Path:
    """Return the folder of a log, made where it is not there yet."""
    from platformdirs import user_cache_path

    root = cache or user_cache_path("deckcall") / "bench"
    home = root / f"scale-{VERSION}-{trips}x{entries}"
    times = _Times()
    if not (home / "made").exists():
        shutil.rmtree(home, ignore_errors=True)
        times.run(lambda: make(home, trips, entries))
        print(f"{trips} trips, {trips * entries:,} entries made: {times.last}", file=sys.stderr)
        (home / "made").touch()
    times.run(lambda: summarise(home, trips))
    print(f"figures of {trips} trips brought up to date: {times.last}", file=sys.stderr)
    return home


def _in_process(home: Path, trips: int) -> dict[str, Any]:
    """Measure a copy of a log in a process of its own."""
    with tempfile.TemporaryDirectory(dir=home.parent) as folder:
        copy = Path(folder) / "home"
        shutil.copytree(home, copy)
        command = [sys.executable, "-m", "bot.bench", "scale", "--trips", str(trips)]
        done = subprocess.run(
            [*command, "--measure", str(copy)], check=True, stdout=subprocess.PIPE, text=True
        )
    found: dict[str, Any] = json.loads(done.stdout)
    return found


# In the process that is measured


@dataclass(slots=True)
class _Times:
    """What some calls took, in milliseconds: by the clock, and of the processor."""

    wall: list[float] = field(default_factory=list)
    busy: list[float] = field(default_factory=list)

    def run(self, job: Callable[[], object]) -> None:
        wall, busy = time.perf_counter(), time.process_time()
        job()
        self.busy.append((time.process_time() - busy) * 1000)
        self.wall.append((time.perf_counter() - wall) * 1000)

    @property
    def last(self) -> str:
        """Return what the last one took, in seconds."""
        return f"{self.wall[-1] / 1000:.1f} s ({self.busy[-1] / 1000:.1f} s of the processor)"

    def at(self, share: float) -> tuple[float, float]:
        """Return the times below which this share lies."""
        place = min(len(self.wall) - 1, int(share * len(self.wall)))
        return sorted(self.wall)[place], sorted(self.busy)[place]


def _measured(home: Path, trips: int) -> dict[str, Any]:
    started, opened, first = _Times(), _Times(), _Times()
    started.run(_import)
    from bot import Desk

    desks: list[Desk] = []
    opened.run(lambda: desks.append(Desk(home)))
    desk = desks[0]
    now = last_day(trips) + timedelta(days=2)
    calls = list(_calls())
    first.run(lambda: desk.say(calls[0], crew="Ann", at=now))
    replies, by_call = _Times(), dict[str, list[float]]()
    for place, text in enumerate(calls[1:], 1):
        at = now + timedelta(seconds=30 * place)
        replies.run(lambda text=text, at=at: desk.say(text, crew="Ann", at=at))  # type: ignore[misc]
        by_call.setdefault(text, []).append(replies.busy[-1])
    at = now + timedelta(seconds=30 * len(calls))
    season, again = _Times(), _Times()
    for text in SEASON:
        season.run(lambda text=text: desk.say(text, crew="Ann", at=at))  # type: ignore[misc]
        again.run(lambda text=text: desk.say(text, crew="Ann", at=at))  # type: ignore[misc]
    late = [(sum(times) / len(times), text) for text, times in by_call.items()]
    return {
        "trips": trips,
        "size_mb": (home / "deckcall.db").stat().st_size / 1e6,
        "import": started.at(0.5), "open": opened.at(0.5),
        "first": first.at(0.5), "p50": replies.at(0.5), "p99": replies.at(0.99),
        "worst": replies.at(1.0), "season": season.at(1.0), "again": again.at(1.0),
        "command": _command(home),
        "slowest": sorted(late, reverse=True)[:6],
        "memory_mb": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024,
    }  # fmt: skip


def _import() -> None:
    import bot.desk  # noqa: F401


def _calls() -> Iterator[str]:
    yield from FIRST
    yield from islice(cycle(DAY), REPLIES)


def _command(home: Path) -> tuple[float, float]:
    """Return how long the whole command takes, the start of Python with it."""
    times = _Times()
    command = [sys.executable, "-m", "bot", "tally", "--trip", "all", "--by", "colour", "--json"]
    busy = resource.getrusage(resource.RUSAGE_CHILDREN)
    times.run(
        lambda: subprocess.run(
            [*command, "--home", str(home)], check=True, stdout=subprocess.DEVNULL
        )
    )
    done = resource.getrusage(resource.RUSAGE_CHILDREN)
    spent_s = done.ru_utime + done.ru_stime - busy.ru_utime - busy.ru_stime
    return times.wall[0], spent_s * 1000


# The tables


def _show(found: dict[int, dict[str, Any]]) -> None:
    rows = (
        ("open the log", "open"), ("first reply of a process", "first"), ("reply, median", "p50"),
        ("reply, 99th percentile", "p99"), ("reply, slowest", "worst"),
        ("tally over all trips, first", "season"), ("tally over all trips, again", "again"),
        ("`deckcall tally --trip all`", "command"),
    )  # fmt: skip
    print("| milliseconds (of the processor) | " + " | ".join(f"{n} trips" for n in found) + " |")
    print("| --- |" + " --: |" * len(found))
    for words, key in rows:
        cells = [f"{one[key][0]:.1f} ({one[key][1]:.1f})" for one in found.values()]
        print(f"| {words} | " + " | ".join(cells) + " |")
    for words, key in (("memory, MB", "memory_mb"), ("log, MB", "size_mb")):
        print(f"| {words} | " + " | ".join(f"{one[key]:.0f}" for one in found.values()) + " |")
    last = found[max(found)]
    print("\nslowest calls on average:", "; ".join(f"{t} {ms:.1f} ms" for ms, t in last["slowest"]))
    least = found[min(found)]
    for words, key in (("median", "p50"), ("99th percentile", "p99")):
        ratio = last[key][1] / least[key][1]
        print(f"reply, {words}: {max(found)} trips cost {ratio:.2f} times what {min(found)} do")
