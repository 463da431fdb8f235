"""The report of several trips: the numbers of the tally, in every form; places only if asked for."""

import json
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from bot import Desk
from bot.cli import main
from bot.messages import Message
from tests.reports.shown import OVER, Html

BANK = (-35.05, 174.45)
FIRST = datetime(2025, 10, 4, 18, 0, tzinfo=UTC)


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Make a log of four trips; purple catches nearly all."""
    home: Path = tmp_path_factory.mktemp("home")
    settings = '[boat]\nname = "Driftwood"\ntimezone = "Pacific/Auckland"\n'
    (home / "deckcall.toml").write_text(settings, "utf-8")
    with Desk(home, clock=lambda: FIRST + timedelta(days=90)) as desk:
        for number in range(4):
            calls = [(0, "set long rigger purple 8"), (0, "set short rigger green 8"),
                     (0, "lines in"), (2, "mark the quiet bank")]  # fmt: skip
            for strike in range(8):
                where = "short rigger" if strike == 3 else "long rigger"
                calls += [(20 + 20 * strike, f"strike {where}"), (21 + 20 * strike, "missed him")]
            for place, (minute, text) in enumerate(
                [*calls, (200, "lines out"), (201, "trip over")]
            ):
                at = FIRST + timedelta(days=20 * number, minutes=minute)
                desk.answer(Message("Ann", at, "telegram", text, ref=f"{number}-{place}",
                                    latitude=BANK[0], longitude=BANK[1]))  # fmt: skip
    return home


def _made(home: Path, capsys: pytest.CaptureFixture[str], *args: str) -> str:
    assert main(["report", "--home", str(home), "--span", "all", *args]) == 0
    return capsys.readouterr().out


def test_the_numbers_are_those_of_the_tally(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    report: dict[str, Any] = json.loads(_made(home, capsys, "--json"))
    tables = {table["by"]: table["rows"] for table in report["tables"]}

    assert report["trips"] == 4
    assert set(tables) >= {"month", "light", "hour", "colour", "size", "position"}
    for by in ("month", "light", "colour"):
        args = ["tally", "--home", str(home), "--span", "all", "--by", by, "--json", "--compare"]
        assert main(args) == 0
        tally = json.loads(capsys.readouterr().out)
        for row, counted in zip(tables[by], tally["rows"], strict=True):
            assert row["counted"] == {k: counted[k] for k in row["counted"]}
            assert (row["stands"] or {}).get("ratio") == counted["ratio"]
            assert (row["stands"] or {}).get("better") == counted["better"]
        assert report["total"] == tally["total"]


def test_it_says_first_what_stands_out(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = _made(home, capsys)

    assert text.startswith("# Driftwood: what works\n\nAll trips\n")
    assert "4 trips, 27 lure-hours: 32 strikes" in text
    assert "Better than the rest: " in text
    assert "purple (9" in text
    assert "| green | 4 (few) |" in text


def test_places_stand_in_it_only_where_they_are_asked_for(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    without, with_them = _made(home, capsys), _made(home, capsys, "--positions")
    values = _made(home, capsys, "--json")

    for text in (without, values):
        assert "quiet bank" not in text
        assert "174." not in text
    assert "the quiet bank (" in with_them


def test_every_form_is_made_and_holds_no_place(home: Path) -> None:
    for name, start in (("a.pdf", b"%PDF-"), ("b.html", b"<!doctype"), ("c.md", b"# ")):
        out = home / name
        assert main(["report", "--home", str(home), "--span", "season", "--out", str(out)]) == 0
        assert out.read_bytes().startswith(start)
        assert b"quiet bank" not in out.read_bytes()


def test_the_tables_of_the_page_have_the_numbers_for_programs(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    report: dict[str, Any] = json.loads(_made(home, capsys, "--json"))
    out = home / "season.html"
    assert main(["report", "--home", str(home), "--span", "all", "--out", str(out), "--yes"]) == 0
    shown = Html(out.read_text("utf-8")).rows

    wanted = []
    for table in report["tables"]:
        for row in (one["counted"] for one in table["rows"]):
            name = f"{row['key']}-inch" if table["by"] == "size" else row["key"]
            few = " (few)" if row["strikes"] < 5 else ""
            rate = [f"{row['rate_per_10h']:.1f}", f"{row['low']:.1f} to {row['high']:.1f}"]
            wanted.append([name, f"{row['strikes']}{few}", f"{row['hours']:.1f}", *rate])
    assert [row[:5] for row in shown if row[1] != "strikes"] == wanted


def test_nothing_of_it_leaves_the_screen_of_a_phone(browser: Any, home: Path) -> None:
    out = home / "phone.html"
    assert main(["report", "--home", str(home), "--span", "all", "--out", str(out), "--yes"]) == 0
    page = browser.new_page(viewport={"width": 390, "height": 844})
    page.goto(out.as_uri())

    assert page.evaluate("document.documentElement.scrollWidth") == 390
    assert page.evaluate(OVER) == []
    page.close()


def test_a_trip_and_a_span_at_once_and_a_span_without_trips_are_refused(
    home: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["report", "2025", "--home", str(home), "--span", "all"]) == 1
    assert "leave one out" in capsys.readouterr().err
    assert main(["report", "--home", str(tmp_path), "--span", "last"]) == 1
    assert "no trip of that span" in capsys.readouterr().err
