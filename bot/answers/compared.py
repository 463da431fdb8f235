"""One held against another: this trip against others, dark lures against light ones. Pure.

"how many strikes today vs yesterday", "did we beat his", "dark or light?"
"""

from dataclasses import replace
from typing import Final

from bot.answers.answer import Answer
from bot.answers.asked import THIS_TRIP, Span, TallyRequest, named_span, tally_for, trips_in
from bot.answers.tallies import FEW, LEAST_H, row_line, unequal, whole_lines
from bot.answers.view import View
from bot.replies.amounts import count
from bot.spread.score import tone
from bot.trip.call import Call
from bot.trip.meant import TallyQuestion
from bot.trip.tally import Tally, TallyRow

HARDLY_LUCK = 0.01
MAYBE_LUCK = 0.1
"""Chances of a difference where there is none, below which it is called so."""
OTHER: Final = 2
_SHADES: Final = {-1: "dark", 1: "light", 0: "between, or of both", OTHER: "not in the box"}


def other_trips(view: View, call: Call) -> Span | None:
    """Return the trips that this one is to be held against; None where that is not asked."""
    named = call.meaning(TallyQuestion)
    if not call.asks("compared") or named is None or not named.span:
        return None
    span = named_span(view, named.span)
    if span is None or span.earlier is None:
        return None
    return named_span(view, "trip_before") if span.here and not span.earlier else span


def answer_comparison(view: View, want: TallyRequest, call: Call) -> Answer | None:
    """Answer with the figures of this trip and of the other ones; None for another question."""
    span = other_trips(view, call)
    if span is None:
        return None
    here, there = (
        tally_for(view, replace(want, by="none", also="none", span=one)).total
        for one in (THIS_TRIP, replace(span, here=False))
    )
    trips = trips_in(view, replace(span, here=False))
    now = [" ".join(whole_lines(here, "This trip"))]
    if not trips:
        return Answer("\n".join([*now, f"{span.label}: no trip in the log."]), now[0])
    head = span.label if trips == 1 else f"{span.label}, {count(trips, 'trip')}"
    then = [" ".join(whole_lines(there, head))]
    return Answer("\n".join([*now, *then, _which_more(here, there)]), f"{now[0]} {then[0]}")


def _which_more(here: TallyRow, there: TallyRow) -> str:
    """Return which had more strikes for its lure time, and whether that is more than luck."""
    if here.strikes + there.strikes < FEW or min(here.hours, there.hours) < LEAST_H:
        return "Too little of either to say which is better."
    chance = unequal(here.strikes, here.hours, there.strikes, there.hours)
    luck = "hardly luck" if chance < HARDLY_LUCK else "may be luck"
    luck = luck if chance < MAYBE_LUCK else "could well be luck"
    more = here.strikes / here.hours >= there.strikes / there.hours
    return f"{'More' if more else 'Fewer'} strikes for the lure time on this trip; {luck}."


def dark_or_light(view: View, want: TallyRequest) -> Answer:
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
