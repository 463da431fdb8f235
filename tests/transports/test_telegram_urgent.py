"""What may not wait: the answer to an emergency, and the last edit of the board."""

import asyncio
import sqlite3
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any, cast
from zoneinfo import ZoneInfo

from telegram import Bot

from bot.messages import Reply
from bot.transports.telegram.board import END_LINE, OVERDUE_S, Boards, BoardView
from bot.transports.telegram.commits import Commits
from bot.transports.telegram.notices import sends_of
from bot.transports.telegram.pace import Pace
from bot.transports.telegram.send import Sender
from bot.transports.telegram.store import OutboxRow, Send, Store
from tests.transports.bot_api import BotApi, Fault
from tests.transports.conftest import GROUP, BotProcess

AT = datetime(2026, 3, 1, 9, 0, tzinfo=UTC)
EMERGENCY = Reply("Radio first", calls=({"act": "emergency"},), logged=("1",))


@dataclass
class _Number:
    message_id: int


@dataclass
class _Api:
    """Notes what is sent and edited."""

    said: list[str] = field(default_factory=list)

    async def send_message(self, _chat: int, text: str, **_: object) -> _Number:
        self.said.append(text)
        return _Number(len(self.said))

    async def edit_message_text(self, text: str, _chat: int, message: int) -> None:
        self.said.append(f"{message}: {text}")

    async def pin_chat_message(self, *_: object, **__: object) -> None:
        pass


@dataclass
class _Clock:
    now_s: float = 0.0

    def __call__(self) -> float:
        return self.now_s


def _with_commits(path: Path, do: Callable[[Commits], Any]) -> None:
    async def run() -> None:
        commits = Commits(path)
        await commits.open()
        try:
            await do(commits)
        finally:
            await commits.close()

    asyncio.run(run())


def test_an_emergency_is_answered_before_what_waits_and_past_the_pace(tmp_path: Path) -> None:
    api, clock, pace = _Api(), _Clock(), Pace()
    for _ in range(20):  # nothing else may go for a minute
        pace.spend(GROUP, 0.0)

    async def run(commits: Commits) -> None:
        bot = cast(Bot, api)
        first = Sender(bot, commits, lambda _chat: ZoneInfo("UTC"), lambda: AT, clock, pace)
        sender = Sender(
            bot, commits, lambda _chat: ZoneInfo("UTC"), lambda: AT, clock, pace, first=first
        )
        made = [Send(GROUP, "strike", AT), *sends_of(EMERGENCY, GROUP, 7, AT, "reaction")]
        sender.put(await commits.do(lambda store: store.put(made)))
        held_s = await sender.step()
        assert api.said == []
        assert await first.step() is None
        assert api.said == ["Radio first"]
        assert held_s is not None
        clock.now_s = 60.0
        assert await sender.step() is None
        assert api.said == ["Radio first", "strike"]

    _with_commits(tmp_path / "telegram.db", run)


def test_after_a_refusal_by_telegram_the_emergency_still_goes_first(tmp_path: Path) -> None:
    api, clock, pace = _Api(), _Clock(), Pace()
    pace.pause(GROUP, 5.0, 0.0)

    async def run(commits: Commits) -> None:
        bot = cast(Bot, api)
        first = Sender(bot, commits, lambda _chat: ZoneInfo("UTC"), lambda: AT, clock, pace)
        sender = Sender(
            bot, commits, lambda _chat: ZoneInfo("UTC"), lambda: AT, clock, pace, first=first
        )
        made = [Send(GROUP, "strike", AT), *sends_of(EMERGENCY, GROUP, 7, AT)]
        sender.put(await commits.do(lambda store: store.put(made)))
        assert await first.step() == 5.0
        clock.now_s = 5.0
        await sender.step()
        assert api.said == []
        await first.step()
        await sender.step()
        assert api.said == ["Radio first", "strike"]

    _with_commits(tmp_path / "telegram.db", run)


def test_what_is_urgent_is_so_after_a_restart_and_in_a_store_made_before(tmp_path: Path) -> None:
    path = tmp_path / "telegram.db"
    store = Store(path)
    store.put([Send(GROUP, "strike", AT)])
    store.close()
    db = sqlite3.connect(path)
    db.execute("ALTER TABLE outbox DROP COLUMN urgent")
    db.close()

    store = Store(path)
    store.put(sends_of(EMERGENCY, GROUP, 7, AT))
    store.close()
    store = Store(path)
    rows: list[OutboxRow] = store.unsent()
    store.close()

    assert [(row.send.text, row.send.urgent) for row in rows] == [
        ("strike", False), ("Radio first", True),
    ]  # fmt: skip


