"""What a crew may do about its spread, from nothing to all-knowing; to be measured beside the advice.

`Ours` goes through `Desk.say` only. `Direct` gives the same advice without the desk and is there for
tuning; no table is made with it unless asked for.
"""

import tempfile
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any, Final

import numpy as np

from bot.advice.data import Change, Exposure, InWater, Spare
from bot.advice.layout import Layout, Scales
from bot.advice.model import Gauss, fit, ready
from bot.advice.next_change import next_change
from bot.advice.season import NOTHING, Earlier
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
    Sea,
    Step,
    Swap,
)
from bot.messages import Advice, Reply

MORNING: Final = datetime(2024, 3, 1, FIRST_HOUR, tzinfo=UTC)
AT_ONCE: Final = 2
"""The crew asks again after a change, and makes at most so many in a row; in the morning one a line."""
RIGHT: Final = Scales(0.7, 1e-3, POSITION, SIZE, COLOUR, HEAD, 1e-3, HOUR)
"""The spreads of the sea itself: no boat could know them."""


class NoChange(Policy):
    """Leave the first spread out all day."""


class CopyTheBite(Policy):
    """The rule of thumb: after a bite put out what is most like the lure that got it."""

    def __init__(self, world: Sea, seed: int) -> None:
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

    def __init__(self, world: Sea, seed: int) -> None:
        super().__init__(world, seed)
        self._hours = np.full(len(world.lures), 4.0)
        self._strikes = np.ones(len(world.lures))

    def changes(self, at_h: float, spread: tuple[int, ...]) -> Iterator[Swap]:
        """Change the worst lure in the water for the best outside."""
        if at_h > 0 or self._hours.max() > 4.0:
            yield from _swap_best(self._strikes / self._hours, spread, np.ones(len(spread)))

    def saw(self, step: Step) -> None:
        """Count."""
        for line, lure in enumerate(step.spread):
            self._hours[lure] += step.hours[line]
        for _, line in step.strikes:
            self._strikes[step.spread[line]] += 1


class RightModel(Policy):
    """Greedy on the true model with the true spreads of the effects."""

    def __init__(self, world: Sea, seed: int) -> None:
        super().__init__(world, seed)
        kinds = tuple(lure.kind for lure in world.lures)
        hours = tuple(range(FIRST_HOUR, FIRST_HOUR + int(DAY_H)))
        self._layout = Layout(tuple(sorted(POSITIONS)), kinds, hours)
        self._start = ready(Gauss(*self._layout.start(RIGHT)))
        self._seen: dict[tuple[int, int, int], tuple[float, int]] = {}

    def changes(self, at_h: float, spread: tuple[int, ...]) -> Iterator[Swap]:
        """Make the change with the highest gain at once."""
        if at_h == 0.0 and not self._seen:
            return
        belief = self._belief()
        rows = self._layout.kind_rows()
        places = [self._layout.place_row(line, -1, today=True) for line in POSITIONS]
        factors = np.exp(np.array(places) @ belief.mean)
        yield from _swap_best(np.exp(self._judged(rows, belief)), spread, factors)

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

    def __init__(self, world: Sea, seed: int) -> None:
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
        for _ in range(_asks(at_h)):
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
    """The same advice without the desk: quicker, for tuning."""

    def __init__(self, world: Sea, seed: int) -> None:
        super().__init__(world, seed)
        self.earlier = NOTHING
        self._past: list[tuple[int, dict[tuple[int, int, int], tuple[float, int]]]] = []
        self._seen: dict[tuple[int, int, int], tuple[float, int]] = {}
        self.swaps: list[Change] = []

    def morning(self, day: int) -> None:
        """Put what was seen so far among the earlier trips."""
        self._day = day
        cells: list[Exposure] = []
        for then, seen in self._past:
            cells += _exposures(self.sea, seen, float(day - then))
        self.earlier = Earlier(tuple(cells))
        self._seen, self.swaps = {}, []
        self._strikes = [0] * len(POSITIONS)

    def changes(self, at_h: float, spread: tuple[int, ...]) -> Iterator[Swap]:
        """Ask, do it, ask again."""
        now = MORNING + timedelta(days=self._day, hours=at_h)
        held = list(spread)
        lures = self.sea.lures
        for _ in range(_asks(at_h)):
            water = tuple(
                InWater(POSITIONS[line], lures[n].kind, lures[n].name, strikes=self._strikes[line])
                for line, n in enumerate(held)
            )
            spares = tuple(
                Spare(lure.kind, lure.name) for n, lure in enumerate(lures) if n not in held
            )
            found = next_change(
                self.cells_today(),
                water,
                spares,
                now=now,
                previous=tuple(self.swaps),
                earlier=self.earlier,
            )
            if not isinstance(found, Advice):
                return
            line = POSITIONS.index(found.position)
            number = next(n for n, lure in enumerate(lures) if lure.name == found.lure)
            old = lures[held[line]].name
            self.swaps.append(Change(found.position, found.lure, old, now))
            held[line], self._strikes[line] = number, 0
            yield Swap(line, number, found.chance)

    def saw(self, step: Step) -> None:
        """Count by position, lure and hour."""
        struck = [line for _, line in step.strikes]
        for line, lure in enumerate(step.spread):
            key = (line, lure, FIRST_HOUR + int(step.start_h))
            hours, strikes = self._seen.get(key, (0.0, 0))
            self._seen[key] = (hours + step.hours[line], strikes + struck.count(line))
            self._strikes[line] += struck.count(line)

    def cells_today(self) -> tuple[Exposure, ...]:
        """Return what today's record says."""
        return _exposures(self.sea, self._seen)

    def evening(self) -> None:
        """Keep the day."""
        self._past.append((self._day, self._seen))


def _asks(at_h: float) -> int:
    return AT_ONCE if at_h else len(POSITIONS)


def _swap_best(rates: Array, spread: tuple[int, ...], factors: Array) -> Iterator[Swap]:
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
    world: Sea, seen: dict[tuple[int, int, int], tuple[float, int]], age_days: float = 0.0
) -> tuple[Exposure, ...]:
    return tuple(
        Exposure(POSITIONS[line], world.lures[lure].kind, hours, strikes, None, hour, age_days)
        for (line, lure, hour), (hours, strikes) in seen.items()
    )


def _csv(world: Sea) -> str:
    lines = ["name,head,size_in,colours,ready"]
    for lure in world.lures:
        kind = lure.kind
        lines.append(f"{lure.name},{kind.head},{kind.size_in:g},{' '.join(kind.colours)},yes")
    return "\n".join(lines) + "\n"
