"""Entries as CSV (RFC 4180): one row for each act, undone ones too (`void`). Pure."""

import csv
import io
from collections.abc import Mapping, Sequence
from typing import Any, Final

_STARTS: Final = ("=", "+", "-", "@", "\t", "\r", "\n")
"""A cell of text that begins so would be run as a formula by table programs; see `guarded`."""


def to_csv(columns: Sequence[str], rows: Sequence[Mapping[str, Any]]) -> str:
    """Write a table."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(columns)
    for row in rows:
        writer.writerow([_cell(row[name]) for name in columns])
    return out.getvalue()


def guarded(text: str) -> str:
    """Put an apostrophe before text that a table program would take for a formula.

    OWASP, "CSV Injection": cells of text that begin with = + - @, tab or a line break.
    """
    return f"'{text}" if text.startswith(_STARTS) else text


def _cell(value: Any) -> Any:
    return "" if value is None else guarded(value) if isinstance(value, str) else value
