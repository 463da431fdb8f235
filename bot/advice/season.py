"""What earlier trips and today say together about every kind of lure at every position.

Earlier trips are a start that fades with their age and is loosened by a step, so that today can overrule
it. What kind of sea it is (`WORLDS`: lures hardly differ, size and colour matter, single lures do), and
whether raises tell of strikes, is learnt too: each is fitted by itself and counts as far as the record
bears it out. Pure.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from typing import Final

import numpy as np

from bot.advice.data import Exposure, Kind
from bot.advice.layout import Array, Codes, Layout, Levels, Scales
from bot.advice.model import Fit, Gauss, Spells, Start, fit, mix, ready

HALF_LIFE_DAYS: Final = 40.0
"""A trip so old counts half: shorter forgets faster."""
LOOSEN: Final = 0.2
"""Share of the start's own spread (as a deviation) that every effect may have moved since."""
SPELL: Final = 0.35
"""How far an hour of a day may be off all others, for all lines alike: deviation of the log rate."""
FOLLOWS: Final = 0.8
"""What a strike counts for that came within minutes of another: fish of one pack."""
DISPERSION_PRIOR: Final = 30.0
"""Cells worth of plain Poisson that the measured clumping is averaged with."""
LEAST_H: Final = 1.0 / 60.0
"""A strike in the very minute that a lure went out counts as one in a minute."""


@dataclass(frozen=True, slots=True)
class World:
    """One kind of sea that it may be."""

    scales: Scales
    share: float
    """What is believed of it before any record."""
    tells: float = 0.0
    """How much what raises fish also makes them bite: 0 not at all, 1 as much."""


_FACTORS: Final = Scales()
_LURES: Final = Scales(
    size=0.3, colour=0.3, tone=0.15, head=0.2, pair=0.25, lure=0.7, back=0.3, light=0.15
)
WORLDS: Final = (
    World(_FACTORS.times(0.1), 0.25), World(_FACTORS.times(1.2), 0.47), World(_LURES, 0.28),
)  # fmt: skip
"""Lures hardly differ; size, colour, tone and head matter; single lures do (our estimates)."""
RAISES_TELL: Final = 0.5
"""What is believed of raises telling of strikes before any record."""


RAISED_ALONE: Final = 0.8
"""How far raises may differ by lure where they tell nothing of strikes (log rate)."""
RAISED_BESIDES: Final = 0.4
"""How far they may be off what bites where they do."""
TOGETHER_H: Final = 4
"""Hours of an earlier day that count as one: a season is fitted in a fraction of the time."""


@dataclass(frozen=True, eq=False)
class Earlier:
    """The cells of earlier trips; compared by identity, so that what they say is worked out once."""

    cells: tuple[Exposure, ...] = ()

    @cached_property
    def lure_hours(self) -> float:
        """Return the lure-hours, old ones counting less."""
        return sum(cell.hours * _fade(cell) for cell in self.cells)

    @cached_property
    def levels(self) -> Levels:
        """Return the positions, kinds and raises that occur."""
        return Levels.of(self.cells)


@dataclass(frozen=True, slots=True)
class Bursts:
    """How far the strikes of cells are off what is expected of them, the hour they came in taken out."""

    off: float = 0.0
    """Sum of squares."""
    awaited: float = 0.0
    cells: float = 0.0
    """Cells that were awaited to have any part of a strike: degrees of freedom."""

    def __add__(self, other: "Bursts") -> "Bursts":
        return Bursts(self.off + other.off, self.awaited + other.awaited, self.cells + other.cells)

    @property
    def clumping(self) -> float:
        """Return variance over mean, at least 1 and drawn towards 1 while little is known.

        A record so clumped counts for so much less: quasi-Poisson, McCullagh and Nelder, Generalized
        Linear Models, 2nd ed., section 6.2; the ratio of sums, for most cells await less than one strike.
        """
        ratio = self.off / self.awaited if self.awaited > 0 else 1.0
        return max(1.0, (ratio * self.cells + DISPERSION_PRIOR) / (self.cells + DISPERSION_PRIOR))


@dataclass(frozen=True, eq=False, slots=True)
class Morning:
    """What is believed at the start of today, one for each world."""

    parts: tuple[Start, ...]
    evidence: Array
    bursts: Bursts = Bursts()


