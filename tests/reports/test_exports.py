"""Exports: each against its standard."""

import csv
import io
import sqlite3
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import geojson
import gpxpy
import pytest
import xmlschema

from bot.cli import main
from bot.logbook.exchange import going_out
from bot.reports.as_geojson import cut
from bot.reports.columns import KIND
from bot.reports.exports import FORMS, export_file, export_form
from bot.stamps import Stamp
from bot.tackle.cells import guard
from tests.builders import TRIP, at, entry
from tests.reports.exchange_rig import entries_view, export, keep, logged_day

GPX = Path(__file__).parents[2] / "fixtures" / "standards" / "gpx_1_1.xsd"


def test_csv_begins_with_the_columns_of_the_view_and_has_its_rows(tmp_path: Path) -> None:
    rows = list(
        csv.DictReader(io.StringIO(export(logged_day(tmp_path), "csv").decode(), newline=""))
    )
    view = entries_view(tmp_path)

    assert list(rows[0])[: len(view[0])] == list(view[0])
    assert {r["id"]: (r["act"], r["position"], r["void"]) for r in rows} == {
        r["id"]: (r["act"], r["position"] or "", str(r["void"])) for r in view
    }
    assert next(r["tag"] for r in rows if r["act"] == "release") == "B7"


def test_csv_has_the_line_ends_and_quotes_of_rfc_4180(tmp_path: Path) -> None:
    keep(tmp_path, entry("07:00", "note", text="x", said='a "b", c\nd'))
    raw = export(tmp_path, "csv")

    assert raw.count(b"\r\n") == 2
    assert b'"a ""b"", c\nd"' in raw


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@a", "\tx", "\r=x", "=cmd|' /C calc'!A0"])
def test_a_cell_of_text_is_never_a_formula(tmp_path: Path, text: str) -> None:
    # OWASP, "CSV Injection": = + - @ tab and carriage return at the start of a cell
    keep(tmp_path, entry("07:00", "note", said=text, crew=text, latitude=-35.5, longitude=-170.0))
    (row,) = csv.DictReader(
        io.StringIO(export(tmp_path, "csv", positions=True).decode(), newline="")
    )

    assert row["text"] == row["crew"] == f"'{text}" == guard(text)
    assert (float(row["latitude"]), float(row["longitude"])) == (-35.5, -170.0)


def test_gpx_is_valid_by_the_published_schema(tmp_path: Path) -> None:
    # the XSD of GPX 1.1, TopoGrafix
    schema = xmlschema.XMLSchema(GPX)
    odd = entry(
        "11:50", "mark", text="x", said="Ωméga \x00\x0b <&> 🐟", latitude=1.0, longitude=2.0
    )
    keep(logged_day(tmp_path), odd)
    text = export(tmp_path, "gpx").decode()

    schema.validate(text)
    schema.validate(export_file((), "gpx", "").decode())
    found = gpxpy.parse(text)
    assert [(w.type, w.latitude, w.longitude) for w in found.waypoints] == [
        ("strike", -35.2, 174.3), ("mark", -35.3, 174.4), ("mark", 1.0, 2.0),
    ]  # fmt: skip
    assert found.waypoints[0].time == at("08:00")
    assert len(found.tracks[0].segments[0].points) == 3


def test_geojson_is_valid_and_has_longitude_first(tmp_path: Path) -> None:
    # RFC 7946; the library geojson checks geometries
    found = geojson.loads(export(logged_day(tmp_path), "geojson").decode())
    points = [f for f in found.features if f.geometry.type == "Point"]
    (line,) = (f for f in found.features if f.geometry.type == "LineString")

    assert found.is_valid
    assert "crs" not in found
    assert [p.geometry.coordinates for p in points] == [[174.3, -35.2], [174.4, -35.3]]
    assert line.geometry.coordinates == [[174.3, -35.2], [174.4, -35.3]]
    assert points[0].id == points[0].properties["id"]


def test_a_way_over_the_180th_meridian_is_cut_there() -> None:
    # the example of RFC 7946, section 3.1.9: from 170 E 45 N to 170 W 45 N
    assert cut([(170.0, 45.0), (-170.0, 45.0)]) == [
        [(170.0, 45.0), (180.0, 45.0)], [(-180.0, 45.0), (-170.0, 45.0)],
    ]  # fmt: skip
    there = cut([(-179.0, 0.0), (179.0, 2.0), (178.0, 2.0)])
    assert there == [
        [(-179.0, 0.0), (-180.0, 1.0)], [(180.0, 1.0), (179.0, 2.0), (178.0, 2.0)],
    ]  # fmt: skip
    assert cut([(10.0, 0.0), (20.0, 0.0)]) == [[(10.0, 0.0), (20.0, 0.0)]]


