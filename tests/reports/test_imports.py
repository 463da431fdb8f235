"""Our own export, read by another boat: nothing is doubled, nothing that is wrong comes in."""

import json
from dataclasses import replace
from datetime import UTC
from pathlib import Path
from typing import Any

import pytest

from bot.answers.drawing import stamp
from bot.cli import main
from bot.errors import LogbookError
from bot.logbook.exchange import going_out, merge
from bot.logbook.store import Logbook
from bot.reports.as_jsonl import from_jsonl, to_jsonl
from bot.reports.gather import view_of
from bot.tackle.items import Boat
from bot.trip.entry import Voided
from bot.trip.fold import fold
from bot.trip.history import standing_entries
from tests.builders import TRIP, at, entry
from tests.reports.days import a_day
from tests.reports.exchange_rig import entries_view, jsonl, keep, logged_day, take_in


def _line(**changes: Any) -> str:
    """Return a line of an export that is changed in one place."""
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


def test_another_boat_takes_the_log_in_once_with_what_was_undone(tmp_path: Path) -> None:
    here, there = logged_day(tmp_path / "here"), tmp_path / "there"
    first, again = take_in(there, jsonl(here)), take_in(there, jsonl(here))

    with Logbook.open(here) as one, Logbook.open(there) as other:
        assert other.records(TRIP) == one.records(TRIP)
        assert fold(standing_entries(other.records(TRIP))) == fold(
            standing_entries(one.records(TRIP))
        )
        assert [row.boat for row in other.trips()] == ["Driftwood"]
    assert entries_view(there) == entries_view(here)
    assert (first.added, first.trips) == (len(a_day()) + 4, (TRIP,))
    assert (again.added, again.known, again.differ, again.trips) == (0, first.added, (), ())


def test_what_was_added_later_comes_with_the_next_import(tmp_path: Path) -> None:
    here, there = tmp_path / "here", tmp_path / "there"
    strike = entry("07:00", "strike", "shotgun")
    keep(here, strike)
    take_in(there, jsonl(here))
    keep(here, Voided("000000f3", (strike.id,), at("07:05")), entry("08:00", "raise", "shotgun"))

    done = take_in(there, jsonl(here))

    assert (done.added, done.known) == (2, 1)
    assert entries_view(there) == entries_view(here)


def test_trips_of_several_boats_stand_side_by_side_and_go_on_to_a_third(tmp_path: Path) -> None:
    shore = tmp_path / "shore"
    for boat in ("one", "two"):
        home = tmp_path / boat
        keep(home, replace(entry("07:00", "strike"), trip=f"trip-{boat}"), trip=f"trip-{boat}")
        out = going_out(home, [f"trip-{boat}"])
        take_in(shore, to_jsonl(out, boat, positions=False))

    read = from_jsonl(
        to_jsonl(going_out(shore, ["trip-one", "trip-two"]), "shore", positions=False)
    )

    assert read.boats == {"trip-one": "one", "trip-two": "two"}


def test_an_imported_trip_is_never_the_trip_of_now(tmp_path: Path) -> None:
    here, there = logged_day(tmp_path / "here"), tmp_path / "there"
    keep(there, replace(entry("06:00", "trip_start"), trip="own"), trip="own")
    take_in(there, jsonl(here))

    with Logbook.open(there) as log:
        assert log.latest_trip() == log.last_trip() == "own"
        assert {row.id for row in log.trips()} == {"own", TRIP}


def test_pictures_of_an_imported_trip_bear_the_name_of_its_boat(tmp_path: Path) -> None:
    take_in(tmp_path / "there", jsonl(logged_day(tmp_path / "here")))
    kestrel = Boat(name="Kestrel")

    with Logbook.open(tmp_path / "there") as log:
        assert (
            stamp(view_of(log, TRIP, kestrel, UTC, at("20:00")))
            == "Driftwood, 14 March 2026, 12:30"
        )
    with Logbook.open(tmp_path / "here") as log:
        assert (
            stamp(view_of(log, TRIP, kestrel, UTC, at("20:00"))) == "Kestrel, 14 March 2026, 12:30"
        )


