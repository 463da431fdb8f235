"""What lay where: stints of one lure on one line joined again, with their hours and strikes. Pure."""

from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta

from bot.reports.report import Placement
from bot.trip.exposure import horizon
from bot.trip.fish import Fish
from bot.trip.lures import agrees, is_known
from bot.trip.state import Stint, Trip


def placements(trip: Trip, now: datetime) -> tuple[Placement, ...]:
    """Return what was on every line in turn, by the time it went out; what never fished has no hours."""
    upto = horizon(trip, now)
    found: list[Placement] = []
    for runs in _runs(trip.stints).values():
        starts = [
            _start(run, before, trip) for before, run in zip([None, *runs], runs, strict=False)
        ]
        ends = [*starts[1:], None if runs[-1][0].line in trip.spread else runs[-1][-1].end]
        for run, start, end in zip(runs, starts, ends, strict=True):
            left = _left(run[-1], trip.stints, end)
            found.append(_placement(run, start, left or end, trip, upto))
    fished = {one.line for one in found}
    found += [
        Placement(lure.line, lure.position, lure.label, lure.set_at or lure.since, None, 0.0, 0)
        for lure in trip.spread.values()
        if lure.line not in fished
    ]
    return tuple(sorted(found, key=lambda one: (one.start, one.line)))


def _runs(stints: Iterable[Stint]) -> dict[str, list[list[Stint]]]:
    """Join the stints of every line that follow each other with the same lure."""
    found: dict[str, list[list[Stint]]] = {}
    all_stints = sorted(stints, key=lambda s: s.start)
    for stint in all_stints:
        runs = found.setdefault(stint.line, [])
        same = bool(runs) and runs[-1][-1].label == stint.label
        if same and _left(runs[-1][-1], all_stints, stint.start) is None:
            runs[-1].append(stint)
        else:
            runs.append([stint])
    return found


def _left(stint: Stint, others: Iterable[Stint], before: datetime | None) -> datetime | None:
    """Return when a lure left its line because it was on another one before a time; None where it stayed."""
    if stint.lure is None or stint.end is None:
        return None
    elsewhere = (
        one
        for one in others
        if one.lure == stint.lure
        and one.line != stint.line
        and stint.end <= one.start
        and (before is None or one.start < before)
    )
    return stint.end if next(elsewhere, None) is not None else None


def _start(run: Sequence[Stint], before: Sequence[Stint] | None, trip: Trip) -> datetime:
    """Return when a lure went out: where a fish took it at once, before the first time that counts."""
    first = run[0]
    earliest = before[-1].end if before else None
    bites = [
        fish.bite_at
        for fish in trip.fish
        if fish.line == first.line and fish.bite_at is not None and is_known(fish)
        and agrees(fish, first) and earliest is not None and earliest <= fish.bite_at < first.start
    ]  # fmt: skip
    return min(bites, default=first.start)


def _placement(
    run: Sequence[Stint], start: datetime, end: datetime | None, trip: Trip, upto: datetime
) -> Placement:
    first = run[0]
    spent = sum(((s.end or upto) - s.start for s in run), timedelta())
    strikes = sum(_bit(fish, first, start, end) for fish in trip.fish)
    return Placement(
        first.line, first.position, first.label, start, end,
        max(0.0, spent / timedelta(hours=1)), strikes,
    )  # fmt: skip


def _bit(fish: Fish, lure: Stint, start: datetime, end: datetime | None) -> bool:
    """Return whether a fish took it there; at the minute of a change the lure that was named decides."""
    at = fish.bite_at
    if at is None or fish.line != lure.line or at < start or (end is not None and at > end):
        return False
    return agrees(fish, lure) if is_known(fish) else at != end
