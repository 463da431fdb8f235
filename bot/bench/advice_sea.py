"""A made-up sea for measuring advice: hidden strike rates, lures, and a day of Poisson strikes.

Log rate = level + position + size + colour + head + hour; how far each term spreads stands below. Rates
stay the same over a season but for a `drift` sea, whose sizes and colours are drawn anew at noon;
an `interaction` sea prefers other sizes at other positions; a `flat` sea does not care for lures.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Final, Literal, Protocol

import numpy as np
import numpy.typing as npt

from bot.advice.data import Kind

Array = npt.NDArray[np.float64]
Truth = Literal["usual", "flat", "drift", "interaction"]

POSITIONS: Final = ("short corner", "long corner", "short rigger", "long rigger", "shotgun")
SIZES: Final = (6.0, 7.0, 8.0, 9.0, 10.0, 12.0, 14.0)
COLOURS: Final = ("black", "blue", "green", "orange", "pink", "purple", "red", "white")
HEADS: Final = ("blunt", "cupped", "slanted", "slim")
NAMES: Final = (
    "amber", "badger", "cactus", "dagger", "ember", "falcon", "goblet", "hazel", "indigo", "jasper",
    "kettle", "lantern", "magpie", "nettle", "onyx", "pepper", "quartz", "raven", "saddle", "tinker",
    "umber", "velvet", "walnut", "zephyr",
)  # fmt: skip
"""Names of lures, made up; one lure of each."""

DAY_H: Final = 8.0
STEP_H: Final = 0.25
"""The crew thinks about changes so often."""
LOST_H: Final = 0.05
"""A change takes its line out of the water so long."""
FIRST_HOUR: Final = 8
NOON_H: Final = 4.0
RATE: Final = 0.25
"""Strikes per lure-hour at the middle of all effects: about 15 strikes on a day without a change."""
POSITION, SIZE, COLOUR, HEAD, HOUR = 0.3, 0.7, 0.6, 0.4, 0.3
"""Standard deviations of the log effects."""
INTERACTION: Final = 0.6
"""How far the taste for size differs between positions, per 4 inches."""
REACH_IN: Final = 3.0


@dataclass(frozen=True, slots=True)
class Lure:
    """One lure of the box."""

    name: str
    kind: Kind


@dataclass(frozen=True, eq=False)
class Sea:
    """What is hidden from the crew."""

    truth: Truth
    lures: tuple[Lure, ...]
    start: tuple[int, ...]
    """The spread of every morning: five different sizes and colours, the largest nearest."""
    logs: Array
    """Log rate of each lure at each position (rows) in the morning."""
    logs_after_noon: Array
    hours: Array
    """Log effect of each hour of the day."""

    def rate(self, line: int, lure: int, at_h: float) -> float:
        """Return strikes per lure-hour of a lure on a line at a time of the day."""
        logs = self.logs if at_h < NOON_H else self.logs_after_noon
        return float(np.exp(logs[line, lure] + self.hours[min(int(at_h), len(self.hours) - 1)]))

    def best(self, at_h: float) -> tuple[int, ...]:
        """Return the best spread at a time of the day."""
        from scipy.optimize import linear_sum_assignment

        logs = self.logs if at_h < NOON_H else self.logs_after_noon
        return tuple(int(lure) for lure in linear_sum_assignment(-np.exp(logs))[1])


def sea(seed: int, truth: Truth = "usual") -> Sea:
    """Draw a sea."""
    rng = np.random.default_rng(seed)
    kinds = _kinds(rng)
    spread = 0.0 if truth == "flat" else 1.0
    sizes, colours = _tastes(rng)
    later_sizes, later_colours = _tastes(rng)
    heads = _centred(HEAD * rng.standard_normal(len(HEADS)))
    positions = _centred(POSITION * rng.standard_normal(len(POSITIONS)))
    slope = INTERACTION * rng.standard_normal(len(POSITIONS)) * float(truth == "interaction")
    phase = rng.uniform(0.0, 2.0 * np.pi)
    hours = HOUR * np.sqrt(2.0) * np.cos(2.0 * np.pi * np.arange(DAY_H) / DAY_H + phase)

    def logs(size: Array, colour: Array) -> Array:
        of_lure = np.array([size[s] + colour[c] + heads[h] for s, c, h in kinds])
        off = np.array([(SIZES[s] - 9.0) / 4.0 for s, _, _ in kinds])
        found = np.log(RATE) + positions[:, None] + spread * of_lure + np.outer(slope, off)
        return np.asarray(found, dtype=np.float64)

    morning = logs(sizes, colours)
    lures = tuple(
        Lure(name, Kind(SIZES[s], (COLOURS[c],), HEADS[h]))
        for name, (s, c, h) in zip(NAMES, kinds, strict=True)
    )
    after = logs(later_sizes, later_colours) if truth == "drift" else morning
    return Sea(truth, lures, _variety(kinds), morning, after, hours)


@dataclass
class Day:
    """What has happened on a day so far."""

    spread: list[int]
    expected: float = 0.0
    """Strikes that the true rates let expect; what policies are measured by."""
    strikes: int = 0
    changes: int = 0
    said: list[tuple[float, bool]] = field(default_factory=list)
    """Stated chance of each change, and whether it truly was for the better."""


@dataclass(frozen=True, slots=True)
class Step:
    """What a policy sees of a quarter of an hour: time, lure-hours by line, strikes as time and line."""

    start_h: float
    spread: tuple[int, ...]
    hours: tuple[float, ...]
    strikes: tuple[tuple[float, int], ...]
    raises: tuple[tuple[float, int], ...] = ()


@dataclass(frozen=True, slots=True)
class Swap:
    """A change that a policy makes; `chance` where it stated one."""

    line: int
    lure: int
    chance: float | None = None


class World(Protocol):
    """What a policy knows of a sea; only the oracle asks for the best spread."""

    @property
    def lures(self) -> tuple[Lure, ...]:
        """Return the lures of the box."""

    @property
    def start(self) -> tuple[int, ...]:
        """Return the spread of every morning."""

    def best(self, at_h: float) -> tuple[int, ...]:
        """Return the best spread at a time of the day."""


class Policy:
    """Decides what goes where; one for each season."""

    def __init__(self, world: World, seed: int) -> None:
        self.sea = world
        self.rng = np.random.default_rng(seed)

    def morning(self, day: int) -> None:
        """Begin a day with the usual spread."""

    def changes(self, at_h: float, spread: tuple[int, ...]) -> Iterator[Swap]:
        """Yield changes one by one at the start of a step; asked on while there are any."""
        del at_h, spread
        yield from ()

    def saw(self, step: Step) -> None:
        """Take in what came of a step."""

    def told(self, at_h: float, length_cm: float) -> None:
        """Take in bait that was seen."""

    def evening(self) -> None:
        """End a day."""

    def close(self) -> None:
        """End the season."""


MakePolicy = Callable[[World, int], Policy]


def fish(world: Sea, policy: Policy, days: int, seed: int) -> Sequence[Day]:
    """Fish a season under a policy; the sea's own chance comes from `seed`."""
    rng = np.random.default_rng(seed)
    found = []
    for day in range(days):
        policy.morning(day)
        found.append(_day(world, policy, rng))
        policy.evening()
    policy.close()
    return found


