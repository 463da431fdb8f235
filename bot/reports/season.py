"""Several trips as one value: what works on this boat, and how sure that is. Frozen, plain, worked out once.

Counted and compared with the functions that answer "what works" in the chat.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any, Final

from bot.advice.standing import Standing
from bot.answers.asked import Span, TallyRequest, tally_for
from bot.answers.seasons import compare_rows, how_sure
from bot.answers.tallies import FEW
from bot.answers.values import row_json
from bot.answers.view import View
from bot.answers.what_works import SURE, place_names
from bot.replies.amounts import count, percent, sentence
from bot.reports import words
from bot.reports.report import RateRow
from bot.trip.conditions import UNKNOWN
from bot.trip.exposure import By
from bot.trip.tally import IN_ORDER, Tally, TallyRow

BYS: Final[tuple[By, ...]] = (
    "month", "light", "water", "hour", "colour", "size", "head", "lure", "position",
)  # fmt: skip
"""What is compared, in the order of the report; places only where they are asked for."""
MOST_ROWS: Final = 16


@dataclass(frozen=True, slots=True)
class Stands:
    """How a row stands against the average of all in its table."""

    ratio: float
    low: float
    high: float
    better: float
    """Probability that it is better than the rest."""
    sure: str
    """The same in words."""


@dataclass(frozen=True, slots=True)
class SeasonRow:
    """A row: what was counted, and how it stands; None where it cannot be compared."""

    counted: RateRow
    few: bool
    stands: Stands | None


@dataclass(frozen=True, slots=True)
class SeasonTable:
    """All that was counted by one thing, or the rows that matter most of many."""

    by: By
    rows: tuple[SeasonRow, ...]
    left_out: int = 0


@dataclass(frozen=True, slots=True)
class Season:
    """Several trips together."""

    boat: str
    label: str
    """Which trips, e.g. `This season, since 3 October`."""
    trips: int
    first: datetime | None
    last: datetime | None
    story: str
    total: RateRow
    tables: tuple[SeasonTable, ...]
    with_positions: bool


def season(view: View, span: Span, boat: str = "", *, positions: bool = False) -> Season:
    """Work out what works over the trips of a span; places stand in it only where `positions` says so."""
    want = TallyRequest(span=span)
    total = RateRow(**row_json(tally_for(view, want).total))
    starts = _starts(view, span)
    bys: tuple[By, ...] = (*BYS, "place") if positions else BYS
    tables = tuple(t for by in bys if (t := _table(view, replace(want, by=by))) is not None)
    return Season(
        boat,
        span.label,
        len(starts),
        starts[0] if starts else None,
        starts[-1] if starts else None,
        _story(total, len(starts), tables),
        total,
        tables,
        positions,
    )


def picture_tally(view: View, span: Span, by: By) -> Tally:
    """Return the tally of a picture."""
    return tally_for(view, TallyRequest(by, span=span))


def _starts(view: View, span: Span) -> list[datetime]:
    found = [
        header.started
        for header in view.past.ledger.headers
        if span.earlier is None or header.trip in span.earlier
    ]
    if span.here and view.trip.first_at is not None:
        found.append(view.trip.started or view.trip.first_at)
    return sorted(found)


def _table(view: View, want: TallyRequest) -> SeasonTable | None:
    found = tally_for(view, want)
    rows = [row for row in found.rows if row.hours or row.strikes]
    if not [row for row in rows if row.key != UNKNOWN]:
        return None
    stands = compare_rows(view, want)
    names = place_names(view, want, found)
    shown = rows
    if len(rows) > MOST_ROWS:
        best = sorted(rows, key=lambda row: -_better(stands.get((row.key, "")), row))[:MOST_ROWS]
        shown = [row for row in rows if row in best] if want.by in IN_ORDER else best
    made = (
        _row(row, stands.get((row.key, row.other)), names.get(row.key, row.key)) for row in shown
    )
    return SeasonTable(want.by, tuple(made), len(rows) - len(shown))


def _better(standing: Standing | None, row: TallyRow) -> float:
    return standing.better if standing is not None else 0.0 if row.key == UNKNOWN else 0.5


def _row(row: TallyRow, standing: Standing | None, name: str) -> SeasonRow:
    shown: dict[str, Any] = row_json(row) | {"key": name}
    stands = None
    if standing is not None:
        ratio, low, high = (round(v, 3) for v in (standing.ratio, standing.low, standing.high))
        stands = Stands(ratio, low, high, round(standing.better, 3), how_sure(standing))
    return SeasonRow(RateRow(**shown), row.strikes < FEW, stands)


def _story(total: RateRow, trips: int, tables: Iterable[SeasonTable]) -> str:
    """Return a paragraph on what there was and what stands out."""
    parts = [
        f"{count(trips, 'trip')}, {total.hours:.0f} lure-hours: {count(total.strikes, 'strike')},"
        f" {total.hookups} fish on and {total.caught} caught"
    ]
    if words.per_10h(total) != words.NONE:
        parts.append(f"{words.per_10h(total)} strikes in ten lure-hours ({words.interval(total)})")
    good, bad = _outstanding(tables)
    parts.append(
        f"Better than the rest: {words.join_words(good)}" if good else "Nothing stands out yet"
    )
    if bad:
        parts.append(f"Worse: {words.join_words(bad)}")
    return " ".join(sentence(part) for part in parts)


def _outstanding(tables: Iterable[SeasonTable]) -> tuple[list[str], list[str]]:
    """Return the best of every table that is surely better, and the worst that is surely worse."""
    good, bad = [], []
    for table in tables:
        known = [(row.stands.better, row) for row in table.rows if row.stands is not None]
        if not known or table.by in ("place", "lure"):
            continue
        best, worst = max(known, key=lambda o: o[0]), min(known, key=lambda o: o[0])
        if best[0] >= SURE:
            good.append(f"{key_words(best[1].counted.key, table.by)} ({percent(best[0])})")
        if worst[0] <= 1.0 - SURE:
            bad.append(f"{key_words(worst[1].counted.key, table.by)} ({percent(1.0 - worst[0])})")
    return good, bad


def key_words(key: str, by: By) -> str:
    """Write a key so that it tells what it is."""
    return f"{key}-inch" if by == "size" and key != UNKNOWN else key
