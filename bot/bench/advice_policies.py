"""What a crew may do about its spread, from nothing to all-knowing; to be measured beside the advice.

`Ours` goes through `Desk.say` only. `Direct` gives the same advice without the desk and is there for
tuning; no table is made with it unless asked for.
"""

import math
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any, ClassVar, Final

import numpy as np

from bot.advice.bites import follows, prey_of
from bot.advice.data import Exposure, InWater, LureChange, Spare, Verdict
from bot.advice.model import Gauss, fit, ready
from bot.advice.next_change import next_change
from bot.advice.season import NOTHING, Earlier
from bot.bench.advice_factors import SIZE_REACH_IN, Layout, Scales
from bot.bench.advice_sea import (
    COLOUR,
    DAY_H,
    FIRST_HOUR,
    HEAD,
    HOUR,
    POSITION,
    POSITIONS,
    SIZE,
    Array,
    Policy,
    Step,
    Swap,
    World,
)
from bot.messages import Advice, Reply

Cell = tuple[int, int, int]
"""Line, lure and hour of the day."""
CM_PER_IN: Final = 2.54
MORNING: Final = datetime(2024, 3, 1, FIRST_HOUR, tzinfo=UTC)
AT_ONCE: Final = 2
"""The crew asks again after a change, and makes at most so many in a row; in the morning one a line."""
RIGHT: Final = Scales(0.7, 1e-3, POSITION, SIZE, COLOUR, HEAD, 1e-3, HOUR)
"""The spreads of the sea itself: no boat could know them."""


class NoChange(Policy):
    """Leave the first spread out all day."""


class CopyTheBite(Policy):
    """The rule of thumb: after a bite put out what is most like the lure that got it."""

    def __init__(self, world: World, seed: int) -> None:
        super().__init__(world, seed)
        self._bites: list[int] = []

    def changes(self, at_h: float, spread: tuple[int, ...]) -> Iterator[Swap]:
        """Change the line least like the bitten one, once for every bite."""
        del at_h
        now = list(spread)
        for line in self._bites:
            bitten = now[line]
            others = [other for other in range(len(now)) if other != line]
            worst = min(others, key=lambda other: self._like(now[other], bitten))
            box = [lure for lure in range(len(self.sea.lures)) if lure not in now]
            most = max(box, key=lambda lure: self._like(lure, bitten))
            if self._like(most, bitten) > self._like(now[worst], bitten):
                now[worst] = most
                yield Swap(worst, most)
        self._bites = []

    def saw(self, step: Step) -> None:
        """Remember where the bites were."""
        self._bites = [line for _, line in step.strikes]

    def _like(self, one: int, other: int) -> float:
        a, b = self.sea.lures[one].kind, self.sea.lures[other].kind
        apart = abs((a.size_in or 0.0) - (b.size_in or 0.0))
        return (
            (a.colours == b.colours)
            + (a.size_in == b.size_in)
            + 0.5 * (a.head == b.head)
            - 0.01 * apart
        )


class RawGreedy(Policy):
    """Put out what has the best raw rate so far, one strike in four hours taken for granted."""

    def __init__(self, world: World, seed: int) -> None:
        super().__init__(world, seed)
        self._hours = np.full(len(world.lures), 4.0)
        self._strikes = np.ones(len(world.lures))

    def changes(self, at_h: float, spread: tuple[int, ...]) -> Iterator[Swap]:
        """Change the worst lure in the water for the best outside."""
        if at_h > 0 or self._hours.max() > 4.0:
            yield from swap_best(self._strikes / self._hours, spread, np.ones(len(spread)))

    def saw(self, step: Step) -> None:
        """Count what was seen."""
        for line, lure in enumerate(step.spread):
            self._hours[lure] += step.hours[line]
        for _, line in step.strikes:
            self._strikes[step.spread[line]] += 1


