"""Find the nearest of many coded words, all in one table instead of pair by pair.

A first sieve compares which sounds are in two codes, a second (rapidfuzz) counts the sounds that differ;
what passes both is weighed by how far the sounds are apart, row by row for all pairs at once. Knows codes
only (see `sounds`), no words. Pure.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from typing import Final, NamedTuple

import numpy as np
from numpy.typing import NDArray
from rapidfuzz import process
from rapidfuzz.distance import Levenshtein

from bot.calls.sounds import LETTERS, gap, swap

LONGEST: Final = 24
"""Most sounds of a code that are compared; no word of the language has more."""
MOST_DIFFERENCES: Final = 4
"""Most sounds that may differ."""
SHORTEST: Final = 3
"""Length at which differences are counted in shorter codes."""
_NONE: Final = len(LETTERS)
"""Stands behind the end of a shorter code."""
_BITS: Final = 64


class Near(NamedTuple):
    """One coded word that is near."""

    place: int
    """Its place in the bank."""
    apart: float
    """Its distance, as of `sounds.distance`."""


class Bank:
    """Coded words that queries are compared with."""

    def __init__(self, codes: Sequence[str]) -> None:
        self._codes = list(codes)
        self._rows, self._lengths = _table(self._codes)
        self._second = _second_bits(codes)
        self._masks = np.array([_mask(c, self._second) for c in self._codes], dtype=np.uint64)
        self._held = np.bitwise_count(self._masks).view(np.int8)
        self._short = self._lengths.astype(np.int8)

    def near(
        self, queries: Sequence[str], differing: Sequence[int], most: int, furthest: float
    ) -> list[list[Near]]:
        """Return the `most` nearest codes of every query that differ from it in at most so many sounds.

        `furthest` is how far apart they may be, for each sound of the longer one.
        """
        found: list[list[Near]] = [[] for _ in queries]
        if not queries or not self._codes:
            return found
        ours, theirs = self._alike(queries, np.array(differing, dtype=np.int8))
        counts = process.cpdist(
            [queries[n] for n in ours.tolist()], [self._codes[n] for n in theirs.tolist()],
            scorer=Levenshtein.distance, dtype=np.uint8, score_cutoff=MOST_DIFFERENCES,
        )  # fmt: skip
        inside = _fewest(ours, counts, np.array(differing, dtype=np.uint8), most)
        ours, theirs = ours[inside], theirs[inside]
        rows, lengths = _table(queries)
        apart = _apart(rows[ours], lengths[ours], self._rows[theirs], self._lengths[theirs])
        longer = np.maximum(lengths[ours], self._lengths[theirs])
        close = np.flatnonzero(apart <= furthest * np.maximum(longer, SHORTEST) + 1e-9)
        ours, theirs, apart = ours[close], theirs[close], apart[close]
        for query, place, far in zip(ours.tolist(), theirs.tolist(), apart.tolist(), strict=True):
            found[query].append(Near(place, far))
        return found

    def _alike(
        self, queries: Sequence[str], differing: NDArray[np.int8]
    ) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
        """Return the pairs of a query and a code that have enough sounds in common, wherever they stand."""
        masks = np.array([_mask(q, self._second) for q in queries], dtype=np.uint64)
        lengths = np.array([min(len(q), LONGEST) for q in queries], dtype=np.int8)
        held = np.bitwise_count(masks).view(np.int8)
        common = np.bitwise_count(masks[:, None] & self._masks).view(np.int8)
        enough = common >= (held - differing)[:, None]
        common += differing[:, None]
        enough &= common >= self._held
        enough &= self._short <= (lengths + differing)[:, None]
        enough &= self._short >= (lengths - differing)[:, None]
        ours, theirs = np.nonzero(enough)
        return ours, theirs


def _second_bits(codes: Sequence[str]) -> dict[str, int]:
    """Return a bit to the sounds that are most often in one code twice."""
    twice = Counter(s for code in codes for s, n in Counter(code).items() if n > 1)
    return {s: _NONE + n for n, (s, _) in enumerate(twice.most_common(_BITS - _NONE))}


def _mask(code: str, second: Mapping[str, int]) -> int:
    """Return which sounds are in a code, a bit for each, and a second for some that are there twice."""
    mask = 0
    for letter in code:
        bit = 1 << LETTERS[letter]
        if mask & bit and letter in second:
            bit = 1 << second[letter]
        mask |= bit
    return mask


def _fewest(
    ours: NDArray[np.intp], counts: NDArray[np.uint8], limits: NDArray[np.uint8], most: int
) -> NDArray[np.intp]:
    """Return the pairs of which few enough sounds differ, for every query the `most` nearest."""
    inside = np.flatnonzero(counts <= limits[ours])
    of_each = np.bincount(ours[inside], minlength=1)
    if of_each.max() <= most:
        return inside
    order = inside[np.lexsort((counts[inside], ours[inside]))]
    rank = np.arange(len(order)) - (np.cumsum(of_each) - of_each)[ours[order]]
    return np.asarray(order[rank < most])


def _table(codes: Sequence[str]) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Return codes as rows of numbers, filled up to the longest, and their lengths."""
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
_SWAPS_FOR_GAPS: Final = _SWAPS - _GAPS


def _apart(
    ours: NDArray[np.intp],
    our_lengths: NDArray[np.intp],
    theirs: NDArray[np.intp],
    their_lengths: NDArray[np.intp],
) -> NDArray[np.float64]:
    """Return the cheapest change of each pair of rows: `sounds.distance` for all of them at once.

    A row of the table is kept less what only gaps would cost up to there; the longest of ours stand first,
    and leave the table when they are through.
    """
    result = np.zeros(len(ours))
    order = np.argsort(-our_lengths, kind="stable")
    ours, our_lengths, theirs, their_lengths = (
        ours[order], our_lengths[order], theirs[order], their_lengths[order],
    )  # fmt: skip
    theirs = theirs[:, : int(their_lengths.max(initial=0))]
    row = np.zeros((len(ours), theirs.shape[1] + 1))
    gaps = row.copy()
    np.cumsum(_GAPS[theirs], axis=1, out=gaps[:, 1:])
    all_gaps = gaps[np.arange(len(ours)), their_lengths]
    left = len(ours)
    for n in range(int(our_lengths.max(initial=0)) + 1):
        still = int(np.searchsorted(-our_lengths[:left], -n, side="left"))
        if still < left:
            done = np.arange(still, left)
            result[order[still:left]] = row[done, their_lengths[done]] + all_gaps[done]
            left, row = still, row[:still]
        if not left:
            break
        letters = ours[:left, n]
        change = row[:, :-1] + _SWAPS_FOR_GAPS[letters[:, None], theirs[:left]]
        row = row + _GAPS[letters][:, None]
        np.minimum(row[:, 1:], change, out=row[:, 1:])
        np.minimum.accumulate(row, axis=1, out=row)
    return result
