"""What the instruments measured, and the track, on their way out and in."""

import csv
import io
import json
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import gpxpy
import pytest

from bot.logbook.exchange import going_out, merge
from bot.logbook.store import Logbook, MessageRecord
from bot.logbook.track import keep_fix, track_of
from bot.messages import Message, Reply
from bot.reports.as_jsonl import from_jsonl
from bot.reports.exports import export_file
from bot.stamps import Fix, Stamp
from tests.builders import TRIP, at, entry

STAMP = Stamp("instruments", 57.6, 7.8, 7.5, 51.0, 22.3, 180.4)
NOW = datetime(2026, 3, 15, tzinfo=UTC)


def logged(home: Path) -> Path:
    strike = entry("07:00", "strike", "shotgun", latitude=-35.0, longitude=174.0, stamp=STAMP)
    water = entry("07:30", "water", water_c=24.2, stamp=replace(STAMP, place_from=None))
    with Logbook.open(home) as log:
        records = (entry("06:00", "trip_start"), strike, water)
        message = Message("Ann", at("06:00"), "console", text="x")
        log.record(MessageRecord("m", message, Reply(""), "logged", records, TRIP))
        for minutes in (-5, 0, 1, 2, 20, 21, 95):
            fix = Fix(at("06:00") + timedelta(minutes=minutes), -35 + minutes / 1000, 174.0)
            keep_fix(log, replace(fix, stamp=STAMP))
    return home


def tracks(home: Path) -> dict[str, tuple[Fix, ...]]:
    with Logbook.open(home) as log:
        return {TRIP: track_of(log, TRIP)}


def test_a_table_tells_apart_what_was_called_and_what_was_measured(tmp_path: Path) -> None:
    made = export_file(going_out(logged(tmp_path), [TRIP]), "csv").decode()
    _, strike, water = csv.DictReader(io.StringIO(made))

    assert (strike["water_c"], strike["measured_c"]) == ("", "22.3")
    assert (strike["depth_m"], strike["measured_m"]) == ("", "180.4")
    assert (strike["cog_deg"], strike["sog_kn"], strike["stw_kn"]) == ("57.6", "7.8", "7.5")
    assert (strike["heading_deg"], strike["place_from"]) == ("51.0", "instruments")
    assert (water["water_c"], water["measured_c"]) == ("24.2", "22.3")
    # 174° E in March: seven by UTC is about half past six by the sun there, which sets at six
    assert strike["light"] == "dusk"
    assert water["light"] == ""  # of no place nobody knows the sun
    assert "latitude" not in strike


def test_the_track_of_a_trip_goes_from_its_first_entry_to_its_last_and_is_cut_at_gaps(
    tmp_path: Path,
) -> None:
    home = logged(tmp_path)
    found = export_file(going_out(home, [TRIP]), "gpx", tracks=tracks(home)).decode()
    (track,) = gpxpy.parse(found).tracks

    minutes = [[point.time for point in part.points] for part in track.segments]
    assert [[round((t - at("06:00")).seconds / 60) for t in part if t] for part in minutes] == [
        [0, 1, 2], [20, 21],
    ]  # fmt: skip


def test_stamps_come_with_an_import_and_places_only_where_they_were_asked_for(
    tmp_path: Path,
) -> None:
    home, other = logged(tmp_path / "a"), tmp_path / "b"
    text = export_file(going_out(home, [TRIP]), "jsonl").decode()
    read = from_jsonl(text)
    merge(other, read.rows, read.boats, "Kestrel", NOW)

    with Logbook.open(other) as log:
        _, strike, _ = log.records(TRIP)
        assert track_of(log, TRIP) == ()  # another boat has no track of this trip
    assert strike.stamp == STAMP  # type: ignore[union-attr]
    assert strike.place is None  # type: ignore[union-attr]


@pytest.mark.parametrize(
    "stamp", [{"sog_kn": "fast"}, {"water_c": 1e300}, {"place_from": "guess"}, {"depth_m": True}]
)
def test_a_stamp_that_no_instrument_says_is_refused(tmp_path: Path, stamp: dict[str, Any]) -> None:
    lines = export_file(going_out(logged(tmp_path), [TRIP]), "jsonl").decode().splitlines()
    strike = json.loads(lines[1])
    strike["record"]["body"]["stamp"] |= stamp

    read = from_jsonl(json.dumps(strike))

    assert read.rows == ()
    assert "nothing that instruments say" in read.refused[0][1]


def test_what_a_newer_program_measures_besides_does_no_harm(tmp_path: Path) -> None:
    lines = export_file(going_out(logged(tmp_path), [TRIP]), "jsonl").decode().splitlines()
    strike = json.loads(lines[1])
    strike["record"]["body"]["stamp"]["wind_kn"] = 12.0

    assert from_jsonl(json.dumps(strike)).refused == ()


def test_parquet_has_what_is_measured_as_numbers(tmp_path: Path) -> None:
    parquet = pytest.importorskip("pyarrow.parquet", reason="pyarrow is an extra")
    made = export_file(going_out(logged(tmp_path), [TRIP]), "parquet")

    assert parquet.read_table(io.BytesIO(made)).column("measured_c").to_pylist() == [
        None, 22.3, 22.3,
    ]  # fmt: skip
