"""How commands put their answers on standard output: JSON for programs, columns for people."""

import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from bot.errors import DeckcallError


class FileUnread(DeckcallError):
    """A file that the user named cannot be read."""


def put_json(value: Any) -> None:
    """Print one line of JSON."""
    print(json.dumps(value, ensure_ascii=False, allow_nan=False), flush=True)


def put_columns(heads: Sequence[str], rows: Sequence[Sequence[str]]) -> None:
    """Print a table: the first column from the left, the others from the right."""
    table = [heads, *rows]
    widths = [max(len(row[i]) for row in table) for i in range(len(heads))]
    for row in table:
        cells = [row[0].ljust(widths[0])]
        cells += [cell.rjust(width) for cell, width in zip(row[1:], widths[1:], strict=True)]
        print("  ".join(cells).rstrip())


def read_file(name: str) -> bytes:
    """Read a file that the user named; raises DeckcallError with one line."""
    try:
        return Path(name).read_bytes()
    except OSError as exc:
        raise FileUnread(f"{name} cannot be read ({exc.strerror}); check the name") from exc
