"""What dark and light lures got: "dark or light?". Pure."""

from dataclasses import replace
from typing import Final

from bot.answers.answer import Answer
from bot.answers.asked import Asked, tally_for
from bot.answers.tallies import FEW, row_line
from bot.answers.view import View
from bot.spread.score import tone
from bot.trip.tally import Tally, TallyRow

OTHER: Final = 2
_SHADES: Final = {-1: "dark", 1: "light", 0: "between, or of both", OTHER: "not in the box"}


def dark_or_light(view: View, want: Asked) -> Answer:
    """Answer with what dark, light and other lures got, each with its hours."""
    found = tally_for(view, replace(want, by="lure"))
    rows: dict[int, TallyRow] = {}
    for row in found.rows:
        lure = view.lure(row.key)
        shade = OTHER if lure is None else tone(lure)
        rows[shade] = _sum(rows.get(shade), row, _SHADES[shade])
    counted = [rows[shade] for shade in _SHADES if shade in rows]
    lines = [_line(row, found) for row in counted if row.hours or row.strikes]
    if sum(row.strikes for row in counted) < FEW:
        lines.append("Too few strikes to say which is better.")
    text = "\n".join(lines)
    return Answer(text, " ".join(lines[:2]))


def _sum(known: TallyRow | None, row: TallyRow, key: str) -> TallyRow:
    if known is None:
        return replace(row, key=key)
    return replace(
        known, strikes=known.strikes + row.strikes, hookups=known.hookups + row.hookups,
        caught=known.caught + row.caught, hours=known.hours + row.hours,
        raises=known.raises + row.raises,
    )  # fmt: skip


def _line(row: TallyRow, found: Tally) -> str:
    line = row_line(row, found)
    return line[:1].upper() + line[1:] + "."
