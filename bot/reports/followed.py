"""What was proposed on a trip, whether it was done, and what came of it. Pure.

A lure that was put out answers one proposal: the last one before it that named it there.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta, tzinfo
from typing import Final

from bot.answers.values import row_json
from bot.messages import Advice
from bot.reports.report import AdviceOutcome, Placement, RateRow
from bot.tackle.box import same_name
from bot.trip.entry import Advised, Record
from bot.trip.exposure import By, Only, horizon
from bot.trip.fold import fold
from bot.trip.history import standing_entries
from bot.trip.state import Trip
from bot.trip.tally import TallyRow, tally

RepeatedAdvice = Sequence[Advised]
"""The same change proposed again and again."""
_QUOTED: Final[tuple[By, ...]] = ("position", "head", "size", "colour", "lure")
"""What the reason of a proposal may quote figures of."""


@dataclass(frozen=True, slots=True)
class _Day:
    """What the proposals of a trip are held against."""

    trip: Trip
    records: Sequence[Record]
    laid: Sequence[Placement]
    now: datetime
    tz: tzinfo


def outcomes(
    trip: Trip, records: Sequence[Record], laid: Sequence[Placement], now: datetime, tz: tzinfo
) -> tuple[AdviceOutcome, ...]:
    """Return every proposal in the order made; the same one said again in a row counts as one."""
    day = _Day(trip, records, laid, now, tz)
    runs = tuple(_runs(records))
    answered = _answered(runs, laid)
    return tuple(_outcome(day, run, runs[answered.get(n, n)]) for n, run in enumerate(runs))


def _runs(records: Sequence[Record]) -> Iterator[RepeatedAdvice]:
    run: list[Advised] = []
    for one in sorted((r for r in records if isinstance(r, Advised)), key=lambda r: (r.at, r.id)):
        if run and _same(run[-1].advice, one.advice):
            run.append(one)
            continue
        if run:
            yield run
        run = [one]
    if run:
        yield run


def _same(one: Advice, other: Advice) -> bool:
    return one.position == other.position and same_name(one.lure, other.lure)


def _there(run: RepeatedAdvice, laid: Sequence[Placement]) -> list[Placement]:
    return [one for one in laid if run[-1].advice.position in (one.position, one.line)]


def _next(run: RepeatedAdvice, laid: Sequence[Placement]) -> Placement | None:
    """Return what went out there first after it was proposed."""
    return next((one for one in _there(run, laid) if one.start >= run[0].at), None)


def _answered(runs: Sequence[RepeatedAdvice], laid: Sequence[Placement]) -> Mapping[int, int]:
    """Return the last proposal that each lure going out answered."""
    made: dict[int, Placement] = {}
    for number, run in enumerate(runs):
        new = _next(run, laid)
        if new is not None and same_name(new.lure, run[-1].advice.lure):
            made[number] = new
    return {
        number: max(other for other, there in made.items() if there is new)
        for number, new in made.items()
    }


def _holds(day: _Day, said: Advised) -> bool:
    """Return whether the log tells of the time before a proposal what it told when it was made."""
    then = fold(standing_entries(day.records[: day.records.index(said)]), until=said.at)
    since = fold(standing_entries(day.records), until=said.at)
    return all(
        tally((then,), by, said.at, day.tz) == tally((since,), by, said.at, day.tz)
        for by in _QUOTED
    )


def _outcome(day: _Day, run: RepeatedAdvice, last: RepeatedAdvice) -> AdviceOutcome:
    """Return what became of a proposal; `last` is the one that the change answered, often itself."""
    advice = run[-1].advice
    new = _next(run, day.laid)
    made = new is not None and same_name(new.lure, advice.lure)
    before = [one for one in _there(run, day.laid) if new is not None and one.start < new.start]
    done = new if made and last is run else None
    return AdviceOutcome(
        run[0].at,
        len(run),
        advice.position,
        advice.lure,
        advice.reason if _holds(day, run[-1]) else "",
        advice.chance,
        done.start if done else None,
        new.lure if new is not None and not made else None,
        _rated(done) if done else None,
        _rated(before[-1]) if done and before else None,
        _others(day, done) if done else None,
        last[0].at if last is not run else None,
        run[-1].at if len(run) > 1 else None,
    )


def _rated(one: Placement) -> RateRow:
    return RateRow(**row_json(TallyRow(one.lure, strikes=one.strikes, hours=one.hours)))


def _others(day: _Day, done: Placement) -> RateRow:
    """Return what the other lines brought while the new lure was there."""
    end = done.end or horizon(day.trip, day.now) + timedelta(seconds=1)
    total = tally((day.trip,), "none", day.now, day.tz, Only(since=done.start, before=end)).total
    hours = max(0.0, total.hours - done.hours)
    strikes = max(0, total.strikes - done.strikes)
    return RateRow(**row_json(TallyRow("other lines", strikes=strikes, hours=hours)))
