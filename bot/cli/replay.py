"""`replay`: a recorded day through the very path of a live call, with the clock of the file."""

import json
from collections.abc import Iterator
from dataclasses import asdict
from datetime import UTC, datetime
from typing import Any

from bot.cli.options import Arguments
from bot.cli.shown import put_json, read_file
from bot.errors import DeckcallError
from bot.messages import Message, Reply
from bot.settings import Settings


def replay(args: Arguments, found: Settings) -> int:
    """Play a file of calls; prints one reply a line."""
    from bot.desk import Desk

    now = datetime.now(UTC)
    messages = list(_messages(args.file, found))  # a bad line is told before anything is logged
    with Desk(settings=found, source="replay", clock=lambda: now) as desk:
        for message in messages:
            now = message.at
            put_json({"at": message.at.isoformat()} | as_json(desk.answer(message)))
    return 0


def as_json(reply: Reply) -> dict[str, Any]:
    """Give a reply for programs; pictures stay out."""
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
    text = read_file(file).decode("utf-8-sig", errors="replace")
    for number, line in enumerate(text.splitlines(), 1):
        if line.strip():
            yield _message(line, f"{file}, line {number}", found)


def _message(line: str, where: str, found: Settings) -> Message:
    try:
        said = json.loads(line)
        at = datetime.fromisoformat(said["at"])
        text, crew = str(said["text"]), str(said.get("crew", ""))
    except (ValueError, KeyError, TypeError, AttributeError) as exc:
        what = 'give {"at": ISO-8601 time, "crew": name, "text": call}'
        raise DeckcallError(
            f"{where}: {what} ({type(exc).__name__}: {exc}); nothing played"
        ) from exc
    at = at.replace(tzinfo=found.boat.zone) if at.tzinfo is None else at
    return Message(crew, at.astimezone(UTC), "replay", text=text)
