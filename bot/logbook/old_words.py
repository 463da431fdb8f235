"""Entries that were kept before the log held what words mean: their words are read once, and never again.

A version 1 entry has only its words. They are taken as they stand, without putting slips right, so that
the past stays what it was.
"""

import json
import tomllib
from dataclasses import replace
from functools import cache
from typing import Final

from bot.calls.grammar_text import read_parts
from bot.calls.meant.attach import MEANS_MORE, with_meanings
from bot.calls.meant.reader import Reader
from bot.calls.meant.signs import FILE, load_signs, with_words
from bot.logbook import codec
from bot.logbook.sqlite import Database
from bot.shipped import grammar_texts
from bot.trip.call import from_json

WITHOUT_MEANINGS: Final = 1
"""The last version of an entry that holds words only."""
_COLUMNS: Final = "id, message, trip, at, kind, version, crew, source, text, body"


def read_once(db: Database) -> None:
    """Add to every old entry of a log what its words mean; the caller allows the change of rows."""
    acts = ", ".join(f"'{act}'" for act in sorted(MEANS_MORE))
    rows = db.execute(
        f"""SELECT {_COLUMNS} FROM records WHERE kind = ? AND version <= ?
        AND json_extract(body, '$.call.act') IN ({acts})""",
        (codec.ENTRY, WITHOUT_MEANINGS),
    ).fetchall()
    own = own_positions(db)
    for row in rows:
        old = codec.Row(*row)
        new = with_old_meanings(old, own)
        if new.body != old.body:
            db.execute("UPDATE records SET body = ? WHERE id = ?", (new.body, new.id))
    db.execute(
        "UPDATE records SET version = ? WHERE kind = ? AND version <= ?",
        (codec.VERSION, codec.ENTRY, WITHOUT_MEANINGS),
    )


def own_positions(db: Database) -> tuple[str, ...]:
    """Return the positions that a log knows: those of a boat's own layout among them."""
    sql = """SELECT DISTINCT json_extract(body, '$.call.position') FROM records
        WHERE kind = ? AND json_extract(body, '$.call.position') IS NOT NULL ORDER BY 1"""
    return tuple(str(row[0]) for row in db.execute(sql, (codec.ENTRY,)).fetchall())


def with_old_meanings(row: codec.Row, own: tuple[str, ...] = ()) -> codec.Row:
    """Return an entry of version 1 as one of now, any other record as it is; one unreadable too.

    `own` are positions of the boat, beside the usual ones.
    """
    if row.kind != codec.ENTRY or row.version > WITHOUT_MEANINGS:
        return row
    try:
        body = json.loads(row.body)
        call = from_json(body["call"])
    except (KeyError, TypeError, ValueError):
        return row
    row = replace(row, version=codec.VERSION)
    if call.act not in MEANS_MORE:
        return row
    (meant,) = with_meanings((call,), row.text, _reader(own))
    return replace(row, body=codec.to_json(body | {"call": meant.to_log()})) if meant.meant else row


@cache
def _reader(own: tuple[str, ...]) -> Reader:
    texts = grammar_texts()
    tables = tomllib.loads(texts["words.toml"])
    spelling = {word: tuple(said.split()) for word, said in tables.pop("spelling").items()}
    tables["position"] = {name: (name,) for name in own} | tables["position"]
    return Reader(with_words(load_signs(texts[FILE], spelling, read_parts(texts)), tables))
