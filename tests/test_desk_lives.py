"""The life of a fish as crews call it: it counts once, and where nothing decides the crew is asked.

What is right stands beside each talk; common practice, no source.
"""

import json
from datetime import timedelta
from pathlib import Path

import pytest

from bot import Desk
from bot.cli import main
from bot.messages import Reply
from tests.desk_rig import DAY, LINES, rows

FISH = (
    "raise",
    "strike",
    "hookup",
    "leader",
    "miss",
    "pulled_hook",
    "break_off",
    "boat",
    "release",
)


def told(home: Path, *lines: str) -> list[Reply]:
    """Return lines such as `10 Ana: wired him`, minutes after half an hour of fishing."""
    replies = []
    with Desk(home) as desk:
        for number, text in enumerate(LINES):
            desk.say(text, crew="Skipper", at=DAY + timedelta(seconds=10 * number))
        for line in lines:
            who, text = line.split(": ", 1)
            minute, crew = who.split()
            at = DAY + timedelta(minutes=31 + float(minute))
            replies.append(desk.say(text, crew=crew, at=at))
    return replies


def acts(home: Path) -> list[str]:
    found = rows(home, "SELECT act, position FROM entries WHERE NOT void ORDER BY at, id")
    return [f"{r['act']} {r['position'] or '-'}" for r in found if r["act"] in FISH]


def totals(home: Path, capsys: pytest.CaptureFixture[str]) -> tuple[int, int, int]:
    assert main(["tally", "--json", "--home", str(home)]) == 0
    total = json.loads(capsys.readouterr().out)["total"]
    return total["strikes"], total["hookups"], total["caught"]


@pytest.mark.parametrize(
    ("lines", "want", "counts"),
    [
        (
            ["0 A: hooked up long rigger", "9 B: wired him", "10 A: tagged him", "12 A: released him"],
            ["hookup long rigger", "leader long rigger", "release long rigger"],
            (1, 1, 1),
        ),
        (
            ["0 A: hooked up long rigger", "9 B: gaffed it", "11 A: boated it, 20 kg"],
            ["hookup long rigger", "boat long rigger"],
            (1, 1, 1),
        ),
        (
            ["0 A: hooked up long rigger", "9 B: wired him", "10 A: broke off at the boat"],
            ["hookup long rigger", "leader long rigger", "break_off long rigger"],
            (1, 1, 0),
        ),
        (
            ["0 A: strike shotgun", "1 A: missed it", "2 A: no hookup", "3 A: fish on"],
            ["strike shotgun", "miss shotgun", "hookup shotgun"],
            (2, 1, 0),
        ),
        (
            ["0 A: triple hook up", "3 A: boated a skipjack", "8 B: two skipjack in the boat"],
            ["hookup -", "boat -", "boat -"],
            (3, 3, 3),
        ),
        (
            ["0 A: hooked up shotgun", "4 A: landed a mahi", "5 B: we let it go"],
            ["hookup shotgun", "release shotgun"],
            (1, 1, 1),
        ),
    ],
)  # fmt: skip
def test_a_fish_is_one_thing_in_the_log(
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    lines: list[str],
    want: list[str],
    counts: tuple[int, int, int],
) -> None:
    told(tmp_path, *lines)

    assert acts(tmp_path) == want
    assert totals(tmp_path, capsys) == counts


def test_a_weight_said_after_the_trip_is_that_of_the_fish(tmp_path: Path) -> None:
    told(
        tmp_path, "0 A: hooked up long rigger", "9 B: boated a wahoo", "60 A: lines out",
        "61 A: trip over", "120 A: boated the wahoo, 21 kilos",
    )  # fmt: skip

    (wahoo,) = rows(tmp_path, "SELECT * FROM entries WHERE NOT void AND act = 'boat'")
    assert (wahoo["weight_kg"], wahoo["position"]) == (21, "long rigger")
    assert len({row["trip"] for row in rows(tmp_path)}) == 1


def test_of_two_fish_on_the_one_that_is_meant_is_asked_with_buttons_that_name_them(
    tmp_path: Path,
) -> None:
    said = ("0 A: hooked up short rigger", "1 B: hooked up shotgun", "6 B: he came off")
    asked = told(tmp_path, *said)[-1]

    assert asked.ask == "Which fish: the short rigger or the shotgun?"
    assert [button.label for button in asked.buttons] == ["Short rigger", "Shotgun", "No"]
    assert "pulled_hook" not in " ".join(acts(tmp_path))


@pytest.mark.parametrize("answer", ["shotgun", "second", "the second one"])
def test_the_answer_may_be_the_name_of_the_line_or_the_button(tmp_path: Path, answer: str) -> None:
    told(
        tmp_path, "0 A: hooked up short rigger", "1 B: hooked up shotgun", "6 B: he came off",
        f"7 A: {answer}",
    )  # fmt: skip

    assert "pulled_hook shotgun" in acts(tmp_path)
    assert "pulled_hook short rigger" not in acts(tmp_path)


def test_the_fish_at_the_leader_is_the_one_let_go(tmp_path: Path) -> None:
    told(
        tmp_path, "0 A: hooked up short rigger", "1 B: hooked up shotgun",
        "6 B: leadered the one on the shotgun", "7 B: released",
    )  # fmt: skip

    assert acts(tmp_path)[-1] == "release shotgun"


@pytest.mark.parametrize(
    ("answer", "want", "counts"),
    [
        (
            "first",
            ["hookup short rigger", "pulled_hook short rigger", "hookup short rigger"],
            (2, 2, 0),
        ),
        ("second", ["hookup short rigger"], (1, 1, 0)),
    ],
)
def test_a_fish_that_was_lost_can_come_back(
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    answer: str,
    want: list[str],
    counts: tuple[int, int, int],
) -> None:
    replies = told(
        tmp_path, "0 A: hooked up short rigger", "5 B: pulled the hook", "6 B: hooked up short rigger",
        f"6 B: {answer}",
    )  # fmt: skip

    assert [b.label for b in replies[2].buttons] == ["Another fish", "The same", "No"]
    assert acts(tmp_path) == want
    assert totals(tmp_path, capsys) == counts
