"""What a command costs before it says anything: `--help` of each, and questions on a log of many trips.

Each is a process of its own, as a person starts it. What counts is the processor's time, user and system,
the median of some runs, beside `python -c pass`; the first run of each writes the byte code and is not
counted.
"""

import argparse
import os
import statistics
import subprocess
import sys
import tempfile
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from bot.bench.scale import made_home

HELP: Final = (
    "", "chat", "telegram", "serve", "listen", "parse", "hear", "replay", "tally", "spread", "next",
    "plan", "box import", "trips", "report", "export", "setup", "doctor", "guide", "demo",
)  # fmt: skip
QUESTIONS: Final = (
    "tally", "tally --by colour --trip all", "spread", "next", "trips", "box list",
    "plan --json", "guide calls", "parse strike long rigger",
)  # fmt: skip
SAID: Final = ("what's out", "tally by colour", "what next", "when was the last bite")
"""Typed into `chat` through a pipe, one in each process."""


@dataclass(frozen=True, slots=True)
class Cost:
    """What one command line took."""

    line: str
    cpu_s: float
    """Median of the processor's time."""


def main(argv: Sequence[str]) -> int:
    """Measure, and print one row for each command line."""
    parser = argparse.ArgumentParser(prog="python -m bot.bench start", description=__doc__)
    parser.add_argument("--trips", type=int, default=100)
    parser.add_argument("--entries", type=int, default=200, help="in each trip")
    parser.add_argument("--runs", type=int, default=5)
    parser.add_argument("--cache", type=Path, help="folder of the log that is made")
    args = parser.parse_args(argv)
    home = made_home(args.cache, args.trips, args.entries)
    with tempfile.TemporaryDirectory() as byte_code:
        env = {**os.environ, "DECKCALL_HOME": str(home), "PYTHONPYCACHEPREFIX": byte_code}
        env.pop("PYTHONDONTWRITEBYTECODE", None)

        def cost(line: str, command: Sequence[str], said: str = "") -> Cost:
            runs = [_cpu_s(command, env, said) for _ in range(args.runs + 1)]
            return Cost(line, statistics.median(runs[1:]))

        program = (sys.executable, "-m", "bot")
        bare = cost("python -c pass", (sys.executable, "-c", "pass"))
        _show((bare,), bare)
        _show((cost(f"{x} --help".strip(), (*program, *x.split(), "--help")) for x in HELP), bare)
        _show((cost(x, (*program, *x.split())) for x in QUESTIONS), bare)
        _show((cost(f'chat: "{x}"', (*program, "chat"), f"{x}\n") for x in SAID), bare)
    return 0


def _cpu_s(command: Sequence[str], env: dict[str, str], said: str) -> float:
    """Return the seconds of the processor that a process took, its own children included."""
    before = os.times()
    done = subprocess.run(command, env=env, input=said.encode(), capture_output=True, check=False)
    after = os.times()
    if done.returncode:
        print(done.stderr.decode(errors="replace"), file=sys.stderr)
    return (
        after.children_user + after.children_system - before.children_user - before.children_system
    )


def _show(costs: Iterable[Cost], bare: Cost) -> None:
    for one in costs:
        print(f"{one.line:<32} {one.cpu_s:6.2f} s  {one.cpu_s / bare.cpu_s:5.0f} x", flush=True)