def test_a_database_opens_in_general_tools(tmp_path: Path) -> None:
    out = tmp_path / "out.sqlite"
    out.write_bytes(export(logged_day(tmp_path), "sqlite"))
    db = sqlite3.connect(out)

    rows = db.execute("SELECT act, void FROM entries ORDER BY id").fetchall()
    assert rows == [(row["act"], row["void"]) for row in entries_view(tmp_path)]
    assert db.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    db.close()


def test_parquet_has_types_and_the_same_rows(tmp_path: Path) -> None:
    parquet = pytest.importorskip("pyarrow.parquet", reason="pyarrow is an extra")
    table = parquet.read_table(io.BytesIO(export(logged_day(tmp_path), "parquet", positions=True)))
    rows = table.to_pylist()

    assert [row["id"] for row in rows] == [row["id"] for row in entries_view(tmp_path)]
    assert rows[0]["at"] == datetime.fromisoformat(entries_view(tmp_path)[0]["at"])
    assert str(table.schema.field("weight_kg").type) == "double"
    assert next(row["weight_kg"] for row in rows if row["act"] == "boat") == 24.0


@pytest.mark.parametrize("form", [f for f in FORMS if f not in ("gpx", "geojson", "parquet")])
def test_places_go_out_only_where_they_are_asked_for(tmp_path: Path, form: str) -> None:
    logged_day(tmp_path)

    assert b"174.3" not in export(tmp_path, form)
    assert b"latitude" not in export(tmp_path, form)
    assert b"latitude" in export(tmp_path, form, positions=True)


def test_the_ending_of_a_file_name_asks_for_a_form() -> None:
    names: Sequence[tuple[str | None, str]] = (
        (None, "csv"), ("a.GPX", "gpx"), ("a.json", "geojson"), ("a.db", "sqlite"),
        ("a.jsonl", "jsonl"), ("a.parquet", "parquet"), ("a.txt", "csv"),
    )  # fmt: skip
    for name, form in names:
        assert export_form(name) == form


def test_places_go_out_no_finer_than_anybody_measures(tmp_path: Path) -> None:
    one = entry("06:00", "mark", latitude=-35.05240707458162, longitude=174.4632687675888)
    keep(tmp_path, one)
    file = tmp_path / "x.gpx"

    assert main(["export", "--out", str(file), "--home", str(tmp_path)]) == 0
    assert 'lat="-35.0524071" lon="174.4632688"' in file.read_text("utf-8")


def test_every_column_has_a_kind_and_sqlite_holds_it_so(tmp_path: Path) -> None:
    # SQLite's own typeof(): what a table program finds in the file
    keep(
        tmp_path,
        entry("07:00", "boat", "shotgun", "purple 8", weight_kg=12, count=2, species="wahoo",
              latitude=-35.5, longitude=-170.0, stamp=Stamp("instruments", cog_deg=10, sog_kn=7)),
        entry("07:01", "drag", "shotgun", drag_kg=9),
    )  # fmt: skip
    file = tmp_path / "x.sqlite"
    file.write_bytes(export(tmp_path, "sqlite", positions=True))
    db = sqlite3.connect(file)
    columns = [row[1] for row in db.execute("PRAGMA table_info(entries)")]
    kinds = {
        name: {k for (k,) in db.execute(f'SELECT DISTINCT typeof("{name}") FROM entries')}
        - {"null"}
        for name in columns
    }
    db.close()

    assert set(columns) == set(KIND)
    stored = {
        "text": "text",
        "time": "text",
        "number": "real",
        "whole": "integer",
        "flag": "integer",
    }
    assert all(held <= {stored[KIND[name]]} for name, held in kinds.items())
    assert (
        kinds["weight_kg"] == kinds["drag_kg"] == kinds["cog_deg"] == kinds["latitude"] == {"real"}
    )


def test_tables_have_the_boats_own_time_beside_utc(tmp_path: Path) -> None:
    keep(tmp_path, entry("07:00", "strike"))
    records = going_out(tmp_path, [TRIP])
    (row,) = csv.DictReader(
        io.StringIO(
            export_file(records, "csv", tz=ZoneInfo("Pacific/Auckland")).decode(), newline=""
        )
    )

    # IANA time zone database: New Zealand is 13 hours before UTC on 14 March 2026
    assert row["at"] == "2026-03-14T07:00:00Z"
    assert row["at_local"] == "2026-03-14T20:00:00+13:00"