def test_a_busy_chat_still_gets_its_newest_board_and_the_last_one(tmp_path: Path) -> None:
    api, clock, pace = _Api(), _Clock(), Pace()
    views: list[BoardView | None] = [BoardView("trip 1", "FISH ON", lively=True)]

    async def view_of(_chat: int) -> BoardView | None:
        return views[-1]

    async def run(commits: Commits) -> None:
        boards = Boards(cast(Bot, api), commits, pace, view_of, clock)
        boards.mark_changed(GROUP)
        await boards.step()
        for second in range(1, 91):  # answers take every message that the pace lets them have
            clock.now_s = float(second)
            if pace.wait_s(GROUP, clock.now_s) <= 0:
                pace.spend(GROUP, clock.now_s)
            views.append(BoardView("trip 1", f"at {second}", lively=True))
            boards.mark_changed(GROUP)
            await boards.step()
        edits = list(api.said[1:])
        views.append(None)
        boards.mark_changed(GROUP)
        while (wait_s := await boards.step()) is not None:
            clock.now_s += wait_s

        assert len(edits) >= 90 // OVERDUE_S - 1
        assert api.said[0] == "FISH ON"
        assert api.said[-1] == f"1: {END_LINE}"
        views.append(BoardView("trip 2", "a new trip"))
        clock.now_s += 60.0
        boards.mark_changed(GROUP)
        await boards.step()
        assert api.said[-2:] == [f"1: {END_LINE}", "a new trip"]

    _with_commits(tmp_path / "telegram.db", run)


def test_a_board_gives_way_to_an_answer_that_waits_but_not_for_ever(tmp_path: Path) -> None:
    api, clock = _Api(), _Clock()
    waiting = {GROUP}

    async def view_of(_chat: int) -> BoardView | None:
        return BoardView("trip 1", f"at {clock.now_s:g}")

    async def run(commits: Commits) -> None:
        boards = Boards(
            cast(Bot, api), commits, Pace(), view_of, clock, waiting=waiting.__contains__
        )
        waiting.clear()
        boards.mark_changed(GROUP)
        await boards.step()
        waiting.add(GROUP)
        clock.now_s = 40.0
        boards.mark_changed(GROUP)
        await boards.step()
        assert api.said == ["at 0"]
        clock.now_s = 40.5
        waiting.clear()
        await boards.step()
        assert api.said == ["at 0", "1: at 40.5"]
        waiting.add(GROUP)
        clock.now_s = 40.5 + 2 * OVERDUE_S
        boards.mark_changed(GROUP)
        await boards.step()
        assert api.said[2:] == ["1: at 100.5"]

    _with_commits(tmp_path / "telegram.db", run)


def test_a_late_answer_tells_the_time_of_the_boat_of_its_chat(tmp_path: Path) -> None:
    api, clock = _Api(), _Clock()
    zones = {GROUP: ZoneInfo("Pacific/Auckland"), 77: ZoneInfo("America/New_York")}

    async def run(commits: Commits) -> None:
        later = AT + timedelta(hours=2)
        sender = Sender(cast(Bot, api), commits, zones.__getitem__, lambda: later, clock)
        made = [Send(GROUP, "one", AT), Send(77, "two", AT)]
        sender.put(await commits.do(lambda store: store.put(made)))
        await sender.step()

    _with_commits(tmp_path / "telegram.db", run)

    assert sorted(api.said) == [
        "(to the call of 04:00)\ntwo",
        "(to the call of 22:00 on 1 March)\none",
    ]


def test_a_board_follows_its_group_to_another_id(tmp_path: Path) -> None:
    api, clock = _Api(), _Clock()

    async def view_of(chat: int) -> BoardView | None:
        return BoardView("trip 1", f"of {chat}")

    async def run(commits: Commits) -> None:
        boards = Boards(cast(Bot, api), commits, Pace(), view_of, clock)
        boards.mark_changed(GROUP)
        await boards.step()
        boards.move(GROUP, -5000)
        await boards.step()
        assert api.said == [f"of {GROUP}", "of -5000"]
        assert boards.chats == {-5000}

    _with_commits(tmp_path / "telegram.db", run)


def test_the_bot_answers_mayday_past_a_full_queue_and_ends_the_board(
    api: BotApi, bot: BotProcess
) -> None:
    bot.start(board=True)
    api.message(GROUP, 1, "strike 1")
    api.wait_for("a board", lambda: "board: 1 calls" in api.texts())
    for number in range(2, 40):
        api.message(GROUP, number, "long")
    api.message(GROUP, 40, "mayday")
    api.wait_for("help", lambda: "help is coming" in api.texts())
    assert bot.store("SELECT count(*) > 0 FROM outbox WHERE state = 'waiting'") == [(1,)]
    bot.kill()
    api.fail(Fault("editMessageText", 502))
    api.message(GROUP, 41, "trip end")
    bot.start(board=True)
    api.wait_for("the call to be logged", lambda: len(bot.calls()) == 41)
    bot.kill()
    with api.lock:
        api.faults.clear()
    bot.start(board=True)  # what the end left stale is made good at the next start

    api.wait_for("the last edit", lambda: END_LINE in api.texts(GROUP), seconds=60)