class RightModel(Policy):
    """Greedy on the true model with the true spreads of the effects."""

    scales: ClassVar[Scales] = RIGHT
    size_reach_in: ClassVar[float] = SIZE_REACH_IN

    def __init__(self, world: World, seed: int) -> None:
        super().__init__(world, seed)
        kinds = tuple(lure.kind for lure in world.lures)
        hours = tuple(range(FIRST_HOUR, FIRST_HOUR + int(DAY_H)))
        self._layout = Layout(tuple(sorted(POSITIONS)), kinds, hours)
        start = self._layout.start(self.scales, size_reach_in=self.size_reach_in)
        self._start = ready(Gauss(*start))
        self._seen: dict[tuple[int, int, int], tuple[float, int]] = {}

    def changes(self, at_h: float, spread: tuple[int, ...]) -> Iterator[Swap]:
        """Make the change with the highest gain at once."""
        if at_h == 0.0 and not self._seen:
            return
        belief = self._belief()
        rows = self._layout.kind_rows()
        places = [self._layout.place_row(line, -1, today=True) for line in POSITIONS]
        factors = np.exp(np.array(places) @ belief.mean)
        yield from swap_best(np.exp(self._judged(rows, belief)), spread, factors)

    def saw(self, step: Step) -> None:
        """Count by position, lure and hour."""
        struck = [line for _, line in step.strikes]
        for line, lure in enumerate(step.spread):
            key = (line, lure, FIRST_HOUR + int(step.start_h))
            hours, strikes = self._seen.get(key, (0.0, 0))
            self._seen[key] = (hours + step.hours[line], strikes + struck.count(line))

    def _belief(self) -> Gauss:
        cells = _exposures(self.sea, self._seen)
        counts = np.array([float(cell.strikes) for cell in cells])
        hours = np.array([cell.hours for cell in cells])
        return fit(self._layout.rows(cells), counts, hours, self._start).gauss

    def _judged(self, rows: Array, belief: Gauss) -> Array:
        return np.asarray(rows @ belief.mean, dtype=np.float64)


class Thompson(RightModel):
    """Draw the rates from what the true model believes, and do what is best for the draw."""

    def _judged(self, rows: Array, belief: Gauss) -> Array:
        cov = rows @ belief.cov @ rows.T
        factor = np.linalg.cholesky(cov + 1e-9 * np.eye(len(cov)))
        draw = factor @ self.rng.standard_normal(len(cov))
        return np.asarray(rows @ belief.mean + draw, dtype=np.float64)


class Oracle(Policy):
    """Know the true rates."""

    def changes(self, at_h: float, spread: tuple[int, ...]) -> Iterator[Swap]:
        """Put the best spread out, lures that are in the water elsewhere last."""
        best, now = self.sea.best(at_h), list(spread)
        for _ in range(2 * len(best)):
            open_lines = [line for line, lure in enumerate(best) if now[line] != lure]
            free = [line for line in open_lines if best[line] not in now]
            if not open_lines:
                return
            line = free[0] if free else open_lines[0]
            unused = (lure for lure in range(len(self.sea.lures)) if lure not in (*now, *best))
            now[line] = best[line] if free else next(unused)
            yield Swap(line, now[line])


