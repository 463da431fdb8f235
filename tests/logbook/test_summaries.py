"""The figures of earlier trips: a cache that is never wrong, whatever is added to the log or to it."""

import sqlite3
from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from hypothesis import example, given, settings, strategies as st

from bot import Desk
from bot.logbook.store import Logbook, MessageRecord
from bot.logbook.summaries import read_labels, write_labels
from bot.logbook.trip_codec import decode_trip, encode_trip
from bot.messages import Reply
from bot.stamps import Fix, Stamp
from bot.trip.call import Call
from bot.trip.entry import Entry, Record, Voided
from bot.trip.exposure import slices
from bot.trip.fold import fold
from bot.trip.history import standing_entries
from bot.trip.ledger import ledger
from bot.trip.tally import tally
from tests.builders import DAY, at, day_of, entry, message
from tests.trip.test_any_order import events, folded

DAYS = {
    "one": [
        "07:00 lines_in", "07:00 set | shotgun | red 6", "07:30 ready | | green 9",
        "08:00 strike | shotgun", "08:01 hookup", "08:10 release", "09:00 lines_out",
        "09:01 trip_end",
    ],
    "two": ["07:00 lines_in", "07:00 set | shotgun | black 12", "07:40 strike | shotgun"],
}  # fmt: skip
LATER = DAY + timedelta(days=3)


def keep(log: Logbook, *records: Record) -> None:
    name = log.new_id()
    log.record(MessageRecord(name, message(), Reply("Logged."), "logged", records))


def begin(home: Path) -> dict[str, Sequence[Entry]]:
    """Make a log of two trips."""
    made: dict[str, Sequence[Entry]] = {
        name: [replace(one, trip=name) for one in day_of(lines)] for name, lines in DAYS.items()
    }
    with Logbook.open(home) as log:
        for entries in made.values():
            keep(log, *entries)
    return made


def strikes(log: Logbook) -> dict[str, int]:
    found = ledger(log.summaries.figures(LATER, UTC)).sum_tally("trip").tally()
    return {row.key: row.strikes for row in found.rows}


def rows(home: Path) -> list[tuple[object, ...]]:
    with sqlite3.connect(home / "deckcall.db") as db:
        found = db.execute("SELECT trip, key, through, entries FROM summaries ORDER BY trip")
        kept = found.fetchall()
    db.close()
    return kept


def test_the_figures_are_those_of_the_trips_and_are_kept(tmp_path: Path) -> None:
    made = begin(tmp_path)
    with Logbook.open(tmp_path) as log:
        found = ledger(log.summaries.figures(LATER, UTC)).sum_tally("colour").tally()
        again = ledger(log.summaries.figures(LATER, UTC)).sum_tally("colour").tally()

    folded_trips = [fold(standing_entries(entries)) for entries in made.values()]
    assert found == again == tally(folded_trips, "colour", LATER)
    assert [(row[0], row[3]) for row in rows(tmp_path)] == [("one", 8), ("two", 3)]


def test_a_word_added_to_an_earlier_trip_or_taken_from_it_counts(tmp_path: Path) -> None:
    made = begin(tmp_path)
    with Logbook.open(tmp_path) as log:
        before = strikes(log)
        keep(log, replace(entry("07:50", "strike", "shotgun"), trip="two"))
        more = strikes(log)
        keep(log, Voided(log.new_id(), (made["one"][3].id, made["one"][4].id, made["one"][5].id),
                         at("10:00")))  # fmt: skip

        assert before == {"one": 1, "two": 1}
        assert more == {"one": 1, "two": 2}
        assert strikes(log) == {"one": 0, "two": 2}


def test_what_another_version_or_another_time_zone_kept_is_made_anew(tmp_path: Path) -> None:
    begin(tmp_path)
    with Logbook.open(tmp_path) as log:
        log.summaries.figures(LATER, UTC)
        log._db.execute("UPDATE summaries SET key = '0 UTC', fish = x'', body = 'nonsense'")

        assert strikes(log) == {"one": 1, "two": 1}
        there = ledger(log.summaries.figures(LATER, ZoneInfo("Pacific/Auckland")))
        assert {row.key for row in there.sum_tally("hour").tally().rows} == {
            "20:00", "21:00",
        }  # fmt: skip  # UTC+13 in March