@dataclass(frozen=True, eq=False, slots=True)
class Outlook:
    """What is believed of all log effects now."""

    layout: Layout
    gauss: Gauss
    worlds: tuple[World, ...]
    shares: Array
    """Probability of each world."""
    clumping: float
    """Variance over mean of strikes in a spell, at least 1."""
    parts: tuple[Gauss, ...] = ()
    """What is believed in each world."""

    def better(self, row: Array) -> float:
        """Return the probability that a sum of effects is above 0, over all worlds."""
        found = 0.0
        for part, share in zip(self.parts, self.shares, strict=True):
            spread = math.sqrt(max(float(row @ part.cov @ row), 1e-12))
            found += (
                float(share) * 0.5 * math.erfc(-float(row @ part.mean) / spread / math.sqrt(2.0))
            )
        return found

    @property
    def flat(self) -> float:
        """Return the probability that lures hardly differ."""
        return float(self.shares[0])

    @property
    def raises_tell(self) -> float:
        """Return the probability that what raises fish makes them bite; without raises, as at first."""
        if not self.layout.raises:
            return RAISES_TELL
        told = list(zip(self.worlds, self.shares.tolist(), strict=True))[1:]
        return float(sum(s for w, s in told if w.tells > 0) / max(sum(s for _, s in told), 1e-9))

    @property
    def evidence(self) -> float:
        """Return the log Bayes factor that lures differ, against hardly."""
        prior = WORLDS[0].share / (1.0 - WORLDS[0].share)
        odds = (1.0 - self.flat) / max(self.flat, 1e-9)
        return float(np.log(odds * prior))


@dataclass(frozen=True, slots=True)
class Prey:
    """What the fish are eating, as far as it tells of sizes that they take."""

    size_in: float
    weight: float
    """1 for what was just seen, less the longer ago it was."""


PREY_LIKES: Final = 0.6
"""How much higher the log rate of a lure as long as the bait is than of one far off (estimate)."""
PREY_NOISE: Final = 0.6
"""Standard deviation of that: larger trusts bait less."""
PREY_REACH_IN: Final = 2.0

NOTHING: Final = Earlier()


def worlds_of(layout: Layout) -> tuple[World, ...]:
    """Return the kinds of sea that are weighed, with raises that tell and that do not if there are any."""
    if not layout.raises:
        return WORLDS
    flat, *others = WORLDS
    return (flat, *(
        replace(world, tells=tells, share=share * world.share, scales=replace(world.scales, raised=raised))
        for world in others
        for tells, share, raised in (
            (0.0, 1.0 - RAISES_TELL, RAISED_ALONE), (1.0, RAISES_TELL, RAISED_BESIDES),
        )
    ))  # fmt: skip


def believe(
    today: Sequence[Exposure],
    earlier: Earlier,
    layout: Layout,
    usual_per_h: float = 0.15,
    prey: Sequence[Prey] = (),
) -> Outlook:
    """Return what the record says: earlier trips as the start, today on top.

    `usual_per_h` are the strikes per lure-hour to be expected before any record.
    """
    morning, worlds = begin(earlier, layout, usual_per_h), worlds_of(layout)
    starts = morning.parts
    for bait in prey:
        starts = tuple(_with_prey(start, layout, bait) for start in starts)
    cells = [cell for cell in today if cell.hours > 0 or cell.strikes or cell.raises]
    if not cells:
        shares = _shares(morning.evidence, worlds)
        parts = tuple(start.gauss for start in starts)
        clumping = morning.bursts.clumping
        return Outlook(layout, mix(parts, shares), worlds, shares, clumping, parts)
    seen = _Seen.of(cells, layout)
    fits, bursts = _fitted(seen, starts, worlds, morning.bursts, morning.evidence)
    shares = _shares(morning.evidence + np.array([one.evidence for one in fits]), worlds)
    parts = tuple(one.gauss for one in fits)
    return Outlook(layout, mix(parts, shares), worlds, shares, bursts.clumping, parts)


@lru_cache(maxsize=8)
def begin(earlier: Earlier, layout: Layout, usual_per_h: float = 0.15) -> Morning:
    """Return what earlier trips say about today, faded and loosened."""
    worlds = worlds_of(layout)
    starts = tuple(ready(Gauss(*layout.start(one.scales, usual_per_h))) for one in worlds)
    cells = _together(earlier.cells)
    if not cells:
        return Morning(starts, np.zeros(len(worlds)))
    seen = _Seen.of(cells, layout)
    fits, bursts = _fitted(seen, starts, worlds, Bursts(), np.zeros(len(worlds)))
    loose = [
        ready(Gauss(one.gauss.mean, one.gauss.cov + LOOSEN**2 * start.gauss.cov))
        for one, start in zip(fits, starts, strict=True)
    ]
    return Morning(tuple(loose), np.array([one.evidence for one in fits]), bursts)


