"""Logs of many trips, made in bulk for `bench scale`: invented days, written straight into the tables.

A few days are invented entry by entry, with a spread that is changed, fish, readings, notes and undone
calls; every trip is one of them on another date. Made once, and kept in the user's cache folder.
"""

import random
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from dataclasses import astuple, dataclass, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any, Final
from zoneinfo import ZoneInfo

from bot.logbook import codec
from bot.logbook.ids import trip_id
from bot.logbook.store import FILE, Logbook
from bot.messages import Reply
from bot.tackle.items import Lure
from bot.transcript import typed_transcript
from bot.trip.call import POSITIONS, Call
from bot.trip.entry import Entry

VERSION: Final = 2
"""Counts up when other logs are made."""
ZONE: Final = "Pacific/Auckland"
SETTINGS: Final = f'[boat]\ntimezone = "{ZONE}"\nlatitude = -36.8\nlongitude = 175.3\n'
FIRST_DAY: Final = datetime(2021, 1, 2, 17, 0, tzinfo=UTC)
"""Six in the morning there."""
PATTERNS: Final = 12
"""Days that are invented; the trips take them in turn."""
CREW: Final = ("Ann", "Bo", "Cy", "Dee")
HEADS: Final = ("blunt", "cupped", "slanted", "slim")
COLOURS: Final = ("black", "blue", "green", "orange", "pink", "purple", "red", "white", "yellow")
FISH: Final = ("striped marlin", "blue marlin", "yellowfin tuna", "mahi-mahi", "wahoo")
THINGS: Final = ("birds", "bait", "weed", "current line", "tailing fish")
TROLLING: Final = timedelta(hours=10)
BATCH: Final = 50


@dataclass(frozen=True, slots=True)
class _Said:
    """One entry of an invented day, ready to be dated."""

    after_s: int
    crew: str
    text: str
    body: str
    alternatives: str
    undone: bool


def lures() -> tuple[Lure, ...]:
    """Return the tackle box of the bench: forty-five lures of our own invention."""
    return tuple(
        Lure(
            f"{colour.title()} {number}", size_in, (colour, COLOURS[(place + number) % 9]),
            head=HEADS[(place + number) % 4], ready=True,
        )
        for place, colour in enumerate(COLOURS)
        for number, size_in in enumerate((6.0, 8.0, 10.0, 12.0, 14.0), 1)
    )  # fmt: skip


def last_day(trips: int) -> datetime:
    """Return when the last trip of a log began."""
    return FIRST_DAY + (trips - 1) * timedelta(days=2)


def make(home: Path, trips: int, entries: int) -> None:
    """Make a log of so many trips with so many entries each."""
    home.mkdir(parents=True, exist_ok=True)
    (home / "deckcall.toml").write_text(SETTINGS, encoding="utf-8")
    with Logbook.open(home) as log:
        log.import_lures(lures(), FIRST_DAY - timedelta(days=1))
    days = [tuple(_day(random.Random(seed), entries)) for seed in range(PATTERNS)]
    with closing(sqlite3.connect(home / FILE, isolation_level=None)) as db:
        db.execute("PRAGMA synchronous = OFF")
        for first in range(0, trips, BATCH):
            db.execute("BEGIN")
            for number in range(first, min(first + BATCH, trips)):
                _write(db, number, days[number % PATTERNS])
            db.execute("COMMIT")
        db.execute("PRAGMA wal_checkpoint(TRUNCATE)")


def summarise(home: Path, trips: int) -> None:
    """Make the figures of all trips, as a log has them that was written over the years."""
    with Logbook.open(home) as log:
        log.summaries.figures(
            last_day(trips) + timedelta(days=2), ZoneInfo(ZONE), home=(-36.8, 175.3)
        )


