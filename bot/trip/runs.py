"""Runs of lures in the water, and the stints that remain when the time of fish is cut out.

A part of the fold. What was cut once is kept: only runs that are still going, or that a fish called
since has touched, are cut anew, so that one more entry costs the same late in a long day. Pure.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import chain

from bot.trip.state import InWater, Stint

Gap = tuple[datetime, datetime | None]
"""Times when a line stopped fishing and fished again; None while it does not."""


@dataclass(frozen=True, slots=True)
class _Run:
    """A lure on a line from going in to coming out, fish or no fish."""

    lure: InWater
    start: datetime
    speed_kn: float | None
    end: datetime | None = None


class Runs:
    """All runs of a trip so far; it changes as entries are added."""

    def __init__(self) -> None:
        self._runs: list[_Run] = []
        self._going: dict[str, int] = {}
        """Where in `_runs` the one stands that is going on a line."""
        self._cuts: list[tuple[Stint, ...] | None] = []
        """The stints of every run; None where it has to be cut anew."""
        self._gaps: dict[str, tuple[Gap, ...]] = {}
        """The gaps by line for which `_cuts` hold."""
        self.dips: list[InWater] = []
        """Lures that came out in the second in which they went in: without hours, but they were in."""

    def copy(self) -> "Runs":
        """Return an independent copy."""
        other = Runs()
        other._runs, other._going = self._runs.copy(), self._going.copy()
        other._cuts, other._gaps = self._cuts.copy(), self._gaps.copy()
        other.dips = self.dips.copy()
        return other

    def start(self, lure: InWater, at: datetime, speed_kn: float | None) -> None:
        """Begin a run of a lure on its line."""
        self._going[lure.line] = len(self._runs)
        self._runs.append(_Run(lure, at, speed_kn))
        self._cuts.append(None)

    def stop(self, line: str, at: datetime) -> None:
        """End the run of a line, if there is one."""
        index = self._going.pop(line, None)
        if index is not None:
            run = self._runs[index]
            if run.start == at:
                self.dips.append(run.lure)
            self._runs[index] = replace(run, end=at)
            self._cuts[index] = None

    def stop_all(self, at: datetime) -> None:
        """End all runs."""
        for line in tuple(self._going):
            self.stop(line, at)

    def stints(self, off: Mapping[str, tuple[Gap, ...]]) -> tuple[Stint, ...]:
        """Return the stints, in the order in which the runs began; `off` holds the gaps by line."""
        news = self._first_news(off)
        for index, run in enumerate(self._runs):
            since = news.get(run.lure.line)
            touched = since is not None and (run.end is None or run.end > since)
            if self._cuts[index] is None or touched or run.end is None:
                gaps = [gap for gap in off.get(run.lure.line, ()) if _touches(gap, run)]
                self._cuts[index] = tuple(_cut(run, gaps))
        self._gaps = dict(off)
        return tuple(chain.from_iterable(cut for cut in self._cuts if cut is not None))

    def _first_news(self, off: Mapping[str, tuple[Gap, ...]]) -> dict[str, datetime]:
        """Return the start of the earliest gap that is new or gone, by line."""
        found: dict[str, datetime] = {}
        for line in {**self._gaps, **off}:
            old, new = self._gaps.get(line, ()), off.get(line, ())
            changed = set(old) ^ set(new) if old != new else ()
            if changed:
                found[line] = min(gap[0] for gap in changed)
        return found


def _touches(gap: Gap, run: _Run) -> bool:
    return (run.end is None or gap[0] < run.end) and (gap[1] is None or gap[1] > run.start)


def _cut(run: _Run, gaps: Iterable[Gap]) -> Iterator[Stint]:
    start: datetime | None = run.start
    for gap_start, gap_end in sorted(gaps, key=lambda gap: gap[0]):
        if start is None:
            break
        if gap_start > start:
            yield _stint(run, start, gap_start)
        start = gap_end if gap_end is None else max(start, gap_end)
    if start is not None and (run.end is None or start < run.end):
        yield _stint(run, start, run.end)


def _stint(run: _Run, start: datetime, end: datetime | None) -> Stint:
    lure = run.lure
    return Stint(
        lure.position, lure.line, lure.side, lure.lure, lure.size_in, lure.colours, lure.head,
        start, end, run.speed_kn,
    )  # fmt: skip