class Ours(Policy):
    """Do what the desk advises, asked every quarter of an hour; all through `Desk.say`."""

    def __init__(self, world: World, seed: int) -> None:
        super().__init__(world, seed)
        from bot.desk import Desk

        self._home = tempfile.TemporaryDirectory(prefix="deckcall-bench-")
        self._desk = Desk(self._home.name, source="replay", clock=lambda: MORNING)
        box = Path(self._home.name) / "box.csv"
        box.write_text(_csv(world), encoding="utf-8")
        self._desk.box_import(box)
        self._number = {lure.name: number for number, lure in enumerate(world.lures)}
        self._day = 0
        self._checked = False

    def morning(self, day: int) -> None:
        """Check all lures, start a trip and put the usual spread out."""
        self._day = day
        self._say("trip start", -0.02, "trip_start")
        for lure in self.sea.lures if day else ():
            self._say(f"ready {lure.name}", -0.015, "ready")
        for line, lure_number in enumerate(self.sea.start):
            name = self.sea.lures[lure_number].name
            self._say(f"set {POSITIONS[line]} {name}", -0.01, "set")
        self._say("lines in", 0.0, "lines_in")

    def changes(self, at_h: float, spread: tuple[int, ...]) -> Iterator[Swap]:
        """Ask, do it, ask again."""
        for _ in range(asks(at_h)):
            reply = self._say("what next", at_h, "ask_next")
            if reply.advice is None:
                return
            swap = self._swap(reply.advice)
            old = self.sea.lures[spread[swap.line]].name
            said = f"swap {reply.advice.position} for {reply.advice.lure}"
            self._say(f"swap {reply.advice.position} {reply.advice.lure}", at_h, "swap", said)
            self._say(f"ready {old}", at_h, "ready")
            yield swap

    def saw(self, step: Step) -> None:
        """Call every strike at its time; none of them stays on."""
        for at_h, line in step.strikes:
            self._say(f"strike {POSITIONS[line]}", at_h, "strike")
            self._say("missed it", at_h, "miss")

    def evening(self) -> None:
        """Bring the lines in."""
        self._say("lines out", DAY_H, "lines_out")
        self._say("trip end", DAY_H, "trip_end")

    def close(self) -> None:
        """Close the log and throw it away."""
        self._desk.close()
        self._home.cleanup()

    def _swap(self, advice: Advice) -> Swap:
        return Swap(POSITIONS.index(advice.position), self._number[advice.lure], advice.chance)

    def _say(self, text: str, at_h: float, act: str, shown: str = "") -> Reply:
        at = MORNING + timedelta(days=self._day, hours=at_h)
        reply = self._desk.say(text, crew="bench", at=at)
        acts: list[Any] = [call["act"] for call in reply.calls]
        if acts != [act] or reply.ask:
            raise RuntimeError(f"{shown or text!r} was taken for {acts}: {reply.text}")
        return reply


