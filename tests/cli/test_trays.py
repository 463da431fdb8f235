"""Trays by command: a plan kept as one, its card, the file of all."""

import json
from pathlib import Path

import pytest

from tests.cli.run import run
from tests.cli.test_cli import ROOT


@pytest.fixture
def home(tmp_path: Path) -> Path:
    box = ROOT / "fixtures" / "boxes" / "large.csv"
    assert run(tmp_path, "box", "import", str(box)).returncode == 0
    return tmp_path


def test_a_plan_is_kept_as_a_tray_shown_written_read_and_given_up(home: Path) -> None:
    planned = run(home, "plan", "--tackle", "heavy", "--tray", "Heavy", "--json")
    listed = json.loads(run(home, "tray", "list", "--json").stdout)["trays"]
    card = run(home, "tray", "card", "heavy", "--out", str(home / "card.pdf"))
    file = home / "trays.csv"
    assert run(home, "tray", "export", "--out", str(file)).returncode == 0
    dropped = run(home, "tray", "drop", "heavy")
    empty = json.loads(run(home, "tray", "list", "--json").stdout)["trays"]
    assert run(home, "tray", "import", str(file)).returncode == 0
    again = json.loads(run(home, "tray", "list", "--json").stdout)["trays"]

    places = {one["position"]: one["lure"] for one in json.loads(planned.stdout)["positions"]}
    laid = {one["position"]: one["lure"] for one in listed[0]["lures"] if not one["spare"]}
    assert (listed[0]["tray"], listed[0]["tackle"], laid) == ("heavy", "heavy", places)
    assert card.returncode == 0
    assert (home / "card.pdf").read_bytes().startswith(b"%PDF-")
    assert (dropped.returncode, empty) == (0, [])
    assert [one["lure"] for one in again[0]["lures"]] == [one["lure"] for one in listed[0]["lures"]]


def test_what_is_wrong_is_told_in_one_line(home: Path) -> None:
    bad = home / "bad.csv"
    bad.write_text("tray,lure\nslow,Nobody's Lure\n", encoding="utf-8")

    for said, told in (
        (("tray", "show", "nine"), 'there is no tray "nine"'),
        (("tray", "import", str(bad)), "1 bad line, nothing imported"),
        (("plan", "--tray", ""), "a tray needs a name"),
    ):
        found = run(home, *said)
        assert found.returncode == 1, said
        assert told in found.stderr
        assert "Traceback" not in found.stderr
