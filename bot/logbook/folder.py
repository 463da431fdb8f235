"""The folder of a log: made for its owner alone, its names synced, and why nothing can be written there.

A recording is written into it before the log speaks of it. Loads nothing that opens a log: processes that
only hand calls on use it too.
"""

import os
import shutil
from pathlib import Path
from typing import Final

from bot.errors import LogbookError
from bot.messages import Message
from bot.recording import format_of

LEAST_FREE: Final = 128 * 1024
"""Bytes of a disk below which SQLite cannot even open a log for writing."""
RECORDINGS: Final = "recordings"
"""The folder beside the log."""


def make_home(home: Path) -> None:
    """Make the folder of a log, for its owner alone, unless it is there; raises OSError."""
    home.parent.mkdir(parents=True, exist_ok=True)
    home.mkdir(mode=0o700, exist_ok=True)


def sync_names(folder: Path) -> None:
    """Wait until the names of new files in a folder are on the disk; raises OSError."""
    if os.name != "posix":
        return  # a folder cannot be opened there
    number = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(number)
    finally:
        os.close(number)


def why_not_written(path: Path) -> str | None:
    """Return why a file cannot be written, and what to do; None where nothing speaks against it."""
    folder = path if path.is_dir() else path.parent
    while not folder.exists() and folder != folder.parent:
        folder = folder.parent
    try:
        if shutil.disk_usage(folder).free < LEAST_FREE:
            return "the disk is full; make room and say it again"
        if hasattr(os, "statvfs") and os.statvfs(folder).f_flag & os.ST_RDONLY:
            return "it lies on a disk that can only be read; copy the folder to another one"
    except OSError as exc:
        return f"its folder cannot be read ({exc.strerror})"
    for one in (folder, path):
        if one.exists() and not os.access(one, os.W_OK):
            return f"{one} may not be written by this user; check who owns it"
    return None


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
