"""`deckcall report`: from a log on disk to a file or standard output."""

import json
from pathlib import Path

import pytest

from bot import Desk
from bot.cli import main
from tests.builders import at


@pytest.fixture
def home(tmp_path: Path) -> Path:
    with Desk(tmp_path) as desk:
        for clock, said in (
            ("06:00", "purple eight on the short corner, lines in"),
            ("07:00", "strike short corner"),
            ("07:01", "hooked up"),
            ("07:20", "boated a wahoo, forty pounds"),
            ("12:00", "lines out"),
            ("12:30", "trip over"),
        ):
            desk.say(said, crew="Ann", at=at(clock))
    return tmp_path


def _run(home: Path, *args: str) -> int:
    return main([*args, "--home", str(home)])


def test_the_latest_trip_goes_to_standard_output(
    home: Path, capsysbinary: pytest.CaptureFixture[bytes]
) -> None:
    assert _run(home, "report") == 0
    assert capsysbinary.readouterr().out.startswith(b"# Saturday 14 March 2026")
    assert _run(home, "report", "--format", "html") == 0
    assert capsysbinary.readouterr().out.startswith(b"<!doctype html>")
    assert _run(home, "report", "--format", "pdf") == 0
    assert capsysbinary.readouterr().out.startswith(b"%PDF-")


def test_a_file_gets_the_form_of_its_name_unless_another_is_asked_for(home: Path) -> None:
    for name, args, start in (
        ("a.pdf", (), b"%PDF-"), ("b.html", (), b"<!doctype"), ("c.pdf", ("--format", "md"), b"# "),
    ):  # fmt: skip
        out = home / name

        assert _run(home, "report", "--out", str(out), *args) == 0
        assert out.read_bytes().startswith(start)


def test_the_numbers_are_those_of_the_tally(
    home: Path, capsysbinary: pytest.CaptureFixture[bytes]
) -> None:
    _run(home, "report", "--json")
    report = json.loads(capsysbinary.readouterr().out)
    _run(home, "tally", "--by", "colour", "--json")
    tally = json.loads(capsysbinary.readouterr().out)

    by = {one["by"]: one["rows"] for one in report["tallies"]}
    assert by["colour"] == tally["rows"]
    assert report["total"] == tally["total"]
    assert report["total"]["strikes"] == report["total"]["caught"] == 1


def test_a_trip_is_named_whole_or_by_a_part_of_its_name(
    home: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert _run(home, "report", "2026-03-14") == 0
    assert _run(home, "report", "--trip", "2026-03-14") == 0
    assert _run(home, "export", "--trip", "2026-03-14") == 0
    assert _run(home, "report", "1999") == 1
    assert 'no trip "1999" in the log' in capsys.readouterr().err


def test_a_log_without_a_trip_is_explained(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert _run(tmp_path, "report") == 1
    assert "the log holds no trip yet" in capsys.readouterr().err
