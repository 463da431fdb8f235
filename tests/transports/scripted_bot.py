"""The transport as a process of its own, with a scripted answer in the place of the Desk.

`python scripted_bot.py API FOLDER CREW [SLOW_S [BOARD]]`. What it answers it has kept in `calls.db` under the
message's ref, and a ref seen again gets the same reply: what the real Desk promises.
"""

import logging
import sqlite3
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from zoneinfo import ZoneInfo

from bot.batch import BatchCalls, BatchResult, BoatCall
from bot.messages import Button, Message, Reply
from bot.transcript import HearingResult
from bot.transports.telegram import Answers, BoardView, Gate, TelegramConfig, run
from tests.transports.waits import BOARD_EVERY_S, PATIENCE_S, QUICK

TOKEN = "12345:test-token"


@contextmanager
def scripted(path: Path, slow_s: float, board: bool) -> Iterator[Answers]:
    """Open the log of the scripted answers."""
    db = sqlite3.connect(path)
    db.execute("PRAGMA journal_mode=WAL")
    db.execute("PRAGMA synchronous=FULL")
    db.execute(
        "CREATE TABLE IF NOT EXISTS calls (n INTEGER PRIMARY KEY, ref TEXT UNIQUE, crew TEXT, at TEXT,"
        " said TEXT)"
    )

    def answer(message: Message, _heard: HearingResult | None) -> Reply:
        said = message.text if message.text is not None else f"<{len(message.sound or b'')} bytes>"
        if said == "bug":
            raise RuntimeError("scripted bug")
        if said == "talk":
            return Reply("")
        if message.edited_at is not None:
            with db:
                db.execute("UPDATE calls SET said = ? WHERE ref = ?", (said, message.ref))
            return Reply(f"corrected: {said}", logged=("1",))
        with db:
            new = db.execute(
                "INSERT OR IGNORE INTO calls (ref, crew, at, said) VALUES (?, ?, ?, ?)",
                (message.ref, message.crew, message.at.isoformat(), said),
            ).rowcount
        time.sleep(slow_s if new else 0)
        if said.startswith("which"):
            ask = "Which?"
            return Reply(
                ask, ask=ask, buttons=(Button("First", "first"), Button("Second", "second"))
            )
        if said == "tied":
            return Reply("one way", ask="one way?", buttons=(Button("Yes", "yes"),))
        if said == "propose":
            return Reply(
                "Next", logged=("1",), buttons=(Button("Done", "swap"), Button("No", "no"))
            )
        if said == "trip over":
            return Reply("Trip ended", logged=("1",), report="2026-03-01-ab12cd")
        if said == "long":
            return Reply("line\n" * 1500, logged=("1",))
        if said == "mayday":
            return Reply("help is coming", calls=({"act": "emergency"},), logged=("1",))
        return Reply(f"logged: {said}", logged=("1",))

    def view(_boat: str) -> BoardView | None:
        (last,) = db.execute("SELECT said FROM calls ORDER BY n DESC LIMIT 1").fetchone() or ("",)
        if last == "trip end":
            return None
        (count,) = db.execute("SELECT count(*) FROM calls").fetchone()
        return BoardView("trip 1", f"board: {count} calls")

    try:
        yield Answers(one_by_one(answer), view if board else None, report=_report)
    finally:
        db.close()


def _report(_boat: str, trip: str) -> bytes:
    return f"%PDF of {trip}".encode()


def one_by_one(
    answer: Callable[[Message, HearingResult | None], Reply],
) -> Callable[[BatchCalls], Sequence[BatchResult]]:
    """Make what answers the messages of several boats from what answers one."""

    def each(said: BatchCalls) -> Sequence[BatchResult]:
        return [_one_boat(answer, calls) for calls in said]

    return each


def _one_boat(
    answer: Callable[[Message, HearingResult | None], Reply], calls: Sequence[BoatCall]
) -> BatchResult:
    replies: list[Reply] = []
    for call in calls:
        try:
            replies.append(answer(call.message, call.heard))
        except Exception as exc:
            return BatchResult(tuple(replies), exc)
    return BatchResult(tuple(replies))


def main() -> None:
    """Serve until told to stop."""
    api, folder, crew = sys.argv[1], Path(sys.argv[2]), sys.argv[3]
    slow_s = float(sys.argv[4]) if len(sys.argv) > 4 else 0.0
    logging.basicConfig(level=logging.INFO)
    logging.getLogger("httpx").setLevel(logging.WARNING)
    gate = Gate(frozenset(int(part) for part in crew.split(",") if part))
    config = TelegramConfig(
        TOKEN, api, folder / "telegram.db", gate, ZoneInfo("UTC"), 100_000,
        patience_s=PATIENCE_S, board_every_s=BOARD_EVERY_S, waits=QUICK,
    )  # fmt: skip
    board = len(sys.argv) > 5
    run(config, lambda _lane: scripted(folder / "calls.db", slow_s, board))


if __name__ == "__main__":
    main()
