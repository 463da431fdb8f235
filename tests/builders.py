"""Entries, trips and messages in one line each, for the tests of every package."""

from collections.abc import Iterable, Sequence
from datetime import UTC, datetime, timedelta, tzinfo
from itertools import count
from typing import Any

from bot.messages import Message, Source
from bot.tackle.items import Lure
from bot.trip.call import Call
from bot.trip.decide import decide
from bot.trip.decision import Context, Decision, Numbering, number
from bot.trip.entry import Entry, Record
from bot.trip.fold import fold
from bot.trip.history import in_order
from bot.trip.state import Trip

DAY = datetime(2026, 3, 14, tzinfo=UTC)
"""Midnight (UTC) of the day on which the trips of the tests take place."""
TRIP = "2026-03-14-test"


def at(clock: str, day: datetime = DAY) -> datetime:
    """Return the time `HH:MM` or `HH:MM:SS` of the day."""
    hours, minutes, *seconds = (int(part) for part in clock.split(":"))
    return day + timedelta(hours=hours, minutes=minutes, seconds=sum(seconds))


def call(act: str, position: str | None = None, lure: str = "", **slots: Any) -> Call:
    """Return a call; `lure` in short: `purple 8`, `black white 12.5`, `@Church Hat` for a name."""
    return Call(act, position, **(_lure(lure) | slots))  # type: ignore[arg-type]


def entry(clock: str, act: str, position: str | None = None, lure: str = "", **slots: Any) -> Entry:
    """Return an entry of the trip; `said` is its text, and ids follow the order of making.

    Other fields of an entry go by their names; what is left are slots of the call.
    """
    about: dict[str, Any] = {
        key: slots.pop(key)
        for key in (
            "crew",
            "message",
            "replaces",
            "inferred",
            "trip",
            "source",
            "id",
            "latitude",
            "longitude",
            "stamp",
        )
        if key in slots
    }
    number = next(_NUMBERS)
    words = slots.pop("said", " ".join(w for w in (act, position, lure) if w))
    values: dict[str, Any] = {
        "id": f"{number:08d}", "trip": TRIP, "crew": "Mate", "source": "console",
        "text": words, "message": f"m{number:08d}",
    }  # fmt: skip
    return Entry(at=at(clock), call=call(act, position, lure, **slots), **(values | about))


def trip(*entries: Entry) -> Trip:
    """Fold entries, in whatever order they are given."""
    return fold(in_order(entries))


def day_of(lines: Iterable[str]) -> tuple[Entry, ...]:
    """Return entries from lines such as `07:00 set | long rigger | purple 8`."""
    made = []
    for line in lines:
        clock, rest = line.split(maxsplit=1)
        act, position, lure = ([p.strip() for p in rest.split("|")] + ["", ""])[:3]
        made.append(entry(clock, act, position or None, lure))
    return tuple(made)


def message(
    text: str | None = "lines in",
    crew: str = "Mate",
    when: datetime | None = None,
    source: Source = "console",
    **values: Any,
) -> Message:
    """Return a message."""
    return Message(crew=crew, at=when or at("07:00"), source=source, text=text, **values)


def said(
    records: Sequence[Record],
    clock: str,
    *calls: Call,
    heard: str = "",
    crew: str = "Mate",
    box: Sequence[Lure] = (),
    tz: tzinfo = UTC,
) -> tuple[Decision, tuple[Record, ...]]:
    """Decide the calls of one message, and give the decision with the log as it is after it."""
    context = Context(at(clock), tz, box, heard or " ".join(c.act for c in calls))
    decision = decide(calls, records, context)
    name = f"m{next(_NUMBERS):08d}"
    about = Numbering(
        lambda: f"{next(_NUMBERS):08d}", TRIP, name, crew, "console", context.heard, at(clock)
    )
    return decision, (*records, *number(decision, about))


def log_of(*messages: tuple[str, Call] | tuple[str, Call, Call]) -> tuple[Record, ...]:
    """Return the log after messages, each a clock and its calls."""
    records: tuple[Record, ...] = ()
    for clock, *calls in messages:
        records = said(records, clock, *calls)[1]
    return records


def _lure(short: str) -> dict[str, Any]:
    if short.startswith("@"):
        return {"lure": short[1:]}
    words = short.split()
    numbers = [float(w) for w in words if w[0].isdigit()]
    colours = tuple(w for w in words if not w[0].isdigit())
    return {"colours": colours} | ({"size_in": numbers[0]} if numbers else {})


_NUMBERS = count(1)
