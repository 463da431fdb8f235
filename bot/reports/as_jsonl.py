"""The log as JSON Lines: our own export, which another boat's deckcall takes in again. Pure.

One line for each record in the order of making. An entry has the columns of the view `entries` beside
`record`, which holds what an import needs; other kinds (`voided`, `restored`, `advised`) have `record` only.
"""

import json
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from io import StringIO
from typing import Any, Final

from bot.logbook.codec import Row
from bot.logbook.coming_in import admit, is_name
from bot.logbook.exchange import Out

PLACE: Final = ("latitude", "longitude")
MOST_REFUSED: Final = 1000
"""Bad lines after which a file is no export, and is read no further."""
MOST_LINE: Final = 200_000
"""Letters of a line; the longest that this program writes has a tenth of it."""


@dataclass(frozen=True, slots=True)
class JsonlContent:
    """What a file holds."""

    rows: tuple[Row, ...] = ()
    boats: Mapping[str, str] = field(default_factory=dict)
    """The boat of every trip."""
    refused: tuple[tuple[int, str], ...] = ()
    """Lines that cannot be taken in, and why."""


def to_jsonl(records: Iterable[Out], boat: str, *, positions: bool) -> str:
    """Write records; places only where they are asked for."""
    return "".join(f"{line}\n" for line in _lines(records, boat, positions))


def from_jsonl(text: str) -> JsonlContent:
    """Read what `to_jsonl` wrote."""
    rows: list[Row] = []
    boats: dict[str, str] = {}
    refused: list[tuple[int, str]] = []
    for number, line in enumerate(StringIO(text), 1):
        if not line.strip():
            continue
        if len(refused) >= MOST_REFUSED:
            refused.append((number, "is not looked at: too many lines before it are bad"))
            return JsonlContent((), {}, tuple(refused))
        if len(line) > MOST_LINE:
            refused.append((number, f"is longer than {MOST_LINE} letters"))
            continue
        try:
            row, boat = _row(json.loads(line))
        except (ValueError, TypeError, KeyError, RecursionError):
            refused.append((number, "is no line of a deckcall export (JSON Lines)"))
            continue
        found = admit(row)
        if isinstance(found, str):
            refused.append((number, found))
            continue
        rows.append(found)
        boats.setdefault(row.trip, boat)
    return JsonlContent(tuple(rows), boats, tuple(refused))


def _lines(records: Iterable[Out], boat: str, positions: bool) -> Iterator[str]:
    for one in records:
        body = json.loads(one.row.body)
        if not positions:
            body = {key: value for key, value in body.items() if key not in PLACE}
        row = one.row
        head = {"kind": row.kind, "boat": boat if one.boat is None else one.boat}
        record = {"message": row.message, "version": row.version, "body": body}
        if one.values:
            made = head | dict(one.values) | {"record": record}
        else:
            made = head | {"id": row.id, "trip": row.trip, "at": row.at, "record": record}
        yield json.dumps(made, ensure_ascii=False, separators=(",", ":"))


def _row(line: Mapping[str, Any]) -> tuple[Row, str]:
    record = line["record"]
    texts = [line["id"], line["trip"], line["at"], line["kind"], record["message"]]
    texts += [line.get(name, "") for name in ("crew", "source", "text", "boat")]
    version = record["version"]
    if not all(isinstance(one, str) for one in texts) or type(version) is not int:
        raise TypeError
    if not line["id"] or not line["trip"] or not isinstance(record["body"], dict):
        raise ValueError
    if not 0 < version < 1_000_000 or not is_name(line.get("boat", "")):
        raise ValueError
    name, trip, at, kind, message, crew, source, said, boat = texts
    body = json.dumps(record["body"], ensure_ascii=False, separators=(",", ":"))
    return Row(name, message, trip, at, kind, version, crew, source, said, body), boat
