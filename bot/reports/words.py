"""How the report writes what it holds: days, species, lengths of time, shares. Pure."""

from datetime import datetime, timedelta, tzinfo
from typing import Final

from bot.answers.tallies import FEW, LEAST_H, TOO_LITTLE
from bot.replies.amounts import clock, hours_words, number, rate, span_words
from bot.reports.report import RateRow, Share, Span
from bot.tackle.crew_units import CrewUnits

NONE: Final = "-"
_DAYS: Final = "Monday Tuesday Wednesday Thursday Friday Saturday Sunday".split()
_MONTHS: Final = (
    "January February March April May June July August September October November December"
).split()


def day_words(at: datetime, tz: tzinfo) -> str:
    """Write a day in full, whatever the language of the machine: `Saturday 7 February 2026`."""
    local = at.astimezone(tz)
    return f"{_DAYS[local.weekday()]} {local.day} {_MONTHS[local.month - 1]} {local.year}"


def when(at: datetime | None, tz: tzinfo, first: datetime | None = None) -> str:
    """Write a time; with the day before it where that is not the day of `first`."""
    if at is None:
        return NONE
    text = clock(at, tz)
    if first is None or at.astimezone(tz).date() == first.astimezone(tz).date():
        return text
    local = at.astimezone(tz)
    return f"{local.day} {_MONTHS[local.month - 1][:3]} {text}"


def minutes(value: float | None) -> str:
    """Write minutes."""
    return NONE if value is None else span_words(timedelta(minutes=value))


def hours(value: float) -> str:
    """Write hours with lines in."""
    return hours_words(value)


def kind(species: str | None, count: int = 1) -> str:
    """Name fish: `yellowfin tuna`, `2 mahi-mahi`, `fish, not named`."""
    name = species or "fish, not named"
    return f"{count} {name}" if count > 1 else name


def fish_in_words(species: str | None, count: int = 1) -> str:
    """Name fish within a sentence: `a wahoo`, `an albacore`, `2 mahi-mahi`, `a fish nobody named`."""
    if species is None:
        return f"{count} fish nobody named" if count > 1 else "a fish nobody named"
    if count > 1:
        return f"{count} {species}"
    return f"{'an' if species[:1].lower() in 'aeiou' else 'a'} {species}"


def span(value: Span | None, unit: str) -> str:
    """Write what was called, from the least to the most: `7.5 kn`, `22.1 to 23.4 °C`."""
    if value is None:
        return NONE
    if value.low == value.high:
        return f"{number(value.low)} {unit}"
    return f"{number(value.low)} to {number(value.high)} {unit}"


def warmth(value: Span | None, units: CrewUnits) -> str:
    """Write temperatures of the water as the crew does: `22.1 to 23.4 °C`, `72 °F`."""
    return NONE if value is None else units.warmths(value.low, value.high)


def depth(value: Span | None, units: CrewUnits) -> str:
    """Write depths: `120 to 340 m`, or in feet."""
    if value is None or not units.imperial:
        return span(value, "m")
    ends = dict.fromkeys(units.distance(m).removesuffix(" ft") for m in (value.low, value.high))
    return f"{' to '.join(ends)} ft"


def per_10h(row: RateRow) -> str:
    """Write a rate; `-` where hardly a lure fished."""
    return rate(row.rate_per_10h) if row.hours >= LEAST_H else NONE


def interval(row: RateRow) -> str:
    """Write the 95 % interval of a rate."""
    if row.low is None:
        return NONE
    return f"{rate(row.low)} to {rate(row.high)}" if row.hours >= LEAST_H else TOO_LITTLE


def share(one: Share) -> str:
    """Write a share in per cent; of few it would say more than is known."""
    if not one.trials:
        return NONE
    return f"{100 * one.successes / one.trials:.0f} %" if one.trials >= FEW else "too few to say"


def share_interval(one: Share) -> str:
    """Write the 95 % interval of a share."""
    if one.low is None or one.high is None or one.trials < FEW:
        return NONE
    return f"{100 * one.low:.0f} to {100 * one.high:.0f} %"


def join_words(parts: list[str]) -> str:
    """Join with commas and a last `and`."""
    return f"{', '.join(parts[:-1])} and {parts[-1]}" if len(parts) > 1 else "".join(parts)
