"""The recordings beside the log: which there are, whose they are, which wait to be heard, and their end.

The log only grows, the recordings do not: a row goes on naming a file that was removed. A recording
that could not be heard (outcome `kept`) waits until it is heard once more, which is a message of its
own, known by `retry_ref`; so it is logged once, however often somebody tries.
"""

from collections.abc import Iterable, Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import Final, cast

from bot.errors import LogbookError
from bot.logbook import codec
from bot.logbook.folder import RECORDINGS
from bot.logbook.store import Logbook
from bot.messages import Message, Source

KEPT_OUTCOME: Final = "kept"
"""Outcome of a message whose recording waits to be heard."""
WAITS_DAYS: Final = 30
"""How long a recording waits where the boat keeps none."""

_RETRY: Final = "retry:"


@dataclass(frozen=True, slots=True)
class Recording:
    """A recording that is still there."""

    message: str
    """Id of the message it came with."""
    path: Path
    said_at: datetime
    arrived_at: datetime
    crew: str
    source: str
    heard: str
    """What was made of it; empty where nothing was."""
    outcome: str
    entries: tuple[str, ...] = ()
    """Ids of the entries that came of it."""

    @property
    def waits(self) -> bool:
        """Return whether it is still to be heard."""
        return self.outcome == KEPT_OUTCOME


def retry_ref(message: str) -> str:
    """Return the ref under which the recording of a message is logged when it is heard at last."""
    return f"{_RETRY}{message}"


def recordings(log: Logbook) -> tuple[Recording, ...]:
    """Return the recordings that are still there, in the order in which they came."""
    there: dict[str, Recording] = {}
    folder = log.path.parent / RECORDINGS
    rows = log.rows(
        "SELECT id, sound, said_at, arrived_at, crew, source, reply, outcome FROM messages"
        " WHERE sound IS NOT NULL ORDER BY seq"
    )
    for name, sound, said_at, arrived_at, crew, source, reply, outcome in rows:
        path = log.path.parent / sound
        if path.parent != folder or path.name in ("", "..") or not path.is_file():
            continue  # a name that leads out of the folder is no recording, whoever wrote it
        earlier = there.get(sound)  # the message it came with, where this is the second hearing
        said = codec.decode_reply(reply)
        there[sound] = Recording(
            earlier.message if earlier else name,
            path,
            codec.from_text(said_at),
            earlier.arrived_at if earlier else codec.from_text(arrived_at),
            crew,
            source,
            said.heard,
            outcome,
            said.logged,
        )
    return tuple(there.values())


def waiting_recordings(log: Logbook) -> tuple[Recording, ...]:
    """Return the recordings that wait to be heard, oldest first."""
    return tuple(one for one in recordings(log) if one.waits)


def recording_of(log: Logbook, name: str) -> Recording | None:
    """Return the recording of an entry or of a message, by its id or the end of it that is unlike others.

    Raises LogbookError where several are meant.
    """
    found = recordings(log)
    exact = [one for one in found if name == one.message or name in one.entries]
    ends = [one for one in found if any(id_.endswith(name) for id_ in (one.message, *one.entries))]
    meant = exact or (ends if name else [])
    if len(meant) > 1:
        raise LogbookError(f'"{name}" is the end of {len(meant)} ids; give more of it')
    return meant[0] if meant else None


def again(one: Recording) -> Message:
    """Return the message of a recording, to be heard once more, with the time of the first.

    Raises LogbookError where the file cannot be read.
    """
    try:
        sound = one.path.read_bytes()
    except OSError as exc:
        raise LogbookError(f"{one.path} cannot be read ({exc.strerror}); check the disk") from exc
    source = cast(Source, one.source)
    return Message(
        one.crew, one.said_at, source, sound=sound, ref=retry_ref(one.message), name=one.path.name
    )


def trip_at(log: Logbook, at: datetime) -> str | None:
    """Return the trip that was under way at a time: the last that had begun by then, or None."""
    found = log.rows(
        "SELECT id FROM trips WHERE first_at <= ? ORDER BY first_at DESC LIMIT 1", codec.to_text(at)
    )
    return found[0][0] if found else None


def purge(log: Logbook, keep_days: int, now: datetime) -> int:
    """Remove what was kept for long enough, and give how many; also files that the log does not name.

    With 0 days only those stay that wait to be heard, and those no longer than WAITS_DAYS.
    """
    long_ago = now - timedelta(days=keep_days or WAITS_DAYS)
    known = recordings(log)
    old = [one.path for one in known if one.arrived_at < long_ago or not (keep_days or one.waits)]
    strays = _strays(log.path.parent / RECORDINGS, {one.path for one in known}, long_ago)
    return _remove([*old, *strays])


def forget(log: Logbook, chosen: Sequence[Recording]) -> int:
    """Remove recordings at once, and give how many were removed; what was understood of them stays."""
    folder = log.path.parent / RECORDINGS
    inside = [one.path for one in chosen if one.path.parent == folder]
    return _remove(inside)


def _strays(folder: Path, known: set[Path], long_ago: datetime) -> list[Path]:
    """Return old files without a message: of one that could not be logged after its sound was written."""
    if not folder.is_dir():
        return []
    others = (path for path in folder.iterdir() if path not in known and path.is_file())
    return [path for path in others if path.stat().st_mtime < long_ago.timestamp()]


def _remove(paths: Iterable[Path]) -> int:
    count = 0
    for path in paths:
        with suppress(OSError):
            path.unlink()
            count += 1
    return count
