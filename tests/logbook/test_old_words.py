"""Entries of a log from before it held what words mean: read once when it is opened, and never again."""

import json
import sqlite3
from dataclasses import replace
from pathlib import Path

import pytest

from bot.logbook import old_words
from bot.logbook.codec import Row
from bot.logbook.coming_in import admit
from bot.logbook.store import FILE, Logbook
from bot.trip.entry import Entry
from bot.trip.meant import Concerns, FromOtherLine, LostLure, Meaning, OnWave, Reminder, Weedy

DUMP = Path(__file__).parents[2] / "fixtures" / "schemas" / "v6.sql"
TRIP = "2026-03-16-old"
SAID: tuple[tuple[str, dict[str, object], tuple[Meaning, ...]], ...] = (
    ("note", {"text": "remind me to check for weed in twenty minutes"},
     (Reminder("check for weed", after_min=20),)),
    ("note", {"text": "short corner is fourteen metres back on the second wave"},
     (OnWave(14, 2, ("short corner",)),)),
    ("note", {"text": "leader chafed on the kite"}, (Concerns(("leader",)),)),
    ("note", {"text": "out of ice"}, ()),
    ("set", {"position": "kite", "colours": ["pink"]}, ()),
    ("sighting", {"what": "weed", "said": "weed on the kite"}, (Weedy(("kite",)),)),
    ("sighting", {"what": "weed", "said": "weed about"}, ()),
    ("set", {"position": "shotgun", "colours": ["pink"], "said": "move the pink to the shotgun"},
     (FromOtherLine(),)),
    ("rework", {"lure": "Door Bell", "text": "lost"}, (LostLure(),)),
    # As it was: a slip of the thumb made no reminder then, and makes none now.
    ("note", {"text": "remaind me to eat in ten minutes"}, ()),
)  # fmt: skip


def _row(number: int, act: str, slots: dict[str, object]) -> Row:
    call = {"act": act} | {name: value for name, value in slots.items() if name != "said"}
    text = str(slots.get("said", slots.get("text", act)))
    at = f"2026-03-16T06:{number:02d}:00Z"
    return Row(
        f"019d0000-0000-7000-8000-0000000000{number:02d}", f"m{number}", TRIP, at, "entry", 1,
        "Ann", "console", text, json.dumps({"call": call}),
    )  # fmt: skip


ROWS = tuple(_row(number, act, slots) for number, (act, slots, _) in enumerate(SAID))


@pytest.fixture
def old(tmp_path: Path) -> Path:
    """Return the home of a log of the tables of version 6."""
    db = sqlite3.connect(tmp_path / FILE)
    db.executescript(DUMP.read_text(encoding="utf-8"))
    db.execute("INSERT INTO trips (id, first_at) VALUES (?, ?)", (TRIP, ROWS[0].at))
    for row in ROWS:
        db.execute(
            "INSERT INTO records (id, message, trip, at, kind, version, crew, source, text, body)"
            " VALUES (?,?,?,?,?,?,?,?,?,?)",
            (row.id, row.message, row.trip, row.at, row.kind, row.version, row.crew, row.source,
             row.text, row.body),
        )  # fmt: skip
    db.commit()
    db.close()
    return tmp_path


def _meant(home: Path) -> list[tuple[Meaning, ...]]:
    with Logbook.open(home) as log:
        return [record.call.meant for record in log.records(TRIP) if isinstance(record, Entry)]


def test_the_words_of_old_entries_become_values(old: Path) -> None:
    assert _meant(old) == [meant for _, _, meant in SAID]


def test_they_are_read_once_and_the_log_is_guarded_again(
    old: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = _meant(old)
    monkeypatch.setattr(old_words, "with_meanings", None)  # whoever reads again fails

    assert _meant(old) == first
    db = sqlite3.connect(old / FILE)
    with pytest.raises(sqlite3.IntegrityError, match="only added to"):
        db.execute("UPDATE records SET text = 'x'")
    versions = db.execute("SELECT DISTINCT version FROM records WHERE kind = 'entry'").fetchall()
    db.close()
    assert versions == [(2,)]


def test_an_old_export_is_read_once_as_it_comes_in() -> None:
    row = admit(ROWS[0])

    assert isinstance(row, Row)
    assert json.loads(row.body)["call"]["meant"] == [
        {"kind": "reminder", "about": "check for weed", "after_min": 20}
    ]


def test_an_export_with_meanings_that_cannot_be_is_refused() -> None:
    body = {
        "call": {"act": "sighting", "what": "weed", "meant": [{"kind": "weedy", "positions": 5}]}
    }
    bad = replace(ROWS[0], body=json.dumps(body))

    assert "positions of what the words mean" in str(admit(bad))