class Direct(Policy):
    """The same advice without the desk: quicker, for tuning and for many seasons."""

    def __init__(self, world: World, seed: int) -> None:
        super().__init__(world, seed)
        self.earlier = NOTHING
        self.kinds = tuple(replace(lure.kind, name=lure.name) for lure in world.lures)
        self._past: list[tuple[int, dict[Cell, list[float]]]] = []
        self._seen: dict[Cell, list[float]] = {}
        self._prey: list[tuple[float, float]] = []
        self._day = 0
        self.swaps: list[LureChange] = []

    def morning(self, day: int) -> None:
        """Put what was seen so far among the earlier trips."""
        self._day = day
        cells: list[Exposure] = []
        for then, seen in self._past:
            cells += self._exposures(seen, float(day - then))
        self.earlier = Earlier(tuple(cells))
        self._seen, self.swaps = {}, []
        self._strikes = [0] * len(POSITIONS)
        self._raises = [0] * len(POSITIONS)
        self._struck_h = [-math.inf] * len(POSITIONS)

    def changes(self, at_h: float, spread: tuple[int, ...]) -> Iterator[Swap]:
        """Ask, do it, ask again."""
        held = list(spread)
        for _ in range(asks(at_h)):
            found = self._asked(at_h, held)
            if not isinstance(found, Advice):
                return
            line = POSITIONS.index(found.position)
            number = next(n for n, one in enumerate(self.sea.lures) if one.name == found.lure)
            old = self.sea.lures[held[line]].name
            self.swaps.append(LureChange(found.position, found.lure, old, self._time(at_h)))
            held[line], self._strikes[line], self._raises[line] = number, 0, 0
            self._struck_h[line] = -math.inf
            yield Swap(line, number, found.chance)

    def _asked(self, at_h: float, held: Sequence[int]) -> Verdict:
        lures = self.sea.lures
        water = tuple(
            InWater(
                POSITIONS[line],
                self.kinds[n],
                lures[n].name,
                strikes=self._strikes[line],
                raises=self._raises[line],
                struck_at=None if not self._strikes[line] else self._time(self._struck_h[line]),
            )
            for line, n in enumerate(held)
        )
        spares = tuple(
            Spare(self.kinds[n], lure.name) for n, lure in enumerate(lures) if n not in held
        )
        days = [(self._day + at_h / 24.0 - when, size) for when, size in self._prey]
        return next_change(
            self.cells_today(),
            water,
            spares,
            now=self._time(at_h),
            previous=tuple(self.swaps),
            earlier=self.earlier,
            prey=prey_of(days),
        )

    def saw(self, step: Step) -> None:
        """Count by position, lure and hour."""
        hour = FIRST_HOUR + int(step.start_h)
        for line, lure in enumerate(step.spread):
            self._seen.setdefault((line, lure, hour), [0.0] * 4)[0] += step.hours[line]
        for at_h, line in step.strikes:
            cell = self._seen[line, step.spread[line], hour]
            cell[1] += 1
            cell[3] += follows(self._time(at_h), self._time(max(self._struck_h)))
            self._strikes[line] += 1
            self._struck_h[line] = at_h
        for _, line in step.raises:
            self._seen[line, step.spread[line], hour][2] += 1
            self._raises[line] += 1

    def told(self, at_h: float, length_cm: float) -> None:
        """Keep bait that was seen."""
        self._prey.append((self._day + at_h / 24.0, length_cm / CM_PER_IN))

    def cells_today(self) -> tuple[Exposure, ...]:
        """Return what today's record says."""
        return self._exposures(self._seen)

    def evening(self) -> None:
        """Keep the day."""
        self._past.append((self._day, self._seen))

    def _exposures(
        self, seen: Mapping[Cell, Sequence[float]], age_days: float = 0.0
    ) -> tuple[Exposure, ...]:
        return tuple(
            Exposure(
                POSITIONS[line],
                self.kinds[lure],
                hours,
                int(strikes),
                self.sea.lures[lure].name,
                hour,
                age_days,
                int(raises),
                int(followers),
            )
            for (line, lure, hour), (hours, strikes, raises, followers) in seen.items()
        )

    def _time(self, at_h: float) -> datetime:
        return MORNING + timedelta(days=self._day, hours=max(at_h, -24.0))


def asks(at_h: float) -> int:
    """Return how many changes a crew makes in a row: one a line in the morning, two later."""
    return AT_ONCE if at_h else len(POSITIONS)


def swap_best(rates: Array, spread: tuple[int, ...], factors: Array) -> Iterator[Swap]:
    """Yield the one change with the highest gain, if any gains."""
    best: tuple[float, Swap] | None = None
    for line, lure in enumerate(spread):
        for other in range(len(rates)):
            gain = float((rates[other] - rates[lure]) * factors[line])
            if other not in spread and gain > 1e-9 and (best is None or gain > best[0]):
                best = (gain, Swap(line, other))
    if best is not None:
        yield best[1]


def _exposures(
    world: World, seen: dict[tuple[int, int, int], tuple[float, int]], age_days: float = 0.0
) -> tuple[Exposure, ...]:
    return tuple(
        Exposure(POSITIONS[line], world.lures[lure].kind, hours, strikes, None, hour, age_days)
        for (line, lure, hour), (hours, strikes) in seen.items()
    )


def _csv(world: World) -> str:
    lines = ["name,head,size_in,colours,ready"]
    for lure in world.lures:
        kind = lure.kind
        lines.append(f"{lure.name},{kind.head},{kind.size_in:g},{' '.join(kind.colours)},yes")
    return "\n".join(lines) + "\n"
