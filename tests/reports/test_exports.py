"""Exports: each against its standard, and our own read back by another boat."""

import csv
import io
import json
import sqlite3
from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import geojson
import gpxpy
import pytest
import xmlschema

from bot.cli import main
from bot.errors import LogbookError
from bot.logbook.exchange import going_out, merge
from bot.logbook.store import Kept, Logbook
from bot.messages import Reply
from bot.reports.as_csv import guarded
from bot.reports.as_geojson import cut
from bot.reports.as_jsonl import from_jsonl, to_jsonl
from bot.reports.exports import FORMS, export_form, exported
from bot.trip.entry import Record, Restored, Voided
from bot.trip.fold import fold
from bot.trip.history import standing
from tests.builders import TRIP, at, entry, message
from tests.reports.days import a_day

GPX = Path(__file__).parents[2] / "fixtures" / "standards" / "gpx_1_1.xsd"


def _keep(home: Path, *records: Record, trip: str = TRIP) -> None:
    with Logbook.open(home) as log:
        for record in records:
            log.record(Kept(log.new_id(), message(), Reply(""), "logged", (record,), trip))


def _logged(home: Path) -> Path:
    """Log a day with places, an entry that is undone, and one that is undone and stands again."""
    _keep(home, *a_day())
    undone = entry("11:45", "strike", "shotgun", latitude=-35.0, longitude=174.0)
    back = entry("11:46", "raise", "shotgun")
    _keep(home, undone, back, Voided("000000f1", (undone.id, back.id), at("11:47")))
    _keep(home, Restored("000000f2", (back.id,), at("11:48")))
    return home


def _view(home: Path) -> list[dict[str, Any]]:
    db = sqlite3.connect(home / "deckcall.db")
    db.row_factory = sqlite3.Row
    rows = [dict(row) for row in db.execute("SELECT * FROM entries ORDER BY id")]
    db.close()
    return rows


def _export(home: Path, form: str, *, positions: bool = False) -> bytes:
    chosen = export_form(f"x.{form}")
    return exported(going_out(home, [TRIP]), chosen, "Driftwood", positions=positions)


def _import(home: Path, text: str, own: str = "Kestrel") -> Any:
    read = from_jsonl(text)
    assert read.refused == ()
    return merge(home, read.rows, read.boats, own, at("20:00"))


def _jsonl(home: Path) -> str:
    return to_jsonl(going_out(home, [TRIP]), "Driftwood", positions=True)


def test_csv_begins_with_the_columns_of_the_view_and_has_its_rows(tmp_path: Path) -> None:
    rows = list(csv.DictReader(io.StringIO(_export(_logged(tmp_path), "csv").decode(), newline="")))
    view = _view(tmp_path)

    assert list(rows[0])[:16] == list(view[0])
    assert {r["id"]: (r["act"], r["position"], r["void"]) for r in rows} == {
        r["id"]: (r["act"], r["position"] or "", str(r["void"])) for r in view
    }
    assert next(r["tag"] for r in rows if r["act"] == "release") == "B7"


def test_csv_has_the_line_ends_and_quotes_of_rfc_4180(tmp_path: Path) -> None:
    _keep(tmp_path, entry("07:00", "note", text="x", said='a "b", c\nd'))
    raw = _export(tmp_path, "csv")

    assert raw.count(b"\r\n") == 2
    assert b'"a ""b"", c\nd"' in raw


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@a", "\tx", "\r=x", "=cmd|' /C calc'!A0"])
def test_a_cell_of_text_is_never_a_formula(tmp_path: Path, text: str) -> None:
    # OWASP, "CSV Injection": = + - @ tab and carriage return at the start of a cell
    _keep(tmp_path, entry("07:00", "note", said=text, crew=text, latitude=-35.5, longitude=-170.0))
    (row,) = csv.DictReader(
        io.StringIO(_export(tmp_path, "csv", positions=True).decode(), newline="")
    )

    assert row["text"] == row["crew"] == f"'{text}" == guarded(text)
    assert (float(row["latitude"]), float(row["longitude"])) == (-35.5, -170.0)


def test_gpx_is_valid_by_the_published_schema(tmp_path: Path) -> None:
    # the XSD of GPX 1.1, TopoGrafix
    schema = xmlschema.XMLSchema(GPX)
    odd = entry(
        "11:50", "mark", text="x", said="Ωméga \x00\x0b <&> 🐟", latitude=1.0, longitude=2.0
    )
    _keep(_logged(tmp_path), odd)
    text = _export(tmp_path, "gpx").decode()

    schema.validate(text)
    schema.validate(exported((), "gpx", "").decode())
    found = gpxpy.parse(text)
    assert [(w.type, w.latitude, w.longitude) for w in found.waypoints] == [
        ("strike", -35.2, 174.3), ("mark", -35.3, 174.4), ("mark", 1.0, 2.0),
    ]  # fmt: skip
    assert found.waypoints[0].time == at("08:00")
    assert len(found.tracks[0].segments[0].points) == 3


