"""The day in a paragraph. Pure."""

from collections.abc import Sequence
from datetime import timedelta, tzinfo
from typing import Final

from bot.answers.tallies import FEW
from bot.replies.amounts import clock, count, sentence, span_words
from bot.reports.report import AdviceOutcome, Catch, Day
from bot.reports.words import day_words, fish_in_words, join_words, span, warmth
from bot.trip.said_units import weight_of
from bot.trip.tally import TallyRow

MOST_NAMED: Final = 6
"""Catches that are told one by one; more are counted."""


def story(
    boat: str,
    day: Day,
    total: TallyRow,
    catches: Sequence[Catch],
    proposals: Sequence[AdviceOutcome],
    tz: tzinfo,
) -> str:
    """Tell the day."""
    parts = [_when(boat, day, total, tz), _bites(total), *_caught(catches, tz)]
    parts += _advice(proposals)
    if total.strikes and total.strikes < FEW:
        parts.append("So few strikes show no pattern; take the rates below with that in mind.")
    return " ".join(sentence(part) for part in parts if part)


def _when(boat: str, day: Day, total: TallyRow, tz: tzinfo) -> str:
    start = day.lines_in or day.started
    name = boat or "The boat"
    if start is None:
        return "the log holds nothing of this trip"
    date = day_words(start, tz)
    if day.lines_in is None:
        return f"{name} logged a trip on {date}; lines were not called in"
    text = f"{name} fished on {date} from {clock(day.lines_in, tz)}"
    if day.lines_out is not None:
        text += f" to {clock(day.lines_out, tz)}"
    elif day.until is not None:
        text += f" (lines were not called out; counted to {clock(day.until, tz)})"
    text += f": {span_words(timedelta(hours=day.fishing_h))} with lines in"
    text += f", {total.hours:.1f} lure-hours"
    if day.speed_kn is not None:
        text += f" at {span(day.speed_kn, 'kn')}"
    if day.water_c is not None:
        text += f" in water of {warmth(day.water_c, day.units)}"
    return text


def _bites(total: TallyRow) -> str:
    if not total.strikes:
        raised = f", though {count(total.raises, 'fish')} came up" if total.raises else ""
        return f"nothing bit{raised}"
    text = count(total.strikes, "strike")
    if total.raises:
        text += f" and {count(total.raises, 'raise')}"
    ends = [f"{count(total.hookups, 'fish')} on", f"{total.caught} caught"]
    if total.lost:
        ends.append(f"{total.lost} lost after hook-up")
    return f"{text}, {join_words(ends)}"


def _caught(catches: Sequence[Catch], tz: tzinfo) -> list[str]:
    if not catches or len(catches) > MOST_NAMED:
        return []
    told = [_fish(one, tz) for one in catches]
    return [join_words(told)]


def _fish(one: Catch, tz: tzinfo) -> str:
    words = fish_in_words(one.species, one.count)
    if one.weight_kg is not None:
        words += f" of {weight_of(one.weight_kg, one.weight_unit, one.count)}"
    fate = "was" if one.count == 1 else "were"
    fate += " kept" if one.kept else " tagged and let go" if one.tagged else " let go"
    return f"{words} {fate} at {clock(one.at, tz)}"


def _advice(proposals: Sequence[AdviceOutcome]) -> list[str]:
    if not proposals:
        return []
    made = sum(one.made_at is not None for one in proposals)
    return [f"{count(len(proposals), 'change')} proposed, {made} made"]
