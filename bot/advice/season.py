"""What earlier trips and today say together about every kind of lure at every position.

Earlier trips are a start that fades with their age and is loosened by a step, so that today can
overrule it; how far lures differ at all (`CONTRASTS`) is learnt too, so a sea where all lures catch
alike is soon known as one. Pure; one belief for each moment, no wording.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np

from bot.advice.data import Exposure
from bot.advice.layout import Array, Layout, Scales
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


@dataclass(frozen=True, eq=False)
class Earlier:
    """The cells of earlier trips; compared by identity, so that what they say is worked out once."""

    cells: tuple[Exposure, ...] = ()


@dataclass(frozen=True, eq=False, slots=True)
class Morning:
    """What is believed at the start of today, one for each contrast."""

    parts: tuple[Start, ...]
    evidence: Array


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
        """Give the probability that lures hardly differ."""
        return float(self.shares[0])

    @property
    def evidence(self) -> float:
        """Give the log Bayes factor that lures differ, against hardly."""
        prior = CONTRAST_SHARES[0] / (1.0 - CONTRAST_SHARES[0])
        odds = (1.0 - self.flat) / max(self.flat, 1e-9)
        return float(np.log(odds * prior))


NOTHING: Final = Earlier()


def believe(today: Sequence[Exposure], earlier: Earlier, layout: Layout) -> Outlook:
    """Give what the record says: earlier trips as the start, today on top."""
    start = begin(earlier, layout)
    cells = [cell for cell in today if cell.hours > 0]
    if not cells:
        shares = _shares(start.evidence)
        return Outlook(
            layout, mixed(tuple(part.gauss for part in start.parts), shares), shares, 1.0
        )
    rows, counts, hours = _arrays(cells, layout)
    fits = [fit(rows, counts, hours, part) for part in start.parts]
    shares = _shares(start.evidence + np.array([one.evidence for one in fits]))
    clumping = _clumping(cells, counts, _best(fits, shares).expected)
    if clumping > 1.0:
        fits = [fit(rows, counts / clumping, hours / clumping, part) for part in start.parts]
        shares = _shares(start.evidence + np.array([one.evidence for one in fits]))
    return Outlook(layout, mixed(tuple(one.gauss for one in fits), shares), shares, clumping)


@lru_cache(maxsize=8)
def begin(earlier: Earlier, layout: Layout) -> Morning:
    """Give what earlier trips say about today, faded and loosened."""
    starts = [ready(Gauss(*layout.start(SCALES, contrast))) for contrast in CONTRASTS]
    cells = [cell for cell in earlier.cells if cell.hours > 0]
    if not cells:
        return Morning(tuple(starts), np.zeros(len(CONTRASTS)))
    rows, counts, hours = _arrays(cells, layout)
    fade = np.array([0.5 ** (cell.age_days / HALF_LIFE_DAYS) for cell in cells])
    fits = [fit(rows, counts * fade, hours * fade, start) for start in starts]
    loose = [
        ready(Gauss(one.gauss.mean, one.gauss.cov + LOOSEN**2 * start.gauss.cov))
        for one, start in zip(fits, starts, strict=True)
    ]
    return Morning(tuple(loose), np.array([one.evidence for one in fits]))


def _arrays(cells: Sequence[Exposure], layout: Layout) -> tuple[Array, Array, Array]:
    counts = np.array([cell.strikes for cell in cells], float)
    hours = np.array([cell.hours for cell in cells])
    return layout.rows(cells), counts, hours


def _shares(evidence: Array) -> Array:
    weight = np.asarray(CONTRAST_SHARES) * np.exp(evidence - evidence.max())
    return np.asarray(weight / weight.sum(), dtype=np.float64)


def _best(fits: Sequence[Fit], shares: Array) -> Fit:
    return fits[int(np.argmax(shares))]


def _clumping(cells: Sequence[Exposure], counts: Array, expected: Array) -> float:
    """Measure variance over mean of the strikes of a whole hour, drawn towards 1 while little is known."""
    spells: dict[int, tuple[float, float]] = {}
    for cell, count, mean in zip(cells, counts, expected, strict=True):
        seen, awaited = spells.get(cell.hour, (0.0, 0.0))
        spells[cell.hour] = (seen + float(count), awaited + float(mean))
    chi2 = sum((seen - awaited) ** 2 / max(awaited, 0.2) for seen, awaited in spells.values())
    return max(1.0, (chi2 + DISPERSION_PRIOR) / (len(spells) + DISPERSION_PRIOR))
