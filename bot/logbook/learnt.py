"""What may be learnt of how a crew speaks: the words of entries that stand, but for what was forgotten.

Nothing is kept of it but the log itself; which of its words count no more stands in a file beside it.
"""

import json
import os
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any, Final

from bot.calls.usual import Utterance
from bot.errors import LogbookError
from bot.logbook.codec import from_text, to_text
from bot.logbook.store import Logbook

FORGOTTEN_FILE: Final = "forgotten.json"
MOST: Final = 400
"""Entries that are looked at, back from the last."""
_EVERYBODY: Final = ""
_SQL: Final = """SELECT r.text, r.crew, r.message, m.arrived_at, json_extract(r.body, '$.call.angler')
    FROM records AS r JOIN messages AS m ON m.id = r.message
    WHERE r.kind = 'entry' AND r.text <> '' AND m.outcome <> 'asked'
    AND coalesce((SELECT s.void FROM stands AS s WHERE s.entry = r.id ORDER BY s.seq DESC LIMIT 1), 0) = 0
    AND r.trip NOT IN (SELECT trip FROM imported) ORDER BY r.seq DESC LIMIT ?"""


@dataclass(frozen=True, slots=True)
class CrewSpeech:
    """What the log tells of how the crew speaks."""

    said: tuple[Utterance, ...]
    """Calls that stand, the oldest first."""
    names: tuple[str, ...]
    """Who called, and who was on a rod."""


def crew_speech(log: Logbook) -> CrewSpeech:
    """Return what the log tells; nothing of what was asked about and taken though nobody answered."""
    marks = _marks(log.path.parent)
    said: dict[tuple[str, str], Utterance] = {}
    names: dict[str, None] = {}
    for text, crew, message, arrived_at, angler in log.rows(_SQL, MOST):
        if _is_forgotten(marks, crew, message, from_text(arrived_at)):
            continue
        said.setdefault((message, text), Utterance(text, crew))
        names |= dict.fromkeys(name for name in (crew, angler) if name)
    return CrewSpeech(tuple(reversed(said.values())), tuple(names))


def unlearn(
    home: Path, at: datetime, crew: str | None = None, messages: Iterable[str] | None = None
) -> None:
    """Learn no more from what came up to a time, of one of the crew or of all; or only from some messages.

    Raises LogbookError.
    """
    marks = _marks(home)
    if messages is not None:
        marks["messages"] = sorted({*marks["messages"], *messages})
    else:
        key = _EVERYBODY if crew is None else crew.casefold()
        marks["until"][key] = max(marks["until"].get(key, ""), to_text(at))
    path = home / FORGOTTEN_FILE
    part = path.with_suffix(".part")
    try:
        with part.open("w", encoding="utf-8") as file:
            json.dump(marks, file)
            file.flush()
            os.fsync(file.fileno())
        part.replace(path)
    except OSError as problem:
        raise LogbookError(f"{path}: cannot be written ({problem.strerror})") from problem


def _marks(home: Path) -> dict[str, Any]:
    """Return what is forgotten; raises LogbookError where that cannot be read: nothing is learnt in doubt."""
    path = home / FORGOTTEN_FILE
    try:
        found = json.loads(path.read_text("utf-8"))
        until, messages = dict(found["until"]), list(found["messages"])
        if all(isinstance(one, str) for one in (*until, *until.values(), *messages)):
            return {"until": until, "messages": messages}
    except FileNotFoundError:
        return {"until": {}, "messages": []}
    except (OSError, ValueError, KeyError, TypeError, RecursionError) as problem:
        raise LogbookError(f"{path} cannot be read; remove it, and forget again") from problem
    raise LogbookError(f"{path} is no list of what is forgotten; remove it, and forget again")


def _is_forgotten(marks: dict[str, Any], crew: str, message: str, arrived: datetime) -> bool:
    until = max(marks["until"].get(key, "") for key in (_EVERYBODY, crew.casefold()))
    return message in marks["messages"] or to_text(arrived) <= until
