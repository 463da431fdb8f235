"""How commands put their answers on standard output: JSON for programs, columns for people."""

import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from bot.errors import DeckcallError
from bot.replies.columns import columns
from bot.transcript import shown_name


class FileUnread(DeckcallError):
    """A file that the user named cannot be read."""


def put_json(value: Any) -> None:
    """Print one line of JSON."""
    print(json.dumps(value, ensure_ascii=False, allow_nan=False), flush=True)


def put_columns(heads: Sequence[str], rows: Sequence[Sequence[str]], left: int = 1) -> None:
    """Print a table; see `columns`."""
    for line in columns(heads, rows, left):
        print(line)


def plain(text: str) -> str:
    """Return a text as a terminal may show it: one line, nothing in it that moves a cursor or colours."""
    return shown_name(" ".join(text.split()))


def read_file(name: str, most: int = 200_000_000) -> bytes:
    """Read a file that the user named, of at most so many bytes; raises DeckcallError with one line."""
    try:
        with Path(name).open("rb") as file:
            data = file.read(most + 1)
    except (OSError, ValueError) as exc:
        why = exc.strerror if isinstance(exc, OSError) else exc
        raise FileUnread(f"{name} cannot be read ({why}); check the name") from exc
    if len(data) > most:
        raise FileUnread(f"{name} is larger than {most / 1e6:.0f} MB; give a smaller file")
    return data
