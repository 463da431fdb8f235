"""The tackle box and the spread by command: how lures stand now, another plan, pictures in files."""

import json
import shutil
import subprocess
import time
from pathlib import Path
from xml.etree import ElementTree

import pytest

from tests.cli.run import run
from tests.cli.test_cli import ROOT


@pytest.fixture(scope="module")
def fished(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Make a home with a box and a spread in the water, one lure of it taken in again."""
    home = tmp_path_factory.mktemp("tackle")
    box = ROOT / "fixtures" / "boxes" / "large.csv"
    assert run(home, "box", "import", str(box)).returncode == 0
    said = "lines in\nset shotgun garden hose\nset long rigger bath plug\n"
    assert run(home, "chat", stdin=said).returncode == 0
    time.sleep(1.1)  # the log counts whole seconds: a lure in and out within one was never in
    assert run(home, "chat", stdin="clear the shotgun\n").returncode == 0
    return home


@pytest.fixture
def home(fished: Path, tmp_path: Path) -> Path:
    """Return that home, to be changed."""
    return shutil.copytree(fished, tmp_path / "home")


def stands(home: Path) -> dict[str, str]:
    listed = json.loads(run(home, "box", "list", "--json").stdout)["lures"]
    return {one["name"]: one["stands"] for one in listed}


def test_the_box_shows_and_exports_how_lures_stand_now(home: Path) -> None:
    # A lure is ready until it first goes in: common practice, no source.
    found = stands(home)
    out = run(home, "box", "export").stdout
    shown = run(home, "box", "show", "garden", "hose").stdout

    assert found["Garden Hose"] == "to check"
    assert found["Bath Plug"] == "in water"
    assert found["Deck Chair"] == "ready"
    (row,) = (line for line in out.splitlines() if line.startswith("Garden Hose,"))
    assert ",no," in row
    assert "stands: to check (" in shown


def test_an_export_that_is_imported_again_changes_nothing(home: Path) -> None:
    before = stands(home)
    file = home / "again.csv"

    run(home, "box", "export", "--out", str(file))
    run(home, "box", "import", str(file))

    assert stands(home) == before


def test_another_plan_has_three_other_lures_at_least(home: Path) -> None:
    first = json.loads(run(home, "plan", "--tackle", "heavy", "--json").stdout)
    other = json.loads(run(home, "plan", "--tackle", "heavy", "--another", "--json").stdout)

    lures = [{one["lure"] for one in plan["positions"]} for plan in (first, other)]
    assert len(lures[1] - lures[0]) >= 3


def test_a_plan_in_words_has_the_reason_of_every_choice(home: Path) -> None:
    lines = run(home, "plan", "--tackle", "heavy").stdout.splitlines()

    assert any(line.startswith("short corner: ") and "Largest of 5" in line for line in lines)
    assert any(line.startswith("shotgun: ") and "Smallest" in line for line in lines)
    assert any(line.startswith("Heavy: 37 kg: lures to 16 in") for line in lines)


@pytest.mark.parametrize("command", ["spread", "plan"])
def test_a_picture_is_left_in_a_file_as_its_name_says(home: Path, command: str) -> None:
    png, svg = home / "a.png", home / "a.svg"

    for file in (png, svg):
        done: subprocess.CompletedProcess[str] = run(home, command, "--picture", str(file))
        assert done.returncode == 0, done.stderr

    # PNG signature: W3C Portable Network Graphics, section 5.2; SVG namespace: W3C SVG 1.1.
    assert png.read_bytes()[:8] == b"\x89PNG\r\n\x1a\n"
    assert ElementTree.fromstring(svg.read_bytes()).tag == "{http://www.w3.org/2000/svg}svg"


def test_a_picture_that_cannot_be_drawn_is_said_in_one_line(tmp_path: Path) -> None:
    empty = run(tmp_path, "spread", "--picture", str(tmp_path / "a.png"))
    other = run(tmp_path, "spread", "--picture", str(tmp_path / "a.gif"))

    assert (empty.returncode, len(empty.stderr.splitlines())) == (1, 1)
    assert other.returncode == 2
    assert "must end in .png or .svg" in other.stderr


def test_a_name_that_means_something_else_is_imported_and_said(tmp_path: Path) -> None:
    box = tmp_path / "box.csv"
    box.write_text("name,size_in,colours\nUndo,8,pink\nTea Cosy,9,blue\n")

    done = run(tmp_path, "box", "import", str(box))
    looked = run(tmp_path, "doctor", "--json")

    checks = {c["name"]: c for c in json.loads(looked.stdout)["checks"]}
    assert done.returncode == 0
    assert done.stdout.startswith("2 added")
    assert done.stderr.startswith(
        'note: "undo" (name Undo) is the call "undo": give it another name'
    )
    assert len(done.stderr.splitlines()) == 1
    assert checks["words"]["state"] == "note"
    assert checks["words"]["text"] in done.stderr


def test_what_is_wrong_with_many_lines_is_said_once(tmp_path: Path) -> None:
    rows = "".join(f"Lure {number},7,plaid\n" for number in range(35))
    (tmp_path / "bad.csv").write_text(f"name,size_in,colours\n{rows}Mug,x,red\n", encoding="utf-8")

    done = run(tmp_path, "box", "import", str(tmp_path / "bad.csv"))

    assert done.returncode == 1
    assert done.stderr.count("\n") == 3
    assert "lines 2 to 36: colour 'plaid' is not known" in done.stderr
    assert "line 37: size_in 'x' is no number" in done.stderr
    assert "36 bad lines, nothing imported" in done.stderr


def test_a_lure_is_shown_by_its_nickname_and_a_slip_is_asked_about(tmp_path: Path) -> None:
    (tmp_path / "deckcall.toml").write_text('[words.nicknames]\n"Hat Box" = ["the lid"]\n')
    (tmp_path / "box.csv").write_text("name,size_in,colours\nHat Box,8,black over red\n")
    run(tmp_path, "box", "import", str(tmp_path / "box.csv"))

    named, slip = run(tmp_path, "box", "show", "lid"), run(tmp_path, "box", "show", "Hat Bix")

    assert "name: Hat Box" in named.stdout
    assert slip.stderr == 'deckcall: no lure "Hat Bix" in the box; did you mean "Hat Box"?\n'


def test_the_example_of_a_box_can_be_imported(tmp_path: Path) -> None:
    run(tmp_path, "box", "template", "--out", str(tmp_path / "lures.csv"))

    done = run(tmp_path, "box", "import", str(tmp_path / "lures.csv"))

    assert done.stdout == "5 added, 0 brought up to date, 5 in the box\n"
    assert "line 5: dark red is taken for red" in done.stderr


def test_a_lure_of_another_name_is_another_and_the_old_one_can_be_taken_out(tmp_path: Path) -> None:
    file = tmp_path / "lures.csv"
    file.write_text("name,size_in,colours\nHat Stand,8,pink\nTea Tray,10,black\nDoor Bell,6,blue\n")
    run(tmp_path, "box", "import", str(file))
    file.write_text(file.read_text().replace("Door Bell", "Bell Pull"))

    again = run(tmp_path, "box", "import", str(file))
    gone = run(tmp_path, "box", "remove", "door", "bell")
    twice = run(tmp_path, "box", "remove", "door", "bell")

    assert "still in the box: Door Bell; deckcall box remove NAME" in again.stderr
    assert gone.stdout.startswith("Door Bell is out of the box, 3 in it")
    assert set(stands(tmp_path)) == {"Hat Stand", "Tea Tray", "Bell Pull"}
    assert (twice.returncode, 'no lure "door bell" in the box' in twice.stderr) == (1, True)


def test_a_lure_is_shown_by_a_word_that_no_other_has(home: Path) -> None:
    rows = "name,size_in,colours\nTea Cosy,9,green\nMilk Churn,8,blue\nMilk Float,7,pink\n"
    (home / "more.csv").write_text(rows, encoding="utf-8")
    run(home, "box", "import", str(home / "more.csv"))
    assert "name: Tea Cosy" in run(home, "box", "show", "cosy").stdout
    both = run(home, "box", "show", "milk")
    assert both.returncode == 1
    assert 'no lure "milk"' in both.stderr