def _write(db: sqlite3.Connection, number: int, day: tuple[_Said, ...]) -> None:
    begun = FIRST_DAY + number * timedelta(days=2)
    name = trip_id(_id(begun, 0), begun)
    records, messages, stands = [], [], []
    for place, said in enumerate(day):
        at = begun + timedelta(seconds=said.after_s)
        message, entry = _id(at, 3 * place), _id(at, 3 * place + 1)
        written = codec.to_text(at)
        records.append((entry, message, name, written, codec.ENTRY, codec.VERSION, said.crew,
                        "telegram", said.text, said.body))  # fmt: skip
        reply = Reply(f"{said.text}. Logged.", logged=(entry,), heard=said.text)
        messages.append((message, f"telegram:1:{number}-{place}", said.crew, "telegram", written,
                         written, said.text, said.alternatives, "logged", 0.97,
                         codec.encode_reply(reply)))  # fmt: skip
        if said.undone:
            void = _id(at, 3 * place + 2)
            records.append((void, message, name, written, codec.VOIDED, codec.VERSION, "", "", "",
                            codec.to_json({"entries": [entry]})))  # fmt: skip
            stands.append((entry, 1, void))
    db.execute("INSERT INTO trips (id, first_at) VALUES (?,?)", (name, codec.to_text(begun)))
    db.executemany(
        "INSERT INTO records (id, message, trip, at, kind, version, crew, source, text, body)"
        " VALUES (?,?,?,?,?,?,?,?,?,?)", records)  # fmt: skip
    db.executemany(
        "INSERT INTO messages (id, ref, crew, source, said_at, arrived_at, text, alternatives,"
        " outcome, confidence, reply) VALUES (?,?,?,?,?,?,?,?,?,?,?)", messages)  # fmt: skip
    db.executemany("INSERT INTO stands (entry, void, record) VALUES (?,?,?)", stands)


def _id(at: datetime, number: int) -> str:
    """Return an id in the form of version 7 for a time of the past."""
    milliseconds = f"{int(at.timestamp() * 1000):012x}"
    return f"{milliseconds[:8]}-{milliseconds[8:]}-7{number >> 48:03x}-8000-{number:012x}"


# An invented day


def _day(rng: random.Random, entries: int) -> Iterator[_Said]:
    """Invent a day: spread out, then so many entries over ten hours, then lines out and home."""
    box, spread = lures(), {}
    calls = [Call("trip_start"), Call("lines_in")]
    for position in POSITIONS:
        spread[position] = rng.choice(box)
        calls.append(_laid("set", position, spread[position]))
    while len(calls) < entries - 2:
        calls += _something(rng, box, spread)
    calls = [*calls[: entries - 2], Call("lines_out"), Call("trip_end")]
    step_s = TROLLING.total_seconds() / len(calls)
    for place, call in enumerate(calls):
        undone = call.act in ("sighting", "note") and rng.random() < 0.02
        yield _said(round(place * step_s), rng.choice(CREW), call, undone)


def _something(rng: random.Random, box: tuple[Lure, ...], spread: dict[str, Lure]) -> list[Call]:
    position = rng.choice(POSITIONS)
    match rng.choices(("fish", "reading", "seen", "change"), (11, 30, 25, 12))[0]:
        case "fish":
            return _encounter(rng, position, spread[position])
        case "reading":
            if rng.random() < 0.5:
                return [Call("speed", speed_kn=rng.choice((6.5, 7.0, 7.5, 8.0, 8.5)))]
            return [Call("water", water_c=rng.choice((20.5, 21.0, 21.5)))]
        case "seen":
            if rng.random() < 0.5:
                return [Call("sighting", what=rng.choice(THINGS))]
            return [Call("note", text=f"current line to the {rng.choice(('east', 'west'))}")]
        case _:
            spread[position] = rng.choice(box)
            return [_laid("swap", position, spread[position])]


def _encounter(rng: random.Random, position: str, lure: Lure) -> list[Call]:
    bite = _laid("strike", position, lure)
    if rng.random() < 0.45:
        return [bite, Call("miss", position)]
    species = rng.choice(FISH)
    act = rng.choice(("release", "boat", "pulled_hook"))
    hooked = replace(_laid("hookup", position, lure), species=species)
    return [bite, hooked, Call(act, position, species=species)]  # type: ignore[arg-type]


def _laid(act: Any, position: str, lure: Lure) -> Call:
    return Call(
        act, position, lure=lure.name, size_in=lure.size_in, colours=lure.colours, head=lure.head
    )


def _said(after_s: int, crew: str, call: Call, undone: bool) -> _Said:
    slots = [call.act.replace("_", " "), call.position or "", call.lure or "", call.species or "",
             call.what or "", call.text or ""]  # fmt: skip
    text = " ".join(word for word in slots if word)
    inferred = ("size_in", "colours", "head") if call.lure else ()
    entry = Entry("", "", FIRST_DAY, call, crew, "telegram", text, inferred=inferred)
    body = astuple(codec.encode(entry, ""))[-1]
    heard = codec.encode_transcript(typed_transcript(text))
    return _Said(after_s, crew, text, str(body), heard, undone)
