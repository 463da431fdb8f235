"""Trays in the log: kept by name, read back, copied with the log, and told of by this boat only."""

import sqlite3
from datetime import timedelta
from pathlib import Path

import pytest

from bot.logbook.restoring import read_rows
from bot.logbook.store import FILE, Logbook
from bot.logbook.trays import keep_trays, made_trays, tray_entries, tray_of
from bot.tackle.trays import Tray, TrayLure
from tests.builders import DAY

SLOW = Tray("slow", (TrayLure("Tin Snail", 8, ("green",), "slanted", "shotgun", True),), 24.0, 5.5)
TWO = Tray("two", (TrayLure(None, 6, ("pink", "white")),), "heavy")


def test_a_tray_is_read_back_as_it_was_kept_and_one_of_its_name_takes_its_place(
    tmp_path: Path,
) -> None:
    with Logbook.open(tmp_path) as log:
        keep_trays(log, [SLOW, TWO], DAY)
        keep_trays(log, [Tray("Tray 2", (TrayLure("Mug"),))], DAY + timedelta(days=1))
        found = made_trays(log)

    assert found == (
        (Tray("Tray 2", (TrayLure("Mug"),)), DAY + timedelta(days=1)),
        (SLOW, DAY),
    )


def test_a_copy_of_the_log_has_the_trays_and_a_row_that_is_none_is_refused(tmp_path: Path) -> None:
    with Logbook.open(tmp_path) as log:
        keep_trays(log, [SLOW], DAY)
    there = sqlite3.connect(tmp_path / FILE)
    copy, broken = (sqlite3.connect(":memory:") for _ in range(2))

    read_rows(sqlite3.connect(tmp_path / FILE), copy)
    there.execute("UPDATE trays SET body = '{}'")
    there.commit()
    with pytest.raises(ValueError, match="a row of trays cannot be read"):
        read_rows(sqlite3.connect(tmp_path / FILE), broken)

    assert copy.execute("SELECT key FROM trays").fetchall() == [("slow",)]
    for one in (there, copy, broken):
        one.close()


def test_a_log_without_a_call_about_trays_has_none(tmp_path: Path) -> None:
    with Logbook.open(tmp_path) as log:
        assert (made_trays(log), tray_entries(log)) == ((), ())


@pytest.mark.parametrize(
    "body", [{}, {"name": "a", "lures": [{"weight": 3}], "tackle": None, "speed_kn": None}]
)
def test_what_is_no_tray_is_no_tray(body: dict[str, object]) -> None:
    with pytest.raises((TypeError, KeyError)):
        tray_of(body)
