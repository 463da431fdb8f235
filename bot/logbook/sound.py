"""The recording of a message, written beside the log before the log speaks of it."""

import os
from pathlib import Path
from typing import Final

from bot.errors import LogbookError
from bot.logbook.folder import sync_names
from bot.messages import Message
from bot.recording import format_of

RECORDINGS: Final = "recordings"
"""The folder beside the log."""


def keep_sound(home: Path, name: str, message: Message) -> str | None:
    """Write the recording of a message beside the log, before the log speaks of it."""
    if message.sound is None:
        return None
    known = format_of(message.sound)
    place = f"{RECORDINGS}/{name}{known.suffixes[0] if known else '.bin'}"
    path = home / place
    try:
        path.parent.mkdir(exist_ok=True)
        with path.open("wb") as file:
            file.write(message.sound)
            file.flush()
            os.fsync(file.fileno())
        sync_names(path.parent)
        sync_names(home)
    except OSError as problem:
        raise LogbookError(f"{path}: cannot keep the recording ({problem.strerror})") from problem
    return place
