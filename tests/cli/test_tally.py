"""`deckcall tally`, its options and its pictures, called in this process."""

import json
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from bot import Desk
from bot.cli import main

NOW = datetime(2026, 3, 14, 18, 0, tzinfo=UTC)
KEYS = {"key", "strikes", "hookups", "caught", "hours", "rate_per_10h", "low", "high"}
"""Of a row, as the contract says (section 2, answers for programs)."""
CALLS = (
    (0, "lines in"), (0, "set long rigger purple 8"), (0, "set short rigger black 12"),
    (60, "strike long rigger"), (61, "missed him"), (90, "strike short rigger"),
    (90, "hooked up, wahoo"), (120, "boated the wahoo"), (240, "lines out"), (241, "trip over"),
)  # fmt: skip


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Make a log of two trips of the same calls."""
    home: Path = tmp_path_factory.mktemp("home")
    with Desk(home, clock=lambda: NOW) as desk:
        for back in (3, 1):
            for minute, text in CALLS:
                at = NOW - timedelta(days=back) + timedelta(minutes=minute)
                desk.say(text, crew="Ann" if minute < 90 else "Bo", at=at)
    return home


def answer(home: Path, capsys: pytest.CaptureFixture[str], *options: str) -> dict[str, Any]:
    assert main(["tally", "--home", str(home), "--json", *options]) == 0
    found: dict[str, Any] = json.loads(capsys.readouterr().out)
    return found


def test_the_answer_for_programs_has_the_keys_of_the_contract_and_no_others(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    found = answer(home, capsys, "--by", "colour")

    assert set(found) == {"by", "rows", "total"}
    assert all(set(row) == KEYS for row in (*found["rows"], found["total"]))
    assert [(row["key"], row["strikes"], row["hours"]) for row in found["rows"]] == [
        ("purple", 1, 4.0), ("black", 1, 3.5),
    ]  # fmt: skip


def test_all_trips_one_trip_and_the_last(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["trips", "--home", str(home), "--json"]) == 0
    trips = json.loads(capsys.readouterr().out)["trips"]

    everything = answer(home, capsys, "--trip", "all")["total"]
    one = answer(home, capsys, "--trip", trips[0]["trip"])["total"]

    assert [(t["strikes"], t["caught"], t["hours"], t["entries"]) for t in trips] == [
        (2, 1, 7.5, 11), (2, 1, 7.5, 11),
    ]  # fmt: skip
    assert (everything["strikes"], everything["hours"]) == (4, 15.0)
    assert one == answer(home, capsys)["total"]


def test_two_things_at_once_and_only_what_fits(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    both = answer(home, capsys, "--by", "colour", "--and", "position", "--trip", "all")
    narrow = answer(
        home, capsys, "--trip", "all", "--position", "long rigger", "--colour", "purple"
    )
    who = answer(home, capsys, "--trip", "all", "--who", "Bo")

    assert both["and"] == "position"
    assert {(row["key"], row["and"], row["strikes"]) for row in both["rows"]} == {
        ("purple", "long rigger", 2), ("black", "short rigger", 2),
    }  # fmt: skip
    assert (narrow["total"]["strikes"], narrow["total"]["hours"]) == (2, 8.0)
    assert (who["total"]["strikes"], who["total"]["caught"]) == (2, 2)


def test_conversion_adds_shares_with_their_intervals(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    # Wilson 95 % for 2 of 4: 0.1500 to 0.8500 (statsmodels proportion_confint, method="wilson")
    total = answer(home, capsys, "--trip", "all", "--conversion")["total"]

    assert total["hooked"] == {"count": 2, "of": 4, "share": 0.5, "low": 0.15, "high": 0.85}
    assert (total["landed"]["count"], total["landed"]["of"]) == (2, 2)


def test_a_table_for_people_has_a_line_for_every_row(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["tally", "--home", str(home), "--by", "hour", "--and", "position"]) == 0

    lines = capsys.readouterr().out.splitlines()
    assert lines[0].split()[:3] == ["hour", "position", "strikes"]
    assert lines[-1].startswith("total")


def test_a_picture_goes_to_its_file_and_none_is_made_of_nothing(
    home: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "tally.svg"

    assert main(["tally", "--home", str(home), "--picture", str(file), "--span", "all"]) == 0
    assert file.read_text(encoding="utf-8").startswith("<?xml")
    other = str(tmp_path / "other.svg")
    empty = ["tally", "--home", str(tmp_path / "new"), "--picture", other]
    assert main(empty) == 1
    assert "nothing was counted" in capsys.readouterr().err
    assert main(["next", "--home", str(home), "--picture", other]) == 1


def test_a_tally_by_month_light_water_and_place_and_only_in_some_of_them(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "deckcall.toml").write_text("[boat]\nlatitude = 0.0\nlongitude = 0.0\n")
    morning = datetime(2026, 10, 14, 5, 0, tzinfo=UTC)  # the sun rises at 05:43 there
    with Desk(tmp_path, clock=lambda: morning + timedelta(hours=9)) as desk:
        for minute, text in (
            (0, "lines in"), (0, "set long rigger purple 8"), (0, "water 24.2 degrees"),
            (30, "strike long rigger"), (31, "missed him"), (240, "lines out"), (241, "trip over"),
        ):  # fmt: skip
            desk.say(text, crew="Ann", at=morning + timedelta(minutes=minute))
    home = tmp_path

    months = answer(home, capsys, "--by", "month")
    light = answer(home, capsys, "--by", "light", "--month", "october")
    water = answer(home, capsys, "--by", "water", "--light", "dawn")
    none = answer(home, capsys, "--by", "place", "--month", "May")

    assert [(r["key"], r["strikes"], r["hours"]) for r in months["rows"]] == [("October", 1, 4.0)]
    assert [r["key"] for r in light["rows"]] == ["dark", "dawn", "low morning sun", "day"]
    assert [r["strikes"] for r in light["rows"]] == [0, 1, 0, 0]
    assert sum(r["hours"] for r in light["rows"]) == pytest.approx(4.0, abs=0.002)
    assert [(r["key"], r["strikes"]) for r in water["rows"]] == [("24 °C", 1)]
    assert none == {"by": "place", "rows": [], "total": none["total"]}
    assert none["total"]["hours"] == 0
    assert main(["tally", "--home", str(home), "--place", "over there"]) == 1
    assert "is no place" in capsys.readouterr().err


def test_compare_adds_how_every_row_stands(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    found = answer(home, capsys, "--by", "colour", "--span", "all", "--compare")
    keys = {"ratio", "ratio_low", "ratio_high", "better", "sure", "few"}

    assert all(set(row) == KEYS | keys for row in found["rows"])
    assert set(found["total"]) == KEYS
    assert all(row["ratio_low"] < 1 < row["ratio_high"] and row["few"] for row in found["rows"])
    assert all("no telling" in row["sure"] for row in found["rows"])

    assert main(["tally", "--home", str(home), "--by", "colour", "--span", "all", "--compare"]) == 0
    assert "no telling" in capsys.readouterr().out


def test_conversion_says_nothing_of_what_is_known_of_fish_on_alone(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    # a wahoo was called a wahoo once it was on: that all of them were hooked is no finding
    assert main(["tally", "--home", str(home), "--by", "species", "--conversion"]) == 0
    rows = [line.split() for line in capsys.readouterr().out.splitlines()]

    cells = {row[0]: row[7:] for row in rows}
    assert cells["wahoo"][-4:] == ["-", "1", "of", "1"]
    assert cells["total"][-6:] == ["1", "of", "2", "1", "of", "1"]


def test_conversion_with_a_picture_draws_what_was_hooked_and_landed(
    home: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    rates, shares = tmp_path / "rates.svg", tmp_path / "shares.svg"
    assert main(["tally", "--home", str(home), "--by", "position", "--picture", str(rates)]) == 0
    options = ["--by", "position", "--conversion", "--picture", str(shares)]
    assert main(["tally", "--home", str(home), *options]) == 0
    capsys.readouterr()

    assert shares.read_bytes().startswith(b"<?xml")
    assert shares.read_bytes() != rates.read_bytes()
