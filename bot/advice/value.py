"""What a spread is worth for the rest of the day, with what it will teach: the knowledge gradient.

For every spread that one change can make: strikes while it is fished for `HOLD_H`, then the strikes of
the best spread that one would put together knowing what that time will have shown: those of the lures
that look best now, and what is won over them (an average over imagined outcomes, the same for all
spreads). Frazier, Powell and Dayanik, "The knowledge-gradient policy for correlated normal beliefs",
INFORMS J. Computing 21 (2009) 599-613, for several lures at once. Arrays in, arrays out.
"""

from dataclasses import dataclass
from functools import lru_cache
from statistics import NormalDist
from typing import Final

import numpy as np
import numpy.typing as npt

from bot.advice.layout import Array

HOLD_H: Final = 1.0
"""Hours for which a spread is held to stay as it is: a change wins what it wins in that time."""
LOOK_H: Final = 1.0
"""Hours of fishing that one learns from; longer values learning more."""
LEARN_SHARE: Final = 0.1
"""Share of the time to come in which one still learns."""
LEARN_MOST_H: Final = 8.0
"""At most so many hours of learning are looked ahead."""
OUTCOMES: Final = 32
"""Imagined outcomes, an even number; more is smoother and slower."""


@dataclass(frozen=True, eq=False, slots=True)
class Stock:
    """What is believed of the log rates of the lures there are, without position."""

    mean: Array
    cov: Array
    copies: Array
    """How many there are of each, those in the water too."""


def worth(
    spreads: Array,
    stock: Stock,
    factors: Array,
    hours_left: float,
    hours_later: float,
    hold_h: float = HOLD_H,
    now: Array | None = None,
) -> Array:
    """Return the strikes of each spread (a row of lures by position), learning included.

    `factors` are strikes per hour at each position of a lure with log rate 0; `hours_later` is the
    time after today for which what is learnt today still counts; `hold_h` that for which a spread is
    held to stay as it is. `now` are the strikes per hour of every lure on every line, where what is behind
    a lure's own rate matters; later a lure may be on any line.
    """
    lures = spreads.astype(np.intp)
    look = min(hold_h, hours_left)
    rest_h = hours_left - look + hours_later
    rates = _rates(stock)
    laid = rates[None, :] * factors[:, None] if now is None else now
    spread_now = laid[np.arange(lures.shape[1]), lures].sum(axis=1)
    learn = min(max(LEARN_SHARE * rest_h, LOOK_H), LEARN_MOST_H)
    gain, rest = _lessons(lures, stock, factors, learn)
    log_rates = stock.mean + _draws(lures.shape[1]) @ gain.transpose(0, 2, 1)
    log_rates += 0.5 * rest[:, None, :]
    copies = np.minimum(stock.copies, lures.shape[1]).astype(int)
    pick = np.repeat(np.arange(len(stock.mean)), copies)
    places = np.sort(factors)
    top = pick[np.argsort(rates[pick], kind="stable")[-len(places) :]]
    best = np.partition(log_rates[:, :, pick], len(pick) - len(places), axis=2)
    best = np.sort(best[:, :, -len(places) :], axis=2)
    more = (np.exp(best) - np.exp(log_rates[:, :, top])) @ places
    later = float(rates[top] @ places) + more.mean(axis=1)
    return np.asarray(spread_now * look + later * rest_h)


def _rates(stock: Stock) -> Array:
    return np.asarray(np.exp(stock.mean + 0.5 * np.diag(stock.cov)), dtype=np.float64)


def _lessons(
    lures: npt.NDArray[np.intp], stock: Stock, factors: Array, look: float
) -> tuple[Array, Array]:
    """Return how outcomes move the log rates, and the variance that is left, for every spread."""
    informed = np.maximum(np.exp(stock.mean)[lures] * factors * look, 1e-3)
    among = stock.cov[lures[:, :, None], lures[:, None, :]]
    among = among + np.eye(lures.shape[1]) / informed[:, :, None]
    gain = np.linalg.solve(np.linalg.cholesky(among), stock.cov[lures])
    rest = np.clip(np.diag(stock.cov) - (gain**2).sum(axis=1), 0.0, None)
    return gain.transpose(0, 2, 1), rest


@lru_cache(maxsize=16)
def _draws(width: int) -> Array:
    """Return standard normal outcomes, the same every time: Halton points, mirrored, mean 0."""
    primes = (2, 3, 5, 7, 11, 13, 17, 19, 23, 29, 31, 37)
    half = OUTCOMES // 2
    points = np.array(
        [[_halton(row + 7, primes[c % 12]) for c in range(width)] for row in range(half)]
    )
    normal = np.vectorize(NormalDist().inv_cdf, otypes=[np.float64])(points)
    return np.concatenate([normal, -normal])


def _halton(number: int, base: int) -> float:
    share, value = 1.0, 0.0
    while number:
        share /= base
        number, digit = divmod(number, base)
        value += share * digit
    return value
