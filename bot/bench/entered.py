"""How many files of the program one typed call enters, on a running trip with the box of the demo.

A file is entered where a function of it runs; what only loads beforehand does not count.
"""

import argparse
import shutil
import sys
import tempfile
from collections import Counter
from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from pathlib import Path
from types import FrameType
from typing import Any, Final

from bot.desk.desk import Desk
from bot.shipped import data_folder

BEGAN: Final = datetime(2026, 3, 1, 20, tzinfo=UTC)
SAID: Final = (
    "set short corner paper lantern", "set long corner wet slate", "set short rigger rain gutter",
    "set long rigger oil lamp", "set shotgun pocket watch", "lines in", "strike long rigger",
)  # fmt: skip
"""What was said before, ten minutes apart."""
PROGRAM: Final = Path(__file__).parents[1]


def main(argv: Sequence[str]) -> int:
    """Say a call, and print how many files it enters, by package."""
    parser = argparse.ArgumentParser(prog="python -m bot.bench entered", description=__doc__)
    parser.add_argument("call", nargs="?", default="strike long rigger, purple eight")
    parser.add_argument("--show", action="store_true", help="name the files")
    args = parser.parse_args(argv)
    with tempfile.TemporaryDirectory() as folder:
        files = files_of_call(Path(folder), args.call)
    packages = Counter(name.split("/")[0] for name in files)
    print(f"{len(files)} files:", ", ".join(f"{k} {n}" for k, n in packages.most_common()))
    if args.show:
        print(*sorted(files), sep="\n")
    return 0


def files_of_call(home: Path, call: str) -> frozenset[str]:
    """Return the files that a call enters, by their paths in the program."""
    demo = data_folder("fixtures") / "demo"
    shutil.copy(demo / "deckcall.toml", home)
    with Desk(home) as desk:
        desk.box_import(demo / "box.csv")
        at = BEGAN
        for said in SAID:
            desk.say(said, crew="Mate", at=at)
            at += timedelta(minutes=10)
        found: set[str] = set()

        def note(frame: FrameType, event: str, _: Any) -> None:
            if event == "call":
                found.add(frame.f_code.co_filename)

        sys.setprofile(note)
        try:
            desk.say(call, crew="Mate", at=at)
        finally:
            sys.setprofile(None)
    inside = (path for path in map(Path, found) if path.is_relative_to(PROGRAM))
    own = (path.relative_to(PROGRAM).as_posix() for path in inside)
    return frozenset(name for name in own if not name.startswith("bench/"))
