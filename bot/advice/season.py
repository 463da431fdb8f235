"""What earlier trips and today say together about every kind of lure at every position.

Earlier trips are a start that fades with their age and is loosened by a step, so that today can
overrule it; how far lures differ at all (`CONTRASTS`) is learnt too, so a sea where all lures catch
alike is soon known as one. Pure; one belief for each moment, no wording.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Final

import numpy as np

from bot.advice.data import Exposure
from bot.advice.layout import Array, Layout, Levels, Scales
from bot.advice.model import Fit, Gauss, Start, fit, mixed, ready

HALF_LIFE_DAYS: Final = 60.0
"""A trip so old counts half: shorter forgets faster."""
LOOSEN: Final = 0.15
"""Share of the start's own spread (as a deviation) that every effect may have moved since."""
CONTRASTS: Final = (0.1, 0.7, 1.3)
"""How much lures may differ, as multiples of `Scales`; the first stands for not at all."""
CONTRAST_SHARES: Final = (0.3, 0.4, 0.3)
"""What is believed of them before any record."""
SCALES: Final = Scales()
DISPERSION_PRIOR: Final = 30.0
"""Spells worth of plain Poisson that the measured clumping is averaged with."""

LEAST_H: Final = 1.0 / 60.0
"""A strike in the very minute that a lure went out counts as one in a minute."""


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
        """Return the positions, kinds and hours that occur."""
        return Levels.of(self.cells)


@dataclass(frozen=True, slots=True)
class Bursts:
    """How far the strikes of whole hours are off what is expected of them."""

    off: float = 0.0
    """Sum of squares over the expected (Pearson); about `spells` where strikes come one by one."""
    spells: int = 0

    def __add__(self, other: "Bursts") -> "Bursts":
        return Bursts(self.off + other.off, self.spells + other.spells)

    @property
    def clumping(self) -> float:
        """Return variance over mean, at least 1 and drawn towards 1 while little is known.

        A record so clumped counts for so much less: quasi-Poisson, McCullagh and Nelder, Generalized
        Linear Models, 2nd ed., section 6.2.
        """
        prior = DISPERSION_PRIOR
        return max(1.0, (self.off + prior) / (self.spells + prior))


@dataclass(frozen=True, eq=False, slots=True)
class Morning:
    """What is believed at the start of today, one for each contrast."""

    parts: tuple[Start, ...]
    evidence: Array
    bursts: Bursts = Bursts()


@dataclass(frozen=True, eq=False, slots=True)
class Outlook:
    """What is believed of all log effects now."""

    layout: Layout
    gauss: Gauss
    shares: Array
    """Probability of each contrast."""
    clumping: float
    """Variance over mean of strikes in a spell, at least 1."""

    @property
    def flat(self) -> float:
        """Return the probability that lures hardly differ."""
        return float(self.shares[0])

    @property
    def evidence(self) -> float:
        """Return the log Bayes factor that lures differ, against hardly."""
        prior = CONTRAST_SHARES[0] / (1.0 - CONTRAST_SHARES[0])
        odds = (1.0 - self.flat) / max(self.flat, 1e-9)
        return float(np.log(odds * prior))


NOTHING: Final = Earlier()


def believe(
    today: Sequence[Exposure], earlier: Earlier, layout: Layout, usual_per_h: float = 0.15
) -> Outlook:
    """Return what the record says: earlier trips as the start, today on top.

    `usual_per_h` are the strikes per lure-hour to be expected before any record.
    """
    start = begin(earlier, layout, usual_per_h)
    cells = [cell for cell in today if cell.hours > 0 or cell.strikes]
    if not cells:
        shares = _shares(start.evidence)
        gauss = mixed(tuple(part.gauss for part in start.parts), shares)
        return Outlook(layout, gauss, shares, start.bursts.clumping)
    rows, counts, hours = _arrays(cells, layout)
    fits = [fit(rows, counts, hours, part) for part in start.parts]
    shares = _shares(start.evidence + np.array([one.evidence for one in fits]))
    bursts = _bursts(cells, _best(fits, shares).expected)
    clumping = (start.bursts + bursts).clumping
    if clumping > 1.0:
        fits = [
            fit(rows, counts / clumping, hours / clumping, part, one.gauss.mean)
            for part, one in zip(start.parts, fits, strict=True)
        ]
        shares = _shares(start.evidence + np.array([one.evidence for one in fits]))
    return Outlook(layout, mixed(tuple(one.gauss for one in fits), shares), shares, clumping)


@lru_cache(maxsize=8)
def begin(earlier: Earlier, layout: Layout, usual_per_h: float = 0.15) -> Morning:
    """Return what earlier trips say about today, faded and loosened."""
    starts = [ready(Gauss(*layout.start(SCALES, one, usual_per_h))) for one in CONTRASTS]
    cells = [cell for cell in earlier.cells if cell.hours > 0 or cell.strikes]
    if not cells:
        return Morning(tuple(starts), np.zeros(len(CONTRASTS)))
    rows, counts, hours = _arrays(cells, layout)
    fade = np.array([_fade(cell) for cell in cells])
    fits = [fit(rows, counts * fade, hours * fade, start) for start in starts]
    best = _best(fits, _shares(np.array([one.evidence for one in fits])))
    bursts = _bursts(cells, best.expected / fade)
    if bursts.clumping > 1.0:
        fade = fade / bursts.clumping
        fits = [
            fit(rows, counts * fade, hours * fade, start, one.gauss.mean)
            for start, one in zip(starts, fits, strict=True)
        ]
    loose = [
        ready(Gauss(one.gauss.mean, one.gauss.cov + LOOSEN**2 * start.gauss.cov))
        for one, start in zip(fits, starts, strict=True)
    ]
    return Morning(tuple(loose), np.array([one.evidence for one in fits]), bursts)


def _fade(cell: Exposure) -> float:
    return float(0.5 ** (cell.age_days / HALF_LIFE_DAYS))


def _arrays(cells: Sequence[Exposure], layout: Layout) -> tuple[Array, Array, Array]:
    counts = np.array([cell.strikes for cell in cells], float)
    hours = np.array([max(cell.hours, LEAST_H) for cell in cells])
    return layout.rows(cells), counts, hours


def _shares(evidence: Array) -> Array:
    weight = np.asarray(CONTRAST_SHARES) * np.exp(evidence - evidence.max())
    return np.asarray(weight / weight.sum(), dtype=np.float64)


def _best(fits: Sequence[Fit], shares: Array) -> Fit:
    return fits[int(np.argmax(shares))]


def _bursts(cells: Sequence[Exposure], expected: Array) -> Bursts:
    """Compare the strikes of every whole hour, over all lines, with what the model expects of it."""
    spells: dict[tuple[float, int], tuple[float, float]] = {}
    for cell, mean in zip(cells, expected, strict=True):
        key = (cell.age_days, cell.hour)
        seen, awaited = spells.get(key, (0.0, 0.0))
        spells[key] = (seen + cell.strikes, awaited + float(mean))
    off = sum((seen - awaited) ** 2 / max(awaited, 0.2) for seen, awaited in spells.values())
    return Bursts(off, len(spells))
