"""A recorded morning of the instruments, replayed with what the crew called."""

import json
import shutil
import sqlite3
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import gpxpy
import pytest

from bot.bench.nmea import FILE, LEGS, moments, record
from bot.cli import main
from bot.water.bearing import METRES_A_NM, leg

FOLDER = FILE.parent


@pytest.fixture
def played(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> tuple[Path, Sequence[Mapping[str, Any]]]:
    shutil.copy(FOLDER / "boat.toml", tmp_path / "deckcall.toml")
    calls = str(FOLDER / "morning.jsonl")
    assert main(["replay", calls, "--nmea", str(FILE), "--home", str(tmp_path)]) == 0
    printed = capsys.readouterr()
    (tmp_path / "summary.json").write_text(printed.err, "utf-8")
    return tmp_path, [json.loads(line) for line in printed.out.splitlines()]


def entries(home: Path) -> dict[str, Any]:
    with sqlite3.connect(home / "deckcall.db") as db:
        rows = db.execute("SELECT at, body FROM records WHERE kind = 'entry'").fetchall()
    return {f"{at[11:16]} {json.loads(body)['call']['act']}": json.loads(body) for at, body in rows}


def test_the_record_is_what_its_maker_makes() -> None:
    assert FILE.read_bytes() == record().encode("ascii")


def test_entries_carry_where_the_boat_was_and_what_it_measured(
    played: tuple[Path, Sequence[Mapping[str, Any]]],
) -> None:
    home, _ = played
    truth = {now.at.strftime("%H:%M"): now for second, now in moments() if second % 60 == 0}
    found = entries(home)

    for when in ("17:18 strike", "17:55 mark", "17:32 strike", "18:01 lines_out"):
        body, now = found[when], truth[when[:5]]
        away_m = leg((body["latitude"], body["longitude"]), now.place).distance_nm * METRES_A_NM
        assert away_m < 15
        assert body["stamp"]["place_from"] == "instruments"
        assert body["stamp"]["water_c"] == pytest.approx(now.water_c, abs=0.2)
        assert body["stamp"]["sog_kn"] == pytest.approx(now.sog_kn, abs=0.5)
        assert body["stamp"]["stw_kn"] == pytest.approx(now.stw_kn, abs=0.5)
        assert body["stamp"]["heading_deg"] == pytest.approx(now.heading_deg, abs=4)
        assert body["stamp"]["depth_m"] == pytest.approx(now.depth_m, abs=4)


def test_without_satellites_there_is_no_place_and_in_silence_nothing(
    played: tuple[Path, Sequence[Mapping[str, Any]]],
) -> None:
    found = entries(played[0])

    assert "latitude" not in found["17:26 sighting"]
    assert "sog_kn" not in found["17:26 sighting"]["stamp"]
    assert found["17:26 sighting"]["stamp"]["water_c"] == pytest.approx(21.6, abs=0.3)
    assert "latitude" not in found["17:46 boat"]
    assert "stamp" not in found["17:46 boat"]


def test_the_thermometer_is_overruled_and_says_so_once(
    played: tuple[Path, Sequence[Mapping[str, Any]]],
) -> None:
    _, replies = played
    water = [reply["text"] for reply in replies if reply.get("text", "").startswith("Water")]

    assert water[0] == "Water: 24.2 °C.\nThe thermometer reads 22.3 °C; your call stands."
    assert water[1] == "Water: 24.3 °C."


def test_the_sun_is_asked_for_where_the_boat_is(
    played: tuple[Path, Sequence[Mapping[str, Any]]],
) -> None:
    # By NOAA's formulas as astral has them (checked in tests/sky); the boat's settings name no place.
    sun = next(r["text"] for r in played[1] if "unset" in r.get("text", ""))

    assert "sunset 20:2" in sun
    assert "Moon" in sun


def test_a_reply_a_line_is_printed_and_nothing_else(
    played: tuple[Path, Sequence[Mapping[str, Any]]],
) -> None:
    calls = (FOLDER / "morning.jsonl").read_text("utf-8").splitlines()

    assert [reply["heard"] for reply in played[1]] == [json.loads(call)["text"] for call in calls]


def test_the_summary_counts_what_was_used_and_what_was_dropped(
    played: tuple[Path, Sequence[Mapping[str, Any]]],
) -> None:
    summary = json.loads((played[0] / "summary.json").read_text("utf-8"))["nmea"]
    sent = record().count("\r\n")
    way_nm = sum(seconds / 3600 * 7.6 for seconds, _, _ in LEGS)

    assert summary["used"] + sum(summary["dropped"].values()) == sent
    assert 0.01 < summary["dropped"]["no checksum"] / sent < 0.03
    assert summary["dropped"]["wrong checksum"] > 0
    assert summary["distance_nm"] == pytest.approx(way_nm, rel=0.1)


def test_track_and_light_go_out_with_the_trip(
    played: tuple[Path, Sequence[Mapping[str, Any]]], capsys: pytest.CaptureFixture[str]
) -> None:
    home = str(played[0])
    assert main(["export", "--format", "gpx", "--home", home]) == 0
    track = gpxpy.parse(capsys.readouterr().out).tracks[0]
    assert main(["export", "--format", "geojson", "--home", home]) == 0
    features = json.loads(capsys.readouterr().out)["features"]

    points = [point for segment in track.segments for point in segment.points]
    assert len(points) > 90
    assert track.length_2d() / METRES_A_NM == pytest.approx(7.6, abs=0.8)
    line = next(f for f in features if f["geometry"]["type"] == "LineString")
    assert len(line["geometry"]["coordinates"]) == len(points)
    light = {f["properties"]["at"][11:16]: f["properties"]["light"] for f in features if "id" in f}
    assert light["17:03"] == "dark"  # civil dawn is at 06:20, sunrise at 06:48
    assert light["17:31"] == "dawn"
    assert light["18:01"] == "low sun"


def test_the_report_has_the_track_only_where_places_are_asked_for(
    played: tuple[Path, Sequence[Mapping[str, Any]]], capsys: pytest.CaptureFixture[str]
) -> None:
    home = str(played[0])
    assert main(["report", "--json", "--home", home]) == 0
    without = json.loads(capsys.readouterr().out)
    assert main(["report", "--json", "--positions", "--home", home]) == 0
    with_ = json.loads(capsys.readouterr().out)
    assert main(["report", "--format", "md", "--positions", "--home", home]) == 0
    text = capsys.readouterr().out

    assert (without["track"], without["distance_nm"]) == ([], None)
    assert with_["distance_nm"] == pytest.approx(7.6, abs=0.8)
    assert with_["day"]["water_c"] == {"low": 21.4, "high": 24.3}
    assert "Along the track of the instruments" in text
    assert "dawn" in text


def test_a_record_alone_leaves_the_track(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["replay", "--nmea", str(FILE), "--home", str(tmp_path)]) == 0

    (summary,) = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    with sqlite3.connect(tmp_path / "deckcall.db") as db:
        assert db.execute("SELECT count(*) FROM track").fetchone() == (
            summary["nmea"]["track_points"],
        )


def test_what_is_no_record_is_told_in_a_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "notes.txt"
    file.write_text("dear diary\n")

    assert main(["replay", "--nmea", str(file), "--home", str(tmp_path)]) == 1
    assert "no sentence with a right checksum says the date" in capsys.readouterr().err
    with pytest.raises(SystemExit) as ended:
        main(["replay", "--home", str(tmp_path)])
    assert ended.value.code == 2
    assert "name a file of calls" in capsys.readouterr().err