def test_geojson_is_valid_and_has_longitude_first(tmp_path: Path) -> None:
    # RFC 7946; the library geojson checks geometries
    found = geojson.loads(_export(_logged(tmp_path), "geojson").decode())
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
    out.write_bytes(_export(_logged(tmp_path), "sqlite"))
    db = sqlite3.connect(out)

    rows = db.execute("SELECT act, void FROM entries ORDER BY id").fetchall()
    assert rows == [(row["act"], row["void"]) for row in _view(tmp_path)]
    assert db.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    db.close()


def test_parquet_has_types_and_the_same_rows(tmp_path: Path) -> None:
    parquet = pytest.importorskip("pyarrow.parquet", reason="pyarrow is an extra")
    table = parquet.read_table(io.BytesIO(_export(_logged(tmp_path), "parquet", positions=True)))
    rows = table.to_pylist()

    assert [row["id"] for row in rows] == [row["id"] for row in _view(tmp_path)]
    assert rows[0]["at"] == datetime.fromisoformat(_view(tmp_path)[0]["at"])
    assert str(table.schema.field("weight_kg").type) == "double"
    assert next(row["weight_kg"] for row in rows if row["act"] == "boat") == 24.0


@pytest.mark.parametrize("form", [f for f in FORMS if f not in ("gpx", "geojson", "parquet")])
def test_places_go_out_only_where_they_are_asked_for(tmp_path: Path, form: str) -> None:
    _logged(tmp_path)

    assert b"174.3" not in _export(tmp_path, form)
    assert b"latitude" not in _export(tmp_path, form)
    assert b"latitude" in _export(tmp_path, form, positions=True)


def test_another_boat_takes_the_log_in_once_with_what_was_undone(tmp_path: Path) -> None:
    here, there = _logged(tmp_path / "here"), tmp_path / "there"
    first, again = _import(there, _jsonl(here)), _import(there, _jsonl(here))

    with Logbook.open(here) as one, Logbook.open(there) as other:
        assert other.records(TRIP) == one.records(TRIP)
        assert fold(standing(other.records(TRIP))) == fold(standing(one.records(TRIP)))
        assert [row.boat for row in other.trips()] == ["Driftwood"]
    assert _view(there) == _view(here)
    assert (first.added, first.trips) == (len(a_day()) + 4, (TRIP,))
    assert (again.added, again.known, again.differ, again.trips) == (0, first.added, (), ())


def test_what_was_added_later_comes_with_the_next_import(tmp_path: Path) -> None:
    here, there = tmp_path / "here", tmp_path / "there"
    strike = entry("07:00", "strike", "shotgun")
    _keep(here, strike)
    _import(there, _jsonl(here))
    _keep(here, Voided("000000f3", (strike.id,), at("07:05")), entry("08:00", "raise", "shotgun"))

    done = _import(there, _jsonl(here))

    assert (done.added, done.known) == (2, 1)
    assert _view(there) == _view(here)


def test_trips_of_several_boats_stand_side_by_side_and_go_on_to_a_third(tmp_path: Path) -> None:
    shore = tmp_path / "shore"
    for boat in ("one", "two"):
        home = tmp_path / boat
        _keep(home, replace(entry("07:00", "strike"), trip=f"trip-{boat}"), trip=f"trip-{boat}")
        out = going_out(home, [f"trip-{boat}"])
        _import(shore, to_jsonl(out, boat, positions=False))

    read = from_jsonl(
        to_jsonl(going_out(shore, ["trip-one", "trip-two"]), "shore", positions=False)
    )

    assert read.boats == {"trip-one": "one", "trip-two": "two"}


def test_an_imported_trip_is_never_the_trip_of_now(tmp_path: Path) -> None:
    here, there = _logged(tmp_path / "here"), tmp_path / "there"
    _keep(there, replace(entry("06:00", "trip_start"), trip="own"), trip="own")
    _import(there, _jsonl(here))

    with Logbook.open(there) as log:
        assert log.latest_trip() == log.last_trip() == "own"
        assert {row.id for row in log.trips()} == {"own", TRIP}