def test_an_emptied_table_costs_time_and_nothing_else(tmp_path: Path) -> None:
    begin(tmp_path)
    with Logbook.open(tmp_path) as log:
        before = strikes(log)
        log._db.execute("DELETE FROM summaries")

        assert strikes(log) == before
        assert [trip.id for trip in log.summaries.trips(LATER, UTC, 40)] == ["one", "two"]


def test_one_trip_is_left_out_and_the_latest_are_few(tmp_path: Path) -> None:
    begin(tmp_path)
    with Logbook.open(tmp_path) as log:
        assert [one.trip for one in log.summaries.figures(LATER, UTC, but="two")] == ["one"]
        assert [trip.id for trip in log.summaries.trips(LATER, UTC, 1)] == ["two"]
        assert [trip.id for trip in log.summaries.trips(LATER, UTC, 1, but="two")] == ["one"]


def test_a_trip_that_goes_on_is_counted_but_not_kept(tmp_path: Path) -> None:
    begin(tmp_path)
    with Logbook.open(tmp_path) as log:
        figures = log.summaries.figures(at("08:00"), UTC)

    assert [one.trip for one in figures] == ["one", "two"]
    assert [row[0] for row in rows(tmp_path)] == ["one"]


def test_a_log_that_another_program_writes_is_read_all_the_same(tmp_path: Path) -> None:
    begin(tmp_path)
    other = sqlite3.connect(tmp_path / "deckcall.db", isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    try:
        with Logbook.open(tmp_path) as log:
            assert strikes(log) == {"one": 1, "two": 1}
    finally:
        other.execute("ROLLBACK")
        other.close()

    assert rows(tmp_path) == []


def test_reading_earlier_trips_leaves_the_records_of_this_one_in_memory(tmp_path: Path) -> None:
    begin(tmp_path)
    with Logbook.open(tmp_path) as log:
        log.records("two")
        log.summaries.figures(LATER, UTC)

        assert set(log._read) == {"two"}


@given(events)
@settings(deadline=None, max_examples=40)
def test_a_trip_that_was_kept_is_what_it_was(day: list[tuple[int, Call]]) -> None:
    trip = folded(day)

    again = decode_trip(encode_trip(trip))

    assert (again.id, again.started, again.ended) == (trip.id, trip.started, trip.ended)
    assert (again.first_at, again.last_at, again.entries) == (
        trip.first_at, trip.last_at, trip.entries,
    )  # fmt: skip
    assert again.fish == tuple(replace(fish, entries=()) for fish in trip.fish)
    assert (again.rigging, again.notes) == (trip.rigging, trip.notes)
    if trip.last_at is not None:
        upto = trip.ended or trip.last_at
        spans = [(s.stint.line, s.start, s.end) for s in slices(trip, upto + timedelta(days=1))]
        kept = [(s.line, s.start, s.end) for s in again.stints if s.end and s.end > s.start]
        assert kept == spans


def test_the_track_counts_and_one_that_comes_later_makes_the_figures_anew(tmp_path: Path) -> None:
    with Desk(tmp_path, clock=lambda: at("20:00")) as desk:
        for clock, text in (
            ("07:00", "set shotgun purple 8"), ("07:00", "lines in"), ("08:00", "lines out"),
            ("08:01", "trip over"), ("19:00", "lines in"),
        ):  # fmt: skip
            desk.say(text, crew="Ann", at=at(clock))
        assert {row.key for row in _by(desk, "water")} == {"unknown"}

        desk.keep_track(
            Fix(at("07:00") + timedelta(minutes=m), -35.0, 174.0, stamp=Stamp(water_c=20.0))
            for m in range(0, 61, 5)
        )
    with Desk(tmp_path, clock=lambda: at("20:00")) as desk:
        assert [(row.key, row.hours) for row in _by(desk, "water")] == [("20 °C", 1.0)]
        assert [row.hours for row in _by(desk, "place")] == [1.0]


def _by(desk: Any, by: Any) -> Any:
    return desk.view().past.ledger.sum_tally(by).tally().rows


@given(st.lists(st.lists(st.text(max_size=6), max_size=4), min_size=1, max_size=5))
@example([["\x1e"], []])
@example([["\x02a"], [""]])
@example([["", ""], ["a\x1d"]])
def test_labels_come_back_whatever_signs_they_hold(labels: list[list[str]]) -> None:
    assert read_labels(write_labels(labels)) == tuple(tuple(words) for words in labels)
