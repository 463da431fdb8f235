"""Setup in the units and with the places that people know; the sixth day, common practice, no source."""

import json
from pathlib import Path

import pytest

from bot.cli.coordinates import coordinates
from bot.settings import load
from bot.settings.regions import parts_of_region, zone_of_region
from tests.cli.run import run


@pytest.mark.parametrize(
    "said",
    [
        "35.77833 -75.53",
        "35.77833, -75.53",
        "35.77833N 75.53W",
        "35.77833 north, 75.53 west",
        "75.53W 35.77833N",
        "35 46.7 N, 75 31.8 W",
        "35°46.7'N 75°31.8'W",
        "N35 46.7 W75 31.8",
        "35-46.7N 075-31.8W",
        "35° 46′ 42″ N 75° 31′ 48″ W",
        "35 46 42 n 75 31 48 w",
        "lat 35.77833 lon -75.53",
    ],
)
def test_a_place_is_read_as_people_write_it(said: str) -> None:
    assert coordinates(said) == pytest.approx((35.77833, -75.53), abs=1e-5)


@pytest.mark.parametrize(
    "said",
    ["Oregon Inlet", "35", "95 10", "35.7 75.5 12", "n 35 n 75", "35 75 w n", "35 61 N 75 W"],
)
def test_what_is_no_place_is_none(said: str) -> None:
    assert coordinates(said) is None


def test_a_state_that_lies_in_one_time_zone_is_one() -> None:
    assert zone_of_region("north carolina") == zone_of_region("N.C.") == "America/New_York"
    assert zone_of_region("New South Wales") == "Australia/Sydney"
    assert zone_of_region("nowhere") is None
    assert zone_of_region("florida") is None
    assert parts_of_region("Florida") == ("New York", "Chicago")


def test_the_setup_says_what_to_type_for_a_state_and_a_place(tmp_path: Path) -> None:
    done = run(
        tmp_path,
        "setup",
        stdin="Blue Heron\nflorida\nnorth carolina\n\nOregon Inlet\n35 46.7 N 75 31.8 W\nquit\n",
    )

    found = load({}, {"home": tmp_path}).boat
    assert "type New York or Chicago" in done.stderr
    assert "no name of a place: e.g. 35 46.7 N 75 31.8 W" in done.stderr
    assert found.timezone == "America/New_York"
    assert found.place == pytest.approx((35.77833, -75.53))


def test_a_longitude_on_the_other_side_of_the_world_is_asked_for_twice(tmp_path: Path) -> None:
    lines = "Blue Heron\nnorth carolina\n\n35.78 75.53\n"
    once = run(tmp_path, "setup", stdin=f"{lines}35.78 -75.53\nquit\n")
    assert "is it 35.78 -75.53?" in once.stderr
    assert load({}, {"home": tmp_path}).boat.place == (35.78, -75.53)

    run(tmp_path, "setup", stdin="\n\n\n35.78 75.53\n35.78 75.53\nquit\n")
    assert load({}, {"home": tmp_path}).boat.place == (35.78, 75.53)


@pytest.mark.parametrize(
    ("said", "kg", "told"),
    [
        # IGFA line classes: 20 lb = 10 kg, 30 = 15, 50 = 24, 80 = 37, 130 = 60
        ("80", 37, "Taken as 80 lb, the 37 kg class."),
        ("50", 24, "Taken as 50 lb"),
        ("130", 60, "Taken as 130 lb"),
        ("20", 10, "Taken as 20 lb"),
        ("80 kg", 80, ""),
        ("37", 37, ""),
        ("24", 24, ""),
        ("10", 10, ""),
    ],
)
def test_a_class_in_pounds_alone_is_taken_as_pounds_and_said_back(
    tmp_path: Path, said: str, kg: float, told: str
) -> None:
    done = run(tmp_path, "setup", stdin=f"\n\n\n\nAna\n{said}\n")

    assert [o.line_class_kg for o in load({}, {"home": tmp_path}).outfits] == [kg]
    assert told in done.stderr
    assert ("Taken as" in done.stderr) == bool(told)


def test_the_doctor_names_a_drag_outside_the_usual_share(tmp_path: Path) -> None:
    rods = (
        '[boat]\ntimezone = "America/New_York"\n'
        '[[outfit]]\nposition = "short corner"\nline_class_kg = 80\nstrike_drag_kg = 36.3\n'
        '[[outfit]]\nposition = "shotgun"\nline_class_kg = 37\nstrike_drag_kg = 11\n'
        '[[outfit]]\nposition = "long rigger"\nline_class_kg = 24\n'
    )
    (tmp_path / "deckcall.toml").write_text(rods, encoding="utf-8")

    [boat] = [
        c
        for c in json.loads(run(tmp_path, "doctor", "--json").stdout)["checks"]
        if c["name"] == "boat"
    ]

    assert boat["state"] == "note"
    assert "short corner: strike drag 36.3 kg is 45 % of its 80 kg line" in boat["text"]
    assert "shotgun" not in boat["text"]
    assert "long rigger" not in boat["text"]
