"""A log that cannot be written now, read all the same: copied into memory, where nothing can be added."""

import os
import shutil
import sqlite3
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Final

MOST_BYTES: Final = 300_000_000
"""A log that is larger is not copied into memory."""
_KEPT: Final = ("messages", "trips", "records", "stands", "lures", "track", "trays")
_REFUSE: Final = """CREATE TEMP TRIGGER {table}_only_read BEFORE INSERT ON main.{table}
    BEGIN SELECT RAISE(ABORT, 'can only be read now'); END"""


def in_memory(path: Path) -> sqlite3.Connection:
    """Copy a log with its write-ahead log into memory; raises OSError or sqlite3.Error."""
    if path.stat().st_size > MOST_BYTES:
        raise OSError(0, "it is too large to be copied")
    wal = path.with_name(f"{path.name}-wal")
    memory = sqlite3.connect(":memory:", isolation_level=None)
    if not wal.exists() or not wal.stat().st_size:
        _copy(f"{path.resolve().as_uri()}?mode=ro&immutable=1", memory)
        return memory
    with TemporaryDirectory() as folder:
        _copied(path, Path(folder))
        shutil.copy(wal, folder)
        _copy((Path(folder) / path.name).as_uri(), memory)
    return memory


def refuse_writing(memory: sqlite3.Connection) -> None:
    """Let nothing be added to what stands for the log."""
    for table in _KEPT:
        memory.execute(_REFUSE.format(table=table))


def _copy(uri: str, memory: sqlite3.Connection) -> None:
    source = sqlite3.connect(uri, uri=True)
    try:
        source.backup(memory)
    finally:
        source.close()


_open: dict[tuple[int, int], int] = {}
"""Files of logs that were copied beside SQLite, by device and inode: open until the process ends. Closing
one would drop the locks that another connection of the process has on it (see `pages`)."""


def _copied(path: Path, folder: Path) -> None:
    """Copy the file of a log, whatever SQLite thinks of its length; raises OSError."""
    if os.name != "posix":
        shutil.copy(path, folder)  # locks belong to the descriptor there, not to the process
        return
    found = path.stat()
    key = found.st_dev, found.st_ino
    if key not in _open:
        _open[key] = os.open(path, os.O_RDONLY | os.O_CLOEXEC)
    with (folder / path.name).open("wb") as out:
        while data := os.pread(_open[key], 1 << 20, out.tell()):
            out.write(data)