def test_trips_of_other_boats_are_none_of_this_boats_past(tmp_path: Path) -> None:
    here = _logged(tmp_path / "here")
    counts = []
    for own in ("Driftwood", "Kestrel"):
        _keep(tmp_path / own, replace(entry("06:00", "trip_start"), trip="own"), trip="own")
        _import(tmp_path / own, _jsonl(here), own)
        with Logbook.open(tmp_path / own) as log:
            figures = log.summaries.figures(at("20:00"), at("20:00").tzinfo or UTC)
            trips = log.summaries.trips(at("20:00"), at("20:00").tzinfo or UTC, 10)
            counts.append((len(figures), len(trips)))

    assert counts == [(2, 2), (1, 1)]


def test_on_shore_the_trips_of_all_boats_are_counted(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    here, shore = _logged(tmp_path / "here"), tmp_path / "shore"
    _import(shore, _jsonl(here))

    assert main(["tally", "--trip", "all", "--json", "--home", str(shore)]) == 0
    counted = json.loads(capsys.readouterr().out)
    assert main(["trips", "--json", "--home", str(shore)]) == 0
    (trip,) = json.loads(capsys.readouterr().out)["trips"]

    assert counted["total"]["strikes"] == trip["strikes"] == 4
    assert (trip["trip"], trip["boat"]) == (TRIP, "Driftwood")


def test_a_boat_lists_imported_trips_and_leaves_them_out_of_its_own_count(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    here, there = _logged(tmp_path / "here"), tmp_path / "there"
    _keep(there, replace(entry("06:00", "trip_start"), trip="own"), trip="own")
    _import(there, _jsonl(here))

    assert main(["tally", "--trip", "all", "--json", "--home", str(there)]) == 0
    counted = json.loads(capsys.readouterr().out)
    assert main(["trips", "--json", "--home", str(there)]) == 0
    trips = json.loads(capsys.readouterr().out)["trips"]

    assert counted["total"]["strikes"] == 0
    assert {t["trip"]: (t["boat"], t["strikes"]) for t in trips} == {
        "own": (None, 0), TRIP: ("Driftwood", 4),
    }  # fmt: skip


def test_the_same_id_for_something_else_is_said_and_left(tmp_path: Path) -> None:
    strike = entry("07:00", "strike", "shotgun")
    _keep(tmp_path / "a", strike)
    _keep(tmp_path / "b", replace(strike, call=strike.call.with_slots(position="long rigger")))

    done = _import(tmp_path / "a", _jsonl(tmp_path / "b"))

    assert (done.added, done.differ) == (0, (strike.id,))
    assert [row["position"] for row in _view(tmp_path / "a")] == ["shotgun"]


def _line(**changes: Any) -> str:
    """Give a line of an export that is changed in one place."""
    body = {"call": {"act": "strike", "position": "shotgun"}}
    made: dict[str, Any] = {
        "kind": "entry", "boat": "", "id": "0000aaaa", "trip": "t", "at": "2026-03-14T07:00:00Z",
        "crew": "Ann", "source": "console", "text": "strike",
        "record": {"message": "m", "version": 1, "body": body},
    }  # fmt: skip
    record = made["record"] | {k: changes.pop(k) for k in ("version", "body") if k in changes}
    return json.dumps(made | changes | {"record": record})


def _call(**slots: Any) -> dict[str, Any]:
    return {"call": {"act": "strike", **slots}}


@pytest.mark.parametrize(
    "line",
    [
        "not json", "[]", "3", "{}", "[" * 5000,
        _line(kind="song"), _line(kind="asked"), _line(id=""), _line(id=7), _line(id="good"),
        _line(id="f" * 32), _line(at="9999-12-31T23:59:59Z"), _line(at="yesterday"),
        _line(version=99), _line(version=True), _line(crew=3), _line(body=[]), _line(body={}),
        _line(body=_call(size_in="eight")), _line(body=_call(size_in=True)),
        _line(body=_call(position=4)), _line(body=_call(colours=[1])), _line(body=_call(count=-2)),
        _line(body=_call(count=1.5)), _line(body=_call(tune="x")), _line(body={"call": {"act": "sing"}}),
        _line(body={"call": {"act": "ask_next"}}), _line(body={"call": "strike"}),
        _line(body=_call() | {"latitude": 91, "longitude": 0}),
        _line(body=_call() | {"latitude": "x", "longitude": 0}),
        _line(body=_call(weight_kg=1)).replace('"weight_kg": 1', '"weight_kg": NaN'),
        _line(kind="voided", body={"entries": [3]}), _line(kind="voided", body={"entries": []}),
        _line(kind="advised", body={"advice": {"position": 1}}),
    ],
)  # fmt: skip
def test_a_line_that_is_no_record_is_refused_and_nothing_is_imported(
    tmp_path: Path, line: str, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "x.jsonl"
    file.write_text(_line(id="0000cccc") + "\n" + line + "\n", encoding="utf-8")

    assert main(["import", str(file), "--home", str(tmp_path)]) == 1
    assert "line 2:" in capsys.readouterr().err
    assert not (tmp_path / "deckcall.db").exists()
    assert main(["import", str(file), "--skip-bad", "--home", str(tmp_path)]) == 0
    assert [row["id"] for row in _view(tmp_path)] == ["0000cccc"]


@pytest.mark.parametrize(
    ("raw", "code"),
    [(b"\xef\xbb\xbf" + _line().encode() + b"\r\n", 0), (_line().encode() + b"\xff", 1)],
    ids=["marked and with Windows line ends", "not UTF-8"],
)
def test_a_file_that_another_program_saved_is_read_or_refused(
    tmp_path: Path, raw: bytes, code: int, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "x.jsonl"
    file.write_bytes(raw)

    assert main(["import", str(file), "--home", str(tmp_path)]) == code
    assert ("is not UTF-8" in capsys.readouterr().err) is (code == 1)


def test_a_merge_that_fails_leaves_the_log_as_it_was(tmp_path: Path) -> None:
    _keep(tmp_path, entry("06:00", "trip_start"))
    before = _view(tmp_path)
    good, bad = from_jsonl(_line()).rows[0], from_jsonl(_line(id="0000bbbb")).rows[0]

    with pytest.raises(LogbookError):
        merge(tmp_path, (good, replace(bad, crew=None)), {}, "", at("20:00"))  # type: ignore[arg-type]

    assert _view(tmp_path) == before


def test_by_command_the_log_goes_out_and_comes_in(
    tmp_path: Path, capsysbinary: pytest.CaptureFixture[bytes]
) -> None:
    here, there, file = _logged(tmp_path / "here"), tmp_path / "there", tmp_path / "log.jsonl"
    (here / "deckcall.toml").write_text('[boat]\nname = "Away"\n', encoding="utf-8")

    assert main(["export", "--home", str(here)]) == 0
    assert capsysbinary.readouterr().out.startswith(b"id,trip,at,act,position,lure,size_in")
    assert main(["export", TRIP, "--out", str(file), "--positions", "--home", str(here)]) == 0
    assert main(["import", str(file), "--json", "--home", str(there)]) == 0
    said = json.loads(capsysbinary.readouterr().out)
    assert said["added"] == said["entries"] + 5
    assert _view(there) == _view(here)
    assert main(["report", "--json", "--home", str(there)]) == 0
    assert json.loads(capsysbinary.readouterr().out)["boat"] == "Away"


def test_the_ending_of_a_file_name_asks_for_a_form() -> None:
    names: Sequence[tuple[str | None, str]] = (
        (None, "csv"), ("a.GPX", "gpx"), ("a.json", "geojson"), ("a.db", "sqlite"),
        ("a.jsonl", "jsonl"), ("a.parquet", "parquet"), ("a.txt", "csv"),
    )  # fmt: skip
    for name, form in names:
        assert export_form(name) == form


def test_every_record_of_an_export_is_read_again(tmp_path: Path) -> None:
    text = _jsonl(_logged(tmp_path))
    read = from_jsonl(text)

    assert read.refused == ()
    assert len(read.rows) == len(text.splitlines())
    kinds = [json.loads(line)["kind"] for line in text.splitlines()]
    assert kinds.count("advised") == 3


def test_of_many_bad_lines_some_are_named_and_what_would_be_right_is_said(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "log.csv"
    file.write_text("id,trip\n" * 500, "utf-8")

    assert main(["import", str(file), "--home", str(tmp_path)]) == 1
    told = capsys.readouterr().err.splitlines()
    assert len(told) == 12
    assert told[-2] == "and 490 more such lines"
    assert "make one with: deckcall export --out log.jsonl" in told[-1]


def test_places_go_out_no_finer_than_anybody_measures(tmp_path: Path) -> None:
    one = entry("06:00", "mark", latitude=-35.05240707458162, longitude=174.4632687675888)
    _keep(tmp_path, one)
    file = tmp_path / "x.gpx"

    assert main(["export", "--out", str(file), "--home", str(tmp_path)]) == 0
    assert 'lat="-35.0524071" lon="174.4632688"' in file.read_text("utf-8")
