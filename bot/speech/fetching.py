"""Files from the network, whole or not at all: what came so far is gone on with, and a checksum decides.

A part of a file lies beside where it is to lie and is taken up again by the next attempt, in this run or a
later one. Raises ModelMissing with what to do. Knows nothing of models.
"""

import hashlib
import time
from collections.abc import Callable, Sequence
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from bot.errors import ModelMissing

TRIES: Final = 5
"""Attempts at one file; a weak signal breaks off often."""
WAIT_S: Final = (1.0, 2.0, 4.0, 8.0)
CONNECT_S: Final = 15.0
READ_S: Final = 30.0
_BLOCK: Final = 1 << 12
"""Most that is lost of what breaks off."""

Progress = Callable[[int], object]
"""Told how many bytes more there are."""


@dataclass(frozen=True, slots=True)
class File:
    """A file that is published, and what must come."""

    name: str
    sha256: str
    size_bytes: int
    urls: tuple[str, ...]
    """Places that have it, the first to be asked first."""


def is_whole(path: Path, file: File) -> bool:
    """Return whether a file is there and is the one that was published."""
    return path.is_file() and path.stat().st_size == file.size_bytes and digest(path) == file.sha256


def digest(path: Path) -> str:
    """Return the SHA-256 of a file in hexadecimal."""
    with path.open("rb") as data:
        return hashlib.file_digest(data, "sha256").hexdigest()


def fetch(
    file: File, folder: Path, *, progress: bool, sleep: Callable[[float], None] = time.sleep
) -> Path:
    """Put a file into a folder; raises ModelMissing, and OSError where it cannot be written."""
    target, part = folder / file.name, folder / f"{file.name}.part"
    if is_whole(target, file):
        return target
    problem = ""
    with _shown(file, part, progress) as more:
        for attempt in range(TRIES):
            url = file.urls[attempt % len(file.urls)]
            problem = _go_on(url, file, part, more)
            if not problem:
                part.replace(target)
                return target
            if attempt + 1 < TRIES:
                sleep(WAIT_S[min(attempt, len(WAIT_S) - 1)])
    raise ModelMissing(f"{file.urls[0]} {problem}")


def _go_on(url: str, file: File, part: Path, more: Progress) -> str:
    """Fetch what is missing of a file; return what went wrong, empty where all is there and right."""
    import requests

    have = part.stat().st_size if part.exists() else 0
    if have > file.size_bytes:
        part.unlink()
        have = 0
    try:
        if have < file.size_bytes:
            headers = {"Range": f"bytes={have}-"} if have else {}
            timeouts = (CONNECT_S, READ_S)
            with requests.get(url, headers=headers, stream=True, timeout=timeouts) as answer:
                answer.raise_for_status()
                goes_on = answer.status_code == requests.codes.partial_content
                with part.open("ab" if goes_on else "wb") as out:
                    for block in answer.iter_content(_BLOCK):
                        out.write(block)
                        more(len(block))
                        if out.tell() > file.size_bytes:
                            break
    except requests.exceptions.RequestException:
        return (
            "cannot be fetched: check the connection and try again, what came is kept; or fetch it"
            " elsewhere, unpack it and set DECKCALL_MODEL to its folder"
        )
    if part.stat().st_size < file.size_bytes:
        return "broke off: try again, what came is kept"
    if part.stat().st_size == file.size_bytes and digest(part) == file.sha256:
        return ""
    part.unlink()
    return (
        "gave something with another checksum than published, which was thrown away: try again; a"
        " network that answers for others may be in between"
    )


def _shown(file: File, part: Path, progress: bool) -> "AbstractContextManager[Progress]":
    if not progress:
        return nullcontext(lambda _bytes: None)
    return _Bar(file, part.stat().st_size if part.exists() else 0)


class _Bar(AbstractContextManager[Progress]):
    """A bar on standard error."""

    def __init__(self, file: File, have: int) -> None:
        from rich.console import Console
        from rich.progress import BarColumn, DownloadColumn, Progress, TaskProgressColumn

        self._bar = Progress(
            "{task.description}", BarColumn(), TaskProgressColumn(), DownloadColumn(),
            console=Console(stderr=True),
        )  # fmt: skip
        self._task = self._bar.add_task(file.name, total=file.size_bytes, completed=have)

    def __enter__(self) -> Progress:
        self._bar.start()
        return lambda count: self._bar.advance(self._task, count)

    def __exit__(self, *_why: Any) -> None:
        self._bar.stop()


def urls_below(bases: Sequence[str], name: str) -> tuple[str, ...]:
    """Return the addresses of a file below several bases."""
    return tuple(f"{base.rstrip('/')}/{name}" for base in bases)
