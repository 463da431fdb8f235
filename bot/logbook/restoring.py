"""The rows of a log that comes as a file, copied into a log that is made anew: the data, never the schema.

A file may come from a stranger: its triggers, views and indexes are left behind, nothing of it is run, every
path and value is checked. Raises ValueError with what is wrong; the caller names the file.
"""

import json
import math
import re
import sqlite3
from collections.abc import Iterator, Sequence
from typing import Any, Final

from bot.logbook import codec
from bot.logbook.schema import migrations
from bot.logbook.sqlite import Database
from bot.logbook.trays import tray_of
from bot.tackle.items import Lure

TABLES: Final = (
    "messages",
    "trips",
    "records",
    "stands",
    "lures",
    "imported",
    "track",
    "reminded",
    "trays",
)
"""What is data; `summaries` follows from it and is made anew."""
ALWAYS: Final = TABLES[:5]
"""Tables that every log has, however old."""
MOST_CELL: Final = 4_000_000
"""Bytes of one value."""
YEARS: Final = range(1970, 2201)

_SOUND: Final = re.compile(r"recordings/[0-9A-Za-z][0-9A-Za-z._-]{0,120}")
_NAME: Final = re.compile(r"[a-z_]+")
_PLAIN: Final = frozenset({
    sqlite3.SQLITE_SELECT, sqlite3.SQLITE_READ, sqlite3.SQLITE_PRAGMA, sqlite3.SQLITE_TRANSACTION,
})  # fmt: skip
"""What may be done with a file that is not trusted: no function, no change."""


def read_rows(file: sqlite3.Connection, into: sqlite3.Connection) -> int:
    """Make the tables in an empty database and copy the rows of a file; return how many paths were dropped.

    The order of the rows is kept, their numbers are given anew.
    """
    file.setlimit(sqlite3.SQLITE_LIMIT_LENGTH, MOST_CELL)
    allow_reading_only(file)
    kinds = dict(
        file.execute("SELECT name, type FROM sqlite_master WHERE type IN ('table', 'view')")
    )
    if missing := [name for name in ALWAYS if kinds.get(name) != "table"]:
        raise ValueError(f"it has no table {missing[0]}")
    migrations.apply(Database(into, execute_plugins=False))
    dropped = 0
    for table in TABLES:
        if kinds.get(table) == "table":
            dropped += _copy_table(table, file, into)
    into.commit()
    return dropped


def allow_reading_only(file: sqlite3.Connection) -> None:
    """Let a connection read and do nothing else: no function, view or trigger of the file is run."""
    file.execute("PRAGMA trusted_schema = OFF")
    file.execute("PRAGMA cell_size_check = ON")
    file.execute("PRAGMA query_only = ON")
    file.set_authorizer(
        lambda what, *_: sqlite3.SQLITE_OK if what in _PLAIN else sqlite3.SQLITE_DENY
    )


def _copy_table(table: str, file: sqlite3.Connection, into: sqlite3.Connection) -> int:
    wanted = [row[1] for row in into.execute(f"PRAGMA table_info({table})")]
    there = {row[1] for row in file.execute(f"PRAGMA table_xinfo({table})") if row[6] == 0}
    columns = [name for name in wanted if name in there and name != "seq" and _NAME.fullmatch(name)]
    order = " ORDER BY seq" if "seq" in there else ""
    marks = ", ".join("?" * len(columns))
    put = f"INSERT INTO {table} ({', '.join(columns)}) VALUES ({marks})"
    dropped = 0
    for row in _rows(file, f"SELECT {', '.join(columns)} FROM {table}{order}"):
        values = dict(zip(columns, row, strict=True))
        if table == "messages" and not _is_sound(values.get("sound")):
            values["sound"] = None
            dropped += 1
        _check(table, values)
        into.execute(put, list(values.values()))
    return dropped


def _rows(file: sqlite3.Connection, sql: str) -> Iterator[Sequence[Any]]:
    try:
        yield from file.execute(sql)
    except UnicodeDecodeError as problem:  # text that is no UTF-8
        raise ValueError("it holds text that is none") from problem


def _is_sound(said: Any) -> bool:
    return said is None or (isinstance(said, str) and _SOUND.fullmatch(said) is not None)


def _check(table: str, values: dict[str, Any]) -> None:
    """Raise ValueError for a row that would stop a command, now or later."""
    try:
        for name, value in values.items():
            if isinstance(value, float) and not math.isfinite(value):
                raise ValueError(f"{name} is without end")
            if name in _TIMES and value is not None and codec.from_text(value).year not in YEARS:
                raise ValueError(f"{name} is no time of a trip")
        if table == "records":
            _json(values["body"])
            codec.decode(codec.Row(**{name: values[name] for name in codec.Row.__slots__}))
        elif table == "messages":
            _json(values["alternatives"])
            codec.decode_reply(values["reply"])
        elif table == "lures":
            Lure(values["name"], values["size_in"], tuple(values["colours"].split()))
        elif table == "trays":
            tray_of(_json(values["body"]))
    except (
        ValueError,
        TypeError,
        KeyError,
        AttributeError,
        OverflowError,
        RecursionError,
    ) as problem:
        what = str(problem)[:80] or type(problem).__name__
        raise ValueError(f"a row of {table} cannot be read ({what})") from problem


_TIMES: Final = frozenset({"at", "said_at", "arrived_at", "first_at", "imported_at", "made_at"})


def _json(text: str) -> Any:
    def refuse(word: str) -> None:
        raise ValueError(f"{word} is no JSON")

    return json.loads(text, parse_constant=refuse)
