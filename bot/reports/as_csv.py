"""Entries as CSV (RFC 4180): one row for each act, undone ones too (`void`). Pure."""

import csv
import io
from collections.abc import Mapping, Sequence
from typing import Any

from bot.tackle.cells import guard


def to_csv(columns: Sequence[str], rows: Sequence[Mapping[str, Any]]) -> str:
    """Write a table."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(columns)
    for row in rows:
        writer.writerow([_cell(row[name]) for name in columns])
    return out.getvalue()


def _cell(value: Any) -> Any:
    return "" if value is None else guard(value) if isinstance(value, str) else value