def _day(world: Sea, policy: Policy, rng: np.random.Generator) -> Day:
    day = Day(list(world.start))
    for number in range(round(DAY_H / STEP_H)):
        start = number * STEP_H
        out = [0.0] * len(POSITIONS)
        for swap in policy.changes(start, tuple(day.spread)):
            old = world.rate(swap.line, day.spread[swap.line], start)
            if swap.chance is not None:
                day.said.append((swap.chance, world.rate(swap.line, swap.lure, start) > old))
            if day.spread[swap.line] != swap.lure and swap.lure not in day.spread:
                day.spread[swap.line] = swap.lure
                day.changes += 1
                out[swap.line] = LOST_H
        hours = tuple(STEP_H - lost for lost in out)
        rates = [world.rate(line, lure, start) for line, lure in enumerate(day.spread)]
        expected = [rate * live for rate, live in zip(rates, hours, strict=True)]
        counts = rng.poisson(expected)
        times = sorted(
            (float(start + out[line] + rng.random() * hours[line]), line)
            for line, count in enumerate(counts)
            for _ in range(int(count))
        )
        day.expected += sum(expected)
        day.strikes += len(times)
        policy.saw(Step(start, tuple(day.spread), hours, tuple(times)))
    return day


def _kinds(rng: np.random.Generator) -> list[tuple[int, int, int]]:
    every = [
        (size, colour, head)
        for size in range(len(SIZES))
        for colour in range(len(COLOURS))
        for head in range(len(HEADS))
    ]
    return [every[number] for number in rng.permutation(len(every))[: len(NAMES)]]


def _variety(kinds: Sequence[tuple[int, int, int]]) -> tuple[int, ...]:
    chosen: list[int] = []
    for lure, (size, colour, _) in enumerate(kinds):
        if all(size != kinds[one][0] and colour != kinds[one][1] for one in chosen):
            chosen.append(lure)
    chosen += [lure for lure in range(len(kinds)) if lure not in chosen]
    return tuple(sorted(chosen[: len(POSITIONS)], key=lambda lure: -kinds[lure][0]))


def _tastes(rng: np.random.Generator) -> tuple[Array, Array]:
    apart = np.subtract.outer(np.array(SIZES), np.array(SIZES)) / REACH_IN
    alike = np.exp(-0.5 * apart**2) + 1e-9 * np.eye(len(SIZES))
    size = SIZE * np.linalg.cholesky(alike) @ rng.standard_normal(len(SIZES))
    return _centred(size), _centred(COLOUR * rng.standard_normal(len(COLOURS)))


def _centred(effects: Array) -> Array:
    return np.asarray(effects - effects.mean(), dtype=np.float64)
