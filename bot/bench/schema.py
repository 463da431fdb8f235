"""`python -m bot.bench schema`: writes a log of the tables of now to fixtures/schemas/.

Two invented trips, said to a desk; the tests open the dumps of all versions. One that is there stays.
"""

import argparse
import sqlite3
import tempfile
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Final

from bot.bench.corpus import ROOT
from bot.desk import Desk
from bot.logbook.schema import MIGRATIONS
from bot.logbook.store import FILE

FOLDER: Final = ROOT / "fixtures" / "schemas"
DAY: Final = datetime(2026, 3, 14, 6, tzinfo=UTC)
BOX: Final = """name,head,size_in,colours,hook_gauge,hooks,leader_kg,leader_m,ready
Tea Tray,cupped,10,purple black,heavy,2,220,4.5,yes
Door Bell,slim,7,pink white,medium,1,150,4,yes
"""
TRIPS: Final = (
    (
        "trip start", "tea tray on the short corner, door bell on the shotgun", "lines in",
        "eight knots", "water's twenty two point four", "strike short corner", "hooked up",
        "boated a wahoo, forty pounds", "make that 42 pounds", "strike shotgun", "undo",
        "birds to port", "what next", "note: out of ice", "lines out", "that's us for the day",
    ),
    ("trip start", "lines in", "strike shotgun", "missed it", "what next", "lines out", "trip over"),
)  # fmt: skip


def dump_sql() -> str:
    """Return a log of the tables of now as SQL text."""
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder)
        (home / "box.csv").write_text(BOX, encoding="utf-8")
        with Desk(home) as desk:
            desk.box_import(home / "box.csv")
            for days, calls in enumerate(TRIPS):
                for number, call in enumerate(calls):
                    when = DAY + timedelta(days=days, minutes=10 * number)
                    desk.say(call, crew=("Ann", "Ben")[number % 2], at=when)
        db = sqlite3.connect(home / FILE)
        try:
            return "\n".join(db.iterdump()) + "\n"
        finally:
            db.close()


def main(argv: list[str] | None = None) -> int:
    """Write the dump of this version where it is not there yet."""
    argparse.ArgumentParser(prog="python -m bot.bench schema", description=__doc__).parse_args(argv)
    path = FOLDER / f"v{len(MIGRATIONS)}.sql"
    if path.exists():
        print(f"fixtures/schemas/{path.name} is there already")
        return 0
    path.write_text(dump_sql(), encoding="utf-8")
    print(f"fixtures/schemas/{path.name}: {path.stat().st_size} bytes")
    return 0
