"""Who was on the rod stands with the hook-up and the end of a fish, so that tally and log agree.

What is right stands beside each talk; common practice, no source.
"""

import json
from collections import Counter
from datetime import timedelta
from pathlib import Path

import pytest

from bot import Desk
from bot.cli import main
from tests.desk_rig import DAY, LINES, rows

ROTATION = (
    "1 Ana: Tom's up first", "2 Ana: strike long rigger", "3 Ana: on", "8 Ana: boated mahi",
    "10 Ana: Mia's up", "12 Ana: strike shotgun", "13 Ben: on", "18 Ben: boated mahi",
    "19 Ana: next up is Ben", "20 Ana: hooked up short corner", "28 Tom: released sailfish",
    "33 Ben: hooked up long corner", "40 Ben: pulled the hook",
)  # fmt: skip


def told(home: Path, *lines: str) -> list[str]:
    with Desk(home) as desk:
        for number, text in enumerate(LINES):
            desk.say(text, crew="Ana", at=DAY + timedelta(seconds=10 * number))
        said = []
        for line in lines:
            who, text = line.split(": ", 1)
            minute, crew = who.split()
            at = DAY + timedelta(minutes=31 + float(minute))
            said.append(desk.say(text, crew=crew, at=at).text)
    return said


def anglers(home: Path, *acts: str) -> list[str | None]:
    marks = ", ".join(f"'{act}'" for act in acts)
    sql = f"SELECT angler FROM entries WHERE NOT void AND act IN ({marks}) ORDER BY at, id"
    return [row["angler"] or None for row in rows(home, sql)]


def test_a_rotation_stands_in_the_log_as_in_the_tally(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    told(tmp_path, *ROTATION)

    assert anglers(tmp_path, "hookup") == ["Tom", "Mia", "Ben", None]
    assert anglers(tmp_path, "boat", "release", "pulled_hook") == ["Tom", "Mia", "Ben", None]
    assert main(["tally", "--by", "angler", "--json", "--home", str(tmp_path)]) == 0
    tally = {row["key"]: row["caught"] for row in json.loads(capsys.readouterr().out)["rows"]}
    logged = Counter(name for name in anglers(tmp_path, "boat", "release") if name)
    assert {name: n for name, n in tally.items() if n} == dict(logged)


def test_the_export_has_the_angler_of_the_log(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    told(tmp_path, *ROTATION)

    assert main(["export", "--format", "jsonl", "--home", str(tmp_path)]) == 0
    found = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    ends = [one for one in found if one.get("act") in ("boat", "release") and not one.get("void")]
    assert [one.get("angler") for one in ends] == ["Tom", "Mia", "Ben"]


def test_a_rod_that_is_handed_over_ends_with_the_second(tmp_path: Path) -> None:
    lines = (
        "0 Ana: hooked up short corner, Tom's rod",
        "10 Ana: Mia's taken over",
        "25 Ana: boated it",
    )

    said = told(tmp_path, *lines)

    assert anglers(tmp_path, "hookup", "boat") == ["Tom", "Mia"]
    assert said[-1].startswith("Boated, short corner, Mia.")


def test_who_was_said_wrong_is_put_right_in_the_end_too(tmp_path: Path) -> None:
    lines = (
        "0 Ana: hooked up short corner",
        "1 Ana: Tom's on the rod",
        "2 Ben: no, Mia's on the rod",
    )

    told(tmp_path, *lines, "25 Ana: boated it")

    assert anglers(tmp_path, "boat") == ["Mia"]


def test_whose_fish_it_was_is_put_right_after_it(tmp_path: Path) -> None:
    lines = ("0 Ana: Tom's up next", "1 Ana: hooked up short corner", "25 Ana: boated it")

    told(tmp_path, *lines, "26 Ana: that was Mia's fish")

    assert anglers(tmp_path, "boat") == ["Mia"]


def test_the_next_rod_is_taken_once(tmp_path: Path) -> None:
    lines = (
        "0 Ana: Tom's up next", "1 Ana: hooked up short corner, Tom's on it", "9 Ana: boated it",
        "20 Ana: hooked up shotgun", "29 Ana: boated it",
    )  # fmt: skip

    told(tmp_path, *lines)

    assert anglers(tmp_path, "hookup") == ["Tom", None]


def test_of_two_fish_each_keeps_its_own(tmp_path: Path) -> None:
    lines = (
        "0 Ana: hooked up short corner", "1 Ana: hooked up shotgun", "2 Ben: Tom's on the shotgun",
        "3 Ben: Mia's on the short corner", "9 Ana: boated the shotgun fish", "12 Ana: released the other",
    )  # fmt: skip

    told(tmp_path, *lines)

    assert anglers(tmp_path, "boat", "release") == ["Tom", "Mia"]


@pytest.mark.parametrize(
    "asked", ["who caught", "who caught them", "who caught what", "who's caught fish"]
)
def test_who_caught_is_the_anglers_and_not_the_caller(tmp_path: Path, asked: str) -> None:
    *_, found = told(tmp_path, *ROTATION, f"41 Ana: {asked}")

    assert [name in found for name in ("Tom", "Mia", "Ben", "Ana")] == [True, True, True, False]


def test_anything_on_is_answered(tmp_path: Path) -> None:
    said = told(tmp_path, "0 Ana: anything on", "1 Ana: fish on shotgun", "2 Ana: anything on")

    assert said[0].startswith("No: no fish is on")
    assert said[2].startswith("Yes: A fish, shotgun")


@pytest.mark.parametrize(
    "lines",
    [
        ("0 Ana: Tom's up, Mia's next", "1 Ana: hooked up short corner"),
        ("0 Ana: hooked up short corner", "1 Ana: Tom's got it, Mia's next"),
    ],
)
def test_of_a_rotation_in_one_breath_the_first_has_the_rod(
    tmp_path: Path, lines: tuple[str, ...]
) -> None:
    told(tmp_path, *lines, "9 Ana: boated it")

    assert anglers(tmp_path, "boat") == ["Tom"]
    assert anglers(tmp_path, "angler") == ["Tom"]