def test_trips_of_other_boats_are_none_of_this_boats_past(tmp_path: Path) -> None:
    here = logged_day(tmp_path / "here")
    counts = []
    for own in ("Driftwood", "Kestrel"):
        keep(tmp_path / own, replace(entry("06:00", "trip_start"), trip="own"), trip="own")
        take_in(tmp_path / own, jsonl(here), own)
        with Logbook.open(tmp_path / own) as log:
            figures = log.summaries.figures(at("20:00"), at("20:00").tzinfo or UTC)
            trips = log.summaries.trips(at("20:00"), at("20:00").tzinfo or UTC, 10)
            counts.append((len(figures), len(trips)))

    assert counts == [(2, 2), (1, 1)]


def test_on_shore_the_trips_of_all_boats_are_counted(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    here, shore = logged_day(tmp_path / "here"), tmp_path / "shore"
    take_in(shore, jsonl(here))

    assert main(["tally", "--trip", "all", "--json", "--home", str(shore)]) == 0
    counted = json.loads(capsys.readouterr().out)
    assert main(["trips", "--json", "--home", str(shore)]) == 0
    (trip,) = json.loads(capsys.readouterr().out)["trips"]

    assert counted["total"]["strikes"] == trip["strikes"] == 4
    assert (trip["trip"], trip["boat"]) == (TRIP, "Driftwood")


def test_a_boat_lists_imported_trips_and_leaves_them_out_of_its_own_count(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    here, there = logged_day(tmp_path / "here"), tmp_path / "there"
    keep(there, replace(entry("06:00", "trip_start"), trip="own"), trip="own")
    take_in(there, jsonl(here))

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
    keep(tmp_path / "a", strike)
    keep(tmp_path / "b", replace(strike, call=strike.call.with_slots(position="long rigger")))

    done = take_in(tmp_path / "a", jsonl(tmp_path / "b"))

    assert (done.added, done.differ) == (0, (strike.id,))
    assert [row["position"] for row in entries_view(tmp_path / "a")] == ["shotgun"]


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
    assert [row["id"] for row in entries_view(tmp_path)] == ["0000cccc"]


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
    keep(tmp_path, entry("06:00", "trip_start"))
    before = entries_view(tmp_path)
    good, bad = from_jsonl(_line()).rows[0], from_jsonl(_line(id="0000bbbb")).rows[0]

    with pytest.raises(LogbookError):
        merge(tmp_path, (good, replace(bad, crew=None)), {}, "", at("20:00"))  # type: ignore[arg-type]

    assert entries_view(tmp_path) == before


def test_by_command_the_log_goes_out_and_comes_in(
    tmp_path: Path, capsysbinary: pytest.CaptureFixture[bytes]
) -> None:
    here, there, file = logged_day(tmp_path / "here"), tmp_path / "there", tmp_path / "log.jsonl"
    (here / "deckcall.toml").write_text('[boat]\nname = "Away"\n', encoding="utf-8")

    assert main(["export", "--home", str(here)]) == 0
    assert capsysbinary.readouterr().out.startswith(b"id,trip,at,act,position,lure,size_in")
    assert main(["export", TRIP, "--out", str(file), "--positions", "--home", str(here)]) == 0
    assert main(["import", str(file), "--json", "--home", str(there)]) == 0
    said = json.loads(capsysbinary.readouterr().out)
    assert said["added"] == said["entries"] + 5
    assert entries_view(there) == entries_view(here)
    assert main(["report", "--json", "--home", str(there)]) == 0
    assert json.loads(capsysbinary.readouterr().out)["boat"] == "Away"


def test_every_record_of_an_export_is_read_again(tmp_path: Path) -> None:
    text = jsonl(logged_day(tmp_path))
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
