"""The core knows no transport: what it has to know of one stands in the message."""

import ast
from pathlib import Path
from typing import get_args

import pytest

from bot import Desk
from bot.desk.fleet import open_desks
from bot.messages import Message, Source
from bot.replies.refusals import explain_no_call
from bot.settings import Settings
from bot.settings.values import TelegramSettings
from tests.desk_rig import at, call, doubtful, rows, scripted, tone

ROOT = Path(__file__).parents[1] / "bot"
CORE = ("answers", "advice", "calls", "desk", "logbook", "reminders", "replies", "spread", "trip")
TRANSPORTS = frozenset(get_args(Source)) - {"console"}
"""A desk that nobody gave a source is at the console: that one name it may know."""


@pytest.mark.parametrize("package", CORE)
def test_the_core_names_no_transport(package: str) -> None:
    named = [
        (path.name, node.value)
        for path in (ROOT / package).rglob("*.py")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Constant) and node.value in TRANSPORTS
    ]

    assert named == []


def test_a_picture_goes_to_whom_can_see_one(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, "06:00 set long rigger purple 8", "06:01 lines in")
        asked = Message("Ana", at("06:10"), "web", text="what's out")
        blind = desk.answer(asked)
        seeing = desk.answer(Message("Ana", at("06:10"), "web", text="what's out", draws=True))

    assert blind.pictures == ()
    assert [one.data[:4] for one in seeing.pictures] == [b"\x89PNG"]


def test_whom_a_microphone_overheard_is_not_talked_back_to(tmp_path: Path) -> None:
    unclear = doubtful("gurgle burgle", 0.2)
    with scripted(tmp_path, unclear, unclear) as desk:
        waiting = desk.answer(Message("Ana", at("06:00"), "web", sound=tone()))
        overheard = desk.answer(
            Message("Ana", at("06:01"), "microphone", sound=tone(), overheard=True)
        )

    assert overheard.text == ""
    assert waiting.text == explain_no_call(waiting.heard)


def test_a_message_is_answered_on_its_own_boat_and_on_no_folder_that_it_makes_up(
    tmp_path: Path,
) -> None:
    own, other = tmp_path / "own", tmp_path / "other"
    found = Settings(own, telegram=TelegramSettings(boats={-1: other}))
    with open_desks(found, lambda settings: Desk(settings=settings)) as fleet:
        for boat in ("", str(other), str(tmp_path / "elsewhere")):
            fleet.answer(Message("Ana", at("06:00"), "telegram", text="note: ice", boat=boat))
        board = fleet.board(str(other))

    assert board is not None
    assert not (tmp_path / "elsewhere").exists()
    assert [len(rows(home)) for home in (own, other)] == [3, 2]  # the trip begins with the first