def _together(cells: Sequence[Exposure]) -> list[Exposure]:
    """Add up the cells of one lure at one position in hours of one day that lie together."""
    found: dict[tuple[float, int, str, Kind], Exposure] = {}
    for cell in cells:
        if not (cell.hours > 0 or cell.strikes or cell.raises):
            continue
        key = (cell.age_days, cell.hour // TOGETHER_H, cell.position, cell.kind)
        before = found.get(key)
        if before is None:
            middle = key[1] * TOGETHER_H + (TOGETHER_H - 1) // 2
            found[key] = replace(cell, hour=middle)
        else:
            found[key] = replace(
                before,
                hours=before.hours + cell.hours,
                strikes=before.strikes + cell.strikes,
                raises=before.raises + cell.raises,
                followers=before.followers + cell.followers,
            )
    return list(found.values())


@dataclass(frozen=True, eq=False, slots=True)
class _Seen:
    """Cells as arrays, by spell; the raises of the trips on which any was called come after the strikes."""

    layout: Layout
    rows: Array
    counts: Array
    hours: Array
    fade: Array
    spell: Codes
    raised: Codes
    """The rows whose raises count."""
    raises: Array

    @classmethod
    def of(cls, cells: Sequence[Exposure], layout: Layout) -> "_Seen":
        cells = sorted(cells, key=lambda cell: (-cell.age_days, cell.hour))
        ages = np.array([cell.age_days for cell in cells])
        hours = np.array([cell.hour for cell in cells])
        raises = np.array([cell.raises for cell in cells], float)
        called = set(ages[raises > 0].tolist())
        fresh = np.concatenate([[True], (np.diff(ages) != 0) | (np.diff(hours) != 0)])
        return cls(
            layout,
            layout.rows(cells),
            np.array([c.strikes - (1.0 - FOLLOWS) * c.followers for c in cells]),
            np.array([max(cell.hours, LEAST_H) for cell in cells]),
            np.array([_fade(cell) for cell in cells]),
            np.cumsum(fresh) - 1,
            np.flatnonzero([age in called for age in ages.tolist()]) if layout.raises else _NO_ROWS,
            raises,
        )

    def fit(self, start: Start, tells: float, clumping: float, near: Array | None) -> Fit:
        """Fit strikes, and raises where there are any, around a start."""
        weight = self.fade / clumping
        rows, counts, hours, spell = (
            self.rows,
            self.counts * weight,
            self.hours * weight,
            self.spell,
        )
        if len(self.raised):
            also = self.raised
            rows = np.vstack([rows, self.layout.raise_rows(rows[also], tells)])
            counts = np.concatenate([counts, self.raises[also] * weight[also]])
            hours = np.concatenate([hours, hours[also]])
            spell = np.concatenate([spell, spell[also] + spell[-1] + 1])
        first = np.flatnonzero(np.diff(spell, prepend=-1))
        number = np.cumsum(np.diff(spell, prepend=spell[0]) != 0)
        return fit(rows, counts, hours, start, near, Spells(first, number, SPELL))

    def bursts(self, found: Fit, clumping: float) -> Bursts:
        """Compare the strikes of every cell with what is expected of it."""
        awaited = found.expected[: len(self.counts)] * clumping / self.fade
        off = float(((self.counts - awaited) ** 2).sum())
        spells = int(self.spell[-1]) + 1
        return Bursts(off, float(awaited.sum()), float(max(len(awaited) - spells, 0)))


_NO_ROWS: Final = np.zeros(0, np.intp)


def _fitted(
    seen: _Seen, starts: Sequence[Start], worlds: Sequence[World], before: Bursts, evidence: Array
) -> tuple[list[Fit], Bursts]:
    """Fit all worlds, a clumped record counting for less; the bursts are those before with these."""
    known = before.clumping
    fits = [seen.fit(s, w.tells, known, None) for s, w in zip(starts, worlds, strict=True)]
    shares = _shares(evidence + np.array([one.evidence for one in fits]), worlds)
    bursts = before + seen.bursts(fits[int(np.argmax(shares))], known)
    if abs(bursts.clumping / known - 1.0) > CLUMPING_STEP:
        fits = [
            seen.fit(start, world.tells, bursts.clumping, one.gauss.mean)
            for start, world, one in zip(starts, worlds, fits, strict=True)
        ]
    return fits, bursts


CLUMPING_STEP: Final = 0.05
"""A change of the clumping by so much is worth another fit."""


def _with_prey(start: Start, layout: Layout, bait: Prey) -> Start:
    """Take bait that was seen for an observation: lures as long as it are better, give or take.

    A record that knows its sizes is hardly moved by it (one step of a Kalman filter).
    """
    sizes = np.array([np.nan if one.size_in is None else one.size_in for one in layout.kinds])
    near = np.exp(-0.5 * (np.nan_to_num(sizes - bait.size_in, nan=99.0) / PREY_REACH_IN) ** 2)
    if near.sum() < 1e-3 or near.std() < 1e-6:
        return start
    row = np.zeros(layout.width)
    row[layout.starts[1] : layout.starts[2]] = near / near.sum() - (1.0 - near) / (1.0 - near).sum()
    mean, cov = start.gauss.mean, start.gauss.cov
    pull = cov @ row
    due = float(row @ pull) + PREY_NOISE**2 / bait.weight
    gap = min(
        max(PREY_LIKES - float(row @ mean), 0.0), PREY_LIKES
    )  # it takes nothing off what is known
    return ready(Gauss(mean + pull * gap / due, cov - np.outer(pull, pull) / due))


def _fade(cell: Exposure) -> float:
    return float(0.5 ** (cell.age_days / HALF_LIFE_DAYS))


def _shares(evidence: Array, worlds: Sequence[World]) -> Array:
    prior = np.array([world.share for world in worlds])
    weight = prior * np.exp(evidence - evidence.max())
    return np.asarray(weight / weight.sum(), dtype=np.float64)
