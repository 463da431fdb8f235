"""Logs of every earlier version open in this one: real dumps of logs that those versions made."""

import sqlite3
from datetime import timedelta
from pathlib import Path

import pytest

from bot import Desk
from bot.logbook.schema import MIGRATIONS
from bot.logbook.store import FILE, Logbook
from bot.trip.fold import fold
from bot.trip.history import standing_entries
from tests.builders import DAY

DUMPS = sorted((Path(__file__).parents[2] / "fixtures" / "schemas").glob("v*.sql"))
VIEW = """SELECT id, trip, at, act, position, lure, size_in, colours, species, count, length_cm, weight_kg,
    crew, source, text, void FROM entries ORDER BY id"""
"""The columns that the view has had from the first."""
SINCE = "SELECT act, side, what, water_c, speed_kn, angler FROM entries ORDER BY id"
"""Some that it got later."""


def _log_of(dump: Path, home: Path) -> list[tuple[object, ...]]:
    """Make the log of a dump; gives its entries as that version shows them."""
    home.mkdir(exist_ok=True)
    db = sqlite3.connect(home / FILE)
    db.executescript(dump.read_text(encoding="utf-8"))
    rows = db.execute(VIEW).fetchall()
    db.close()
    return rows


def _tables(path: Path) -> dict[str, str]:
    db = sqlite3.connect(path)
    found = db.execute("SELECT name, sql FROM sqlite_master WHERE sql IS NOT NULL").fetchall()
    db.close()
    return {name: " ".join(sql.split()).replace('"', "") for name, sql in found}


def test_there_is_a_dump_for_every_version_of_the_tables() -> None:
    names = [f"v{number}" for number in range(1, len(MIGRATIONS) + 1)]

    assert [dump.stem for dump in DUMPS] == names, "after a migration: python -m bot.bench schema"


@pytest.mark.parametrize("dump", DUMPS, ids=lambda dump: str(dump.stem))
def test_an_old_log_opens_with_all_that_it_held(dump: Path, tmp_path: Path) -> None:
    before = _log_of(dump, tmp_path)

    with Logbook.open(tmp_path) as log:
        trips = [fold(standing_entries(log.records(row.id))) for row in log.trips()]
        findings = [finding for row in log.trips() for finding in log.findings(row.id)]
        lures = [lure.name for lure in log.lures()]
    db = sqlite3.connect(tmp_path / FILE)
    after = db.execute(VIEW).fetchall()
    more = {row[0]: row[1:] for row in db.execute(SINCE)}
    db.close()

    assert after == before
    assert more["sighting"] == ("port", "birds", None, None, None)
    assert more["water"] == (None, None, 22.4, None, None)
    assert more["speed"] == (None, None, None, 8, None)
    assert len(before) == 21
    assert findings == []
    assert lures == ["Door Bell", "Tea Tray"]
    assert [len(trip.fish) for trip in trips] == [1, 1]
    (fish,) = trips[0].fish
    assert (fish.species, fish.end) == ("wahoo", "boat")
    assert fish.weight_kg == pytest.approx(42 * 0.45359237, abs=0.05)  # the pound of 1959
    assert all(trip.ended is not None for trip in trips)


@pytest.mark.parametrize("dump", DUMPS, ids=lambda dump: str(dump.stem))
def test_an_old_log_gets_the_tables_of_a_new_one_and_goes_on(dump: Path, tmp_path: Path) -> None:
    old, new = tmp_path / "old", tmp_path / "new"
    _log_of(dump, old)
    Logbook.open(new).close()
    with Desk(old) as desk:
        reply = desk.say("lines in", crew="Ann", at=DAY + timedelta(days=2))

    assert len(reply.logged) >= 1
    assert _tables(old / FILE) == _tables(new / FILE)
