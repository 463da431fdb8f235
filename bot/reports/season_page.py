"""The report of several trips laid out: a table for each thing that is compared, and how to read it. Pure."""

from collections.abc import Iterable, Sequence
from datetime import tzinfo
from typing import Final

from bot.replies.amounts import ratio
from bot.reports import words
from bot.reports.blocks import (
    Block,
    Facts,
    Figure,
    Figures,
    Heading,
    Notice,
    Page,
    Paragraph,
    Table,
)
from bot.reports.page import PLACES_OUT
from bot.reports.rules import SEASON_CAUTIONS
from bot.reports.season import Season, SeasonRow, SeasonTable, key_words
from bot.trip.exposure import By

_HEADS: Final = ("strikes", "lure-hours", "per 10 h", "95 % interval", "× average", "how sure")
_SECTIONS: Final[tuple[tuple[str, tuple[By, ...]], ...]] = (
    ("When, in what light and water", ("month", "light", "water", "hour")),
    ("What was out, and where", ("colour", "size", "head", "lure", "position")),
    ("Places", ("place",)),
)
HOW_COMPARED: Final = (
    "First stands what was counted: strikes, lure-hours, and the rate with its exact 95 % interval (Garwood)."
    " × average is how often the average of the table that is, with its 95 % interval; the last column how"
    " sure it is that it is better or worse than the rest, in words as in the guidance note of the IPCC (very"
    " likely: from 90 %)."
    " All rows of a table are compared at once by one model that draws small numbers to the average and"
    " allows for position, calendar month, good and bad days, and strikes that come in heaps. It knows"
    " nothing of moon, tide or who steered: what stands out is worth trying again, no more."
)


def season_page(season: Season, tz: tzinfo, figures: Sequence[Figure] = ()) -> Page:
    """Lay the report of several trips out."""
    title = f"{season.boat}: what works" if season.boat else "What works"
    blocks: list[Block] = [Heading("In short"), Paragraph(season.story), Facts(_facts(season, tz))]
    glance, when = ([f for f in figures if f.section == part] for part in ("day", "when"))
    blocks += [Figures(glance)] if glance else []
    for name, bys in _SECTIONS:
        tables = [table for table in season.tables if table.by in bys]
        if tables:
            blocks += [Heading(name), *_tables(tables)]
        if name == _SECTIONS[0][0] and when:
            blocks.append(Figures(when))
    blocks.append(Paragraph(HOW_COMPARED, small=True))
    if not season.with_positions:
        blocks.append(Paragraph(PLACES_OUT, small=True))
    blocks.append(Notice("Before the next trip", SEASON_CAUTIONS))
    return Page(title, season.label or "This trip", tuple(blocks))


def _facts(season: Season, tz: tzinfo) -> list[tuple[str, str]]:
    total = season.total
    found = [("Trips", str(season.trips))]
    if season.first and season.last:
        found += [
            ("First", words.day_words(season.first, tz)),
            ("Last", words.day_words(season.last, tz)),
        ]
    return [
        *found,
        ("Lure-hours", f"{total.hours:.1f}"),
        ("Strikes", str(total.strikes)),
        ("Fish on", str(total.hookups)),
        ("Caught", str(total.caught)),
        ("Strikes per 10 h", f"{words.per_10h(total)} ({words.interval(total)})"),
    ]


def _tables(tables: Iterable[SeasonTable]) -> Iterable[Block]:
    for table in tables:
        rows = [_row(row, table.by) for row in table.rows]
        heads = (table.by.capitalize(), *_HEADS)
        yield Table(heads, rows, caption=f"By {table.by}", ends_in_words=True)
        if table.left_out:
            yield Paragraph(f"{table.left_out} more with less to tell are left out.", small=True)


def _row(row: SeasonRow, by: By) -> tuple[str, ...]:
    one, stands = row.counted, row.stands
    strikes = f"{one.strikes} (few)" if row.few else str(one.strikes)
    cells = (
        key_words(one.key, by), strikes, f"{one.hours:.1f}", words.per_10h(one), words.interval(one),
    )  # fmt: skip
    if stands is None:
        return (*cells, words.NONE, words.NONE)
    return (*cells, ratio(stands.ratio, stands.low, stands.high), stands.sure)
