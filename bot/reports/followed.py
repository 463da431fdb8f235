"""What was proposed on a trip, whether it was done, and what came of it. Pure."""

from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime, timedelta, tzinfo

from bot.answers.values import row_json
from bot.messages import Advice
from bot.reports.report import Outcome, Placement, Rated
from bot.tackle.box import same_name
from bot.trip.entry import Advised, Record
from bot.trip.exposure import Only, horizon
from bot.trip.state import Trip
from bot.trip.tally import TallyRow, tally


def outcomes(
    trip: Trip, records: Iterable[Record], laid: Sequence[Placement], now: datetime, tz: tzinfo
) -> tuple[Outcome, ...]:
    """Return every proposal in the order made; the same one said again in a row counts as one."""
    return tuple(_outcome(trip, run, laid, now, tz) for run in _runs(records))


def _runs(records: Iterable[Record]) -> Iterator[list[Advised]]:
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


def _outcome(
    trip: Trip, run: list[Advised], laid: Sequence[Placement], now: datetime, tz: tzinfo
) -> Outcome:
    first, last = run[0], run[-1]
    advice = last.advice
    there = [one for one in laid if advice.position in (one.position, one.line)]
    new = next((one for one in there if one.start >= first.at), None)
    made = new is not None and same_name(new.lure, advice.lure)
    before = [one for one in there if new is not None and one.start < new.start]
    done = new if made else None
    return Outcome(
        first.at,
        len(run),
        advice.position,
        advice.lure,
        advice.reason,
        advice.chance,
        done.start if done else None,
        new.lure if new is not None and not made else None,
        _rated(done) if done else None,
        _rated(before[-1]) if done and before else None,
        _others(trip, done, now, tz) if done else None,
    )


def _rated(one: Placement) -> Rated:
    return Rated(**row_json(TallyRow(one.lure, strikes=one.strikes, hours=one.hours)))


def _others(trip: Trip, done: Placement, now: datetime, tz: tzinfo) -> Rated:
    """Return what the other lines brought while the new lure was there."""
    end = done.end or horizon(trip, now) + timedelta(seconds=1)
    total = tally((trip,), "none", now, tz, Only(since=done.start, before=end)).total
    hours = max(0.0, total.hours - done.hours)
    strikes = max(0, total.strikes - done.strikes)
    return Rated(**row_json(TallyRow("other lines", strikes=strikes, hours=hours)))
