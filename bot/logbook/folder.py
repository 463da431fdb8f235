"""The folder of a log: made for its owner alone, its names synced, and why nothing can be written there.

Loads nothing that opens a log: processes that only hand calls on use it too.
"""

import os
import shutil
from pathlib import Path
from typing import Final

LEAST_FREE: Final = 128 * 1024
"""Bytes of a disk below which SQLite cannot even open a log for writing."""


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
