"""Where copies of the log lie and what they are called; nothing here opens one."""

import re
from collections.abc import Iterable
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path
from typing import Final

BACKUPS: Final = "backups"
"""The folder beside the log."""
COPY: Final = "deckcall"
"""Begins the name of a copy."""
REPLACED_PREFIX: Final = "replaced"
"""Begins the name of a log that another was put in the place of."""
PART: Final = ".part"
"""Ends the name of a copy that is not whole yet."""

_NAME: Final = re.compile(r"^deckcall-\d{8}T\d{6}Z(-\d+)?\.db$")


def copy_name(at: datetime, folder: Path, what: str = COPY) -> Path:
    """Return a file for a copy made now that is not there yet."""
    stem = f"{what}-{at.astimezone(UTC):%Y%m%dT%H%M%SZ}"
    path, number = folder / f"{stem}.db", 2
    while path.exists():
        path, number = folder / f"{stem}-{number}.db", number + 1
    return path


def copies(home: Path) -> tuple[Path, ...]:
    """Return the copies of a log that were made beside it, newest first."""
    folder = home / BACKUPS
    found = [path for path in _files(folder) if _NAME.match(path.name)]
    return tuple(sorted(found, key=lambda path: (path.name[:24], len(path.name), path.name))[::-1])


def keep_newest(home: Path, many: int) -> None:
    """Remove all copies beside a log but the newest ones; what lies there under other names stays."""
    for path in copies(home)[max(1, many) :]:
        with suppress(OSError):
            path.unlink()


def way_back(log: Path) -> str:
    """Return how to get a log back that cannot be read: by its newest copy, where there is one."""
    found = copies(log.parent)
    if not found:
        return "there is no copy beside it; restore one that you have: deckcall restore FILE"
    return f"nothing was changed; the newest copy: deckcall restore {found[0]}"


def _files(folder: Path) -> Iterable[Path]:
    try:
        return [path for path in folder.iterdir() if path.is_file()]
    except OSError:
        return ()
