"""`replay`: a recorded day through the very path of a live call, with the clock of the file.

With a record of the instruments its calls are stamped as they would have been, and the track is kept.
"""

import json
import sys
from collections.abc import Iterator
from dataclasses import asdict
from datetime import UTC, datetime
from io import StringIO
from typing import Any, Final

from bot.cli.options import Arguments
from bot.cli.shown import put_json, read_file
from bot.errors import DeckcallError
from bot.logbook.coming_in import AHEAD, MOST_NAME, MOST_TEXT
from bot.messages import Message, Reply
from bot.settings import Settings
from bot.stamps import nothing_measured

EARLIEST: Final = datetime(1970, 1, 2, tzinfo=UTC)
MOST_BYTES: Final = 50_000_000


def replay(args: Arguments, found: Settings) -> int:
    """Play a file of calls, a record of the instruments, or both; prints one reply a line."""
    from bot.cli.nmea_record import Record
    from bot.desk import Desk

    now = datetime.now(UTC)
    # a bad line is told before anything is logged
    messages = list(_messages(args.file, found)) if args.file else []
    record = Record(read_file(args.nmea, MOST_BYTES), args.nmea) if args.nmea else None
    with (
        Desk(
            settings=found, source="replay", clock=lambda: now,
            instruments=record.fix if record else nothing_measured,
        ) as desk
    ):  # fmt: skip
        if record:
            desk.keep_track(record.track())
        for message in messages:
            now = message.at
            put_json({"at": message.at.isoformat()} | as_json(desk.answer(message)))
    if record and not messages:
        put_json(record.summary())
    elif record:  # what comes out is a reply a line, and nothing else
        print(json.dumps(record.summary()), file=sys.stderr)
    return 0


def as_json(reply: Reply) -> dict[str, Any]:
    """Return a reply for programs; pictures stay out."""
    return {
        "text": reply.text,
        "spoken": reply.spoken,
        "calls": list(reply.calls),
        "confidence": round(reply.confidence, 3),
        "ask": reply.ask,
        "advice": asdict(reply.advice) if reply.advice else None,
        "logged": list(reply.logged),
        "heard": reply.heard,
    }


def _messages(file: str, found: Settings) -> Iterator[Message]:
    text = read_file(file, MOST_BYTES).decode("utf-8-sig", errors="replace")
    for number, line in enumerate(StringIO(text), 1):
        if line.strip():
            yield _message(line, f"{file}, line {number}", found)


def _message(line: str, where: str, found: Settings) -> Message:
    try:
        said = json.loads(line)
        at = datetime.fromisoformat(said["at"])
        text, crew = str(said["text"]), str(said.get("crew", ""))
        at = at.replace(tzinfo=found.boat.zone) if at.tzinfo is None else at
        at = at.astimezone(UTC)
        (text + crew).encode()
    except (ValueError, KeyError, TypeError, AttributeError, OverflowError, RecursionError) as exc:
        what = 'give {"at": ISO-8601 time, "crew": name, "text": call}'
        raise DeckcallError(
            f"{where}: {what} ({type(exc).__name__}: {str(exc)[:80]}); nothing played"
        ) from exc
    if not EARLIEST <= at <= datetime.now(UTC) + AHEAD:
        raise DeckcallError(f"{where}: {at:%Y-%m-%d} is no day that was recorded; nothing played")
    if len(text) > MOST_TEXT or len(crew) > MOST_NAME:
        raise DeckcallError(
            f"{where}: a call has at most {MOST_TEXT} letters, a name {MOST_NAME}; nothing played"
        )
    return Message(" ".join(crew.split()), at, "replay", text=text)
