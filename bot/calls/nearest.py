"""Which of many coded sounds are nearest to a few: all of them in one table, not pair by pair.

A first sieve counts the sounds that differ (rapidfuzz); what passes it is weighed by how far the sounds
are apart, row by row for all pairs at once. Knows codes only (see `sounds`), no words. Pure.
"""

from collections.abc import Sequence
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray
from rapidfuzz import process
from rapidfuzz.distance import Levenshtein

from bot.calls.sounds import LETTERS, gap, swap

LONGEST: Final = 24
"""Codes are compared up to so many sounds; no word of the language has more."""
_NONE: Final = len(LETTERS)
"""Stands behind the end of a shorter code."""


class Near(NamedTuple):
    """One coded sound that is near."""

    place: int
    """Its place in the bank."""
    apart: float
    """How far it is apart, as `sounds.distance` has it."""


class Bank:
    """Coded sounds that queries are compared with."""

    def __init__(self, codes: Sequence[str]) -> None:
        self._codes = list(codes)
        self._rows, self._lengths = _table(self._codes)

    def near(self, queries: Sequence[str], differing: Sequence[int], most: int) -> list[list[Near]]:
        """Give for every query the codes of which at most so many sounds differ, the `most` nearest."""
        if not queries or not self._codes:
            return [[] for _ in queries]
        counts = process.cdist(
            queries, self._codes, scorer=Levenshtein.distance, dtype=np.uint8,
            score_cutoff=max(differing),
        )  # fmt: skip
        chosen = [_fewest(row, limit, most) for row, limit in zip(counts, differing, strict=True)]
        rows, lengths = _table(queries)
        ours = np.repeat(np.arange(len(queries)), [len(c) for c in chosen])
        theirs = np.concatenate(chosen)
        apart = _apart(rows[ours], lengths[ours], self._rows[theirs], self._lengths[theirs])
        found: list[list[Near]] = [[] for _ in queries]
        for query, place, far in zip(ours.tolist(), theirs.tolist(), apart.tolist(), strict=True):
            found[query].append(Near(place, far))
        return found


def _fewest(counts: NDArray[np.uint8], limit: int, most: int) -> NDArray[np.intp]:
    inside = np.flatnonzero(counts <= limit)
    if len(inside) > most:
        inside = inside[np.argsort(counts[inside], kind="stable")[:most]]
    return inside


def _table(codes: Sequence[str]) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Give codes as rows of numbers, filled up to the longest, and their lengths."""
    lengths = np.array([min(len(code), LONGEST) for code in codes], dtype=np.intp)
    rows = np.full((len(codes), max(1, int(lengths.max(initial=0)))), _NONE, dtype=np.intp)
    for row, code in zip(rows, codes, strict=True):
        for n, letter in enumerate(code[:LONGEST]):
            row[n] = LETTERS[letter]
    return rows, lengths


def _costs() -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    swaps = np.zeros((_NONE + 1, _NONE + 1))
    gaps = np.zeros(_NONE + 1)
    for one, a in LETTERS.items():
        gaps[a] = gap(one)
        for other, b in LETTERS.items():
            swaps[a, b] = swap(one, other)
    return swaps, gaps


_SWAPS, _GAPS = _costs()


def _apart(
    ours: NDArray[np.intp],
    our_lengths: NDArray[np.intp],
    theirs: NDArray[np.intp],
    their_lengths: NDArray[np.intp],
) -> NDArray[np.float64]:
    """Give the cheapest change of each pair of rows: `sounds.distance` for all of them at once."""
    pairs = np.arange(len(ours))
    along = np.zeros((len(ours), theirs.shape[1] + 1))
    np.cumsum(_GAPS[theirs], axis=1, out=along[:, 1:])  # a row of only gaps
    row = along.copy()
    result = row[pairs, their_lengths]
    for n in range(ours.shape[1]):
        letters = ours[:, n]
        change = row[:, :-1] + _SWAPS[letters[:, None], theirs]
        row = row + _GAPS[letters][:, None]
        np.minimum(row[:, 1:], change, out=row[:, 1:])
        # the cheapest place to begin a run of gaps: least of (cost there - gaps up to there)
        row = np.minimum.accumulate(row - along, axis=1) + along
        result = np.where(our_lengths > n, row[pairs, their_lengths], result)
    return result
