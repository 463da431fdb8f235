"""Number words and clock times over a lattice of words.

    eight and a half -> 8.5     two hundred and forty -> 240    two twenty -> 220
    twenty two five -> 22.5     one three zero -> 130           twelve decimal five -> 12.5

The digit words of the IMO Standard Marine Communication Phrases (A.918(22)) are numbers too: niner,
fife, tree, fower, ait. Gives every reading with its end and cost; the caller chooses by what follows.
"""

from collections.abc import Iterator
from itertools import pairwise
from operator import itemgetter
from typing import Final, NamedTuple

from bot.calls.lattice import Lattice

LONGEST_RUN: Final = 8
"""Most digits said one by one: those of a tag's number."""
LONGEST_FIGURE: Final = 9
"""Most digits of a typed number."""
RUNS: Final = 8
"""Most runs of digits of one length that are followed, where repair offers many."""
NUMBERS: Final = 12
"""Most numbers that are kept at one place."""

_SMALL: Final = {
    w: n
    for n, words in enumerate((
        "zero oh nought", "one wun", "two too", "three tree", "four fower", "five fife", "six",
        "seven", "eight ait", "nine niner", "ten", "eleven", "twelve", "thirteen", "fourteen",
        "fifteen", "sixteen", "seventeen", "eighteen", "nineteen",
    ))
    for w in words.split()
}  # fmt: skip
_PLURALS: Final = {
    "sixes": 6, "sevens": 7, "eights": 8, "nines": 9, "tens": 10, "elevens": 11, "twelves": 12,
    "fourteens": 14,
}  # fmt: skip
_UNITS: Final = _SMALL | _PLURALS
_TENS: Final = {
    w: 10 * (n + 2)
    for n, w in enumerate(
        ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]
    )
} | {"fourty": 40}
PARTS: Final = {"half": 0.5, "quarter": 0.25}
"""Word -> part of one."""
TOGETHER: Final = {"pair": 2, "double": 2, "couple": 2, "triple": 3, "trio": 3}
"""Word -> how many at once: fish, lures, birds."""
COUNT_WORDS: Final = (
    *(w for w in _UNITS if w not in ("oh", "too", "tree", "wun", "ait")),
    *_TENS,
)
"""Words for numbers up to ninety."""
WORDS: Final = (*COUNT_WORDS, "hundred", "thousand", "point", "decimal", "half", "quarter", "dozen")
"""Number words that a garbled word may be repaired to."""


_STARTS: Final = frozenset(_UNITS) | frozenset(_TENS) | {
    "a", "another", "point", "decimal", "comma", "half", "quarter", "noon", "midday", "hundred", "an",
    "couple", "three", "few", "moments", "0.5",
}  # fmt: skip
"""Words with which a number, a time of day or a span of time may begin."""


def may_start(lattice: Lattice, start: int) -> bool:
    """Return whether a number or a time may begin at a node; a cheap test before the costly ones."""
    return any(
        edge.word in _STARTS or edge.word[0].isdigit() or edge.word[0] == "."
        for edge in lattice.edges[start]
    )


class Number(NamedTuple):
    """One reading of a number."""

    value: float
    end: int
    cost: float
    digits: str = ""
    """The digits as said, where they were said one by one or typed."""


_Spot = tuple[int, float]


_GOOD: Final = frozenset(
    "good nice big small little fat lovely decent solid great tiny huge".split()
)
"""Words behind which "one" is no number."""


def numbers_at(lattice: Lattice, start: int) -> list[Number]:
    """Return the numbers that begin at a node: the best for every end, the cheapest `NUMBERS` of them."""
    known: list[Number] | None = lattice.read.get(("number", start))
    if known is None:
        known = lattice.read["number", start] = _best(lattice, start)
    return known


def _best(lattice: Lattice, start: int) -> list[Number]:
    best: dict[tuple[int, float], Number] = {}
    for found in () if _is_pronoun(lattice, start) else _numbers(lattice, start):
        key = (found.end, found.value)
        if key not in best or found.cost < best[key].cost:
            best[key] = found
    if len(best) <= NUMBERS:
        return list(best.values())
    return sorted(best.values(), key=lambda n: n.cost)[:NUMBERS]


def _is_pronoun(lattice: Lattice, at: int) -> bool:
    """Return whether "one" stands for a fish and begins no number: "a good one eight kilos"."""
    said = lattice.tokens
    return 0 < at < len(said) and said[at].text == "one" and said[at - 1].text in _GOOD


def _words(lattice: Lattice, at: int) -> Iterator[tuple[str, int, float]]:
    yield from lattice.edges[at]


def _numbers(lattice: Lattice, start: int) -> Iterator[Number]:
    for whole in _wholes_at(lattice, start):
        yield whole
        yield from _said_twice(lattice, whole)
        yield from _fractions(lattice, whole)
    for word, end, cost in _words(lattice, start):
        if word == "half":
            for stop, extra in lattice.follow(end, ("a", "dozen")):
                yield Number(6.0, stop, cost + extra)
        if word in ("a", "another"):
            for part, stop, extra in _words(lattice, end):
                if part == "dozen":
                    yield Number(12.0, stop, cost + extra)
        if word in ("point", "decimal", "comma"):
            for tail in _digit_run(lattice, end):
                yield Number(float("0." + tail.digits), tail.end, cost + tail.cost)


def _said_twice(lattice: Lattice, whole: Number) -> Iterator[Number]:
    """Read "twelve, one two" as 12: a number, and its digits again as the IMO's phrases have it."""
    if whole.digits and len(whole.digits) != len(str(int(whole.value))):
        return
    digits = str(int(whole.value))
    if whole.value != int(whole.value) or not 2 <= len(digits) <= 4:
        return
    spots = [(whole.end, whole.cost)]
    for digit in digits:
        spots = [
            (end, spent + cost)
            for at, spent in spots
            for word, end, cost in lattice.edges[at]
            if _SMALL.get(word) == int(digit) or word == digit
        ]
    yield from (Number(whole.value, end, spent) for end, spent in spots)


def _fractions(lattice: Lattice, whole: Number) -> Iterator[Number]:
    for word, end, cost in _words(lattice, whole.end):
        spent = whole.cost + cost
        if word in ("point", "decimal", ".", "comma"):
            for tail in _digit_run(lattice, end):
                value = float(f"{int(whole.value)}.{tail.digits}")
                yield Number(value, tail.end, spent + tail.cost)
        elif word == "and" and whole.value < 1000:
            yield from _and_part(lattice, whole, end, spent)
        elif word == "0.5" or word == "0.25" or word == "0.75":
            yield Number(whole.value + float(word), end, spent)


def _and_part(lattice: Lattice, whole: Number, at: int, spent: float) -> Iterator[Number]:
    for word, end, cost in _words(lattice, at):
        times = {"a": 1.0, "one": 1.0, "three": 3.0}.get(word)
        if word in PARTS:
            yield Number(whole.value + PARTS[word], end, spent + cost)
        elif times is not None:
            for part, stop, extra in _words(lattice, end):
                name = part.removesuffix("s")
                if name in PARTS and (times == 1.0 or name == "quarter"):
                    value = whole.value + times * PARTS[name]
                    yield Number(value, stop, spent + cost + extra)


def _wholes_at(lattice: Lattice, start: int) -> list[Number]:
    known: list[Number] | None = lattice.read.get(("whole", start))
    if known is None:
        told = [n for n in _wholes(lattice, start) if n.digits or not _is_parted(lattice, start, n)]
        known = lattice.read["whole", start] = told
    return known


def _is_parted(lattice: Lattice, start: int, number: Number) -> bool:
    """Return whether a comma stands after a digit of a number in words: "a baby one, forty kilos"."""
    words = lattice.tokens[start : number.end]
    return any(after.mark == "," and before.text in _UNITS for before, after in pairwise(words))


def _wholes(lattice: Lattice, start: int) -> Iterator[Number]:
    for word, end, cost in _words(lattice, start):
        if word[0].isdigit() or word[0] == ".":
            figure = _figure(word)
            if figure is not None:
                yield Number(figure, end, cost, word if word.isdigit() else "")
                yield from _scaled(lattice, figure, end, cost)
        elif word in _UNITS or word in _TENS:
            yield from _below_hundred(lattice, word, end, cost)
        elif word == "hundred":
            yield from _after_scale(lattice, 1.0, word, end, cost + 0.12)
        elif word in ("a", "another"):
            for scale, stop, extra in _words(lattice, end):
                if scale in ("hundred", "thousand"):
                    yield from _after_scale(lattice, 1.0, scale, stop, cost + extra)
    run = list(_digit_run(lattice, start, spoken=True))
    yield from (Number(float(r.digits), r.end, r.cost, r.digits) for r in run if len(r.digits) > 1)


def _figure(word: str) -> float | None:
    """Return the value of typed digits; None where they are no number or a longer one than anybody logs."""
    if len(word) > LONGEST_FIGURE:
        return None
    try:
        return float(word)
    except ValueError:
        return None


def _below_hundred(lattice: Lattice, word: str, end: int, cost: float) -> Iterator[Number]:
    small = [Number(float(_UNITS.get(word, _TENS.get(word, 0))), end, cost)]
    if word in _TENS:
        for unit, stop, extra in _words(lattice, end):
            if 0 < _UNITS.get(unit, 0) < 10:
                small.append(Number(_TENS[word] + _UNITS[unit], stop, cost + extra))
    for each in small:
        yield each
        yield from _scaled(lattice, each.value, each.end, each.cost)
    if 1 <= _UNITS.get(word, 0) <= 19:
        yield from _hundreds_short(lattice, _UNITS[word], end, cost)


def _hundreds_short(lattice: Lattice, hundreds: int, end: int, cost: float) -> Iterator[Number]:
    """Read "two twenty" as 220 and "one fifty five" as 155; the caller's unit decides."""
    if hundreds > 12:
        return
    for tens, stop, extra in _words(lattice, end):
        value = _TENS.get(tens) or (_UNITS[tens] if 10 <= _UNITS.get(tens, 0) <= 19 else None)
        if value is None:
            continue
        yield Number(100.0 * hundreds + value, stop, cost + extra + 0.05)
        if tens in _TENS:
            for unit, last, more in _words(lattice, stop):
                if 0 < _UNITS.get(unit, 0) < 10:
                    both = 100.0 * hundreds + value + _UNITS[unit]
                    yield Number(both, last, cost + extra + more + 0.05)


def _scaled(lattice: Lattice, value: float, end: int, cost: float) -> Iterator[Number]:
    for word, stop, extra in _words(lattice, end):
        if word in ("hundred", "thousand") and value == int(value) and value < 100:
            yield from _after_scale(lattice, value, word, stop, cost + extra)
        elif word == "dozen" and value < 10:
            yield Number(value * 12, stop, cost + extra)


def _after_scale(
    lattice: Lattice, value: float, scale: str, end: int, cost: float
) -> Iterator[Number]:
    base = value * (100.0 if scale == "hundred" else 1000.0)
    yield Number(base, end, cost)
    limit = 100 if scale == "hundred" else 1000
    tails = [(end, cost)]
    tails += [(stop, cost + extra) for w, stop, extra in _words(lattice, end) if w == "and"]
    for at, spent in tails:
        for tail in _wholes_below(lattice, at, limit):
            yield Number(base + tail.value, tail.end, spent + tail.cost)


def _wholes_below(lattice: Lattice, start: int, limit: int) -> Iterator[Number]:
    for word, end, cost in _words(lattice, start):
        if word in _UNITS and _UNITS[word] > 0:
            yield Number(float(_UNITS[word]), end, cost)
            if limit > 100:
                yield from _scaled(lattice, float(_UNITS[word]), end, cost)
        elif word in _TENS:
            yield Number(float(_TENS[word]), end, cost)
            for unit, stop, extra in _words(lattice, end):
                if 0 < _UNITS.get(unit, 0) < 10:
                    yield Number(float(_TENS[word] + _UNITS[unit]), stop, cost + extra)


def _digit_run(lattice: Lattice, start: int, spoken: bool = False) -> Iterator[Number]:
    """Read digits said one by one; every length is a reading, the cheapest `RUNS` of each."""
    runs: dict[tuple[int, str], float] = {(start, ""): 0.0}
    while runs:
        longer: dict[tuple[int, str], float] = {}
        for (at, digits), cost in runs.items():
            if len(digits) >= LONGEST_RUN:
                continue
            for word, end, extra in _words(lattice, at):
                more = _digits(word, digits, spoken)
                if more is not None and cost + extra < longer.get((end, more), 99.0):
                    longer[end, more] = cost + extra
        if len(longer) > RUNS:
            longer = dict(sorted(longer.items(), key=itemgetter(1))[:RUNS])
        for (at, digits), cost in longer.items():
            yield Number(float(digits), at, cost, digits)
        runs = longer


def _digits(word: str, before: str, spoken: bool) -> str | None:
    """Return a run of digits with one word more, or None where the word does not go on with it."""
    if _UNITS.get(word, 10) < 10:
        return before + str(_UNITS[word])
    if not spoken and word.isdigit() and len(word) <= 4:
        return before + word
    if not spoken and not before and (word in _UNITS or word in _TENS):
        return str(_UNITS.get(word, _TENS.get(word)))
    return None


def tens_and_tenths(lattice: Lattice, start: int) -> Iterator[Number]:
    """Read "twenty two five" as 22.5: temperatures are said so."""
    for whole in _wholes_at(lattice, start):
        if 10 <= whole.value < 100 and whole.value % 10:
            for word, end, cost in _words(lattice, whole.end):
                if _UNITS.get(word, 10) < 10:
                    value = whole.value + _UNITS[word] / 10
                    yield Number(value, end, whole.cost + cost + 0.1)


def with_tenths(lattice: Lattice, start: int) -> Iterator[Number]:
    """Read "thirteen two" as 13.2 and "nine eight" as 9.8: a scale is read out so."""
    yield from tens_and_tenths(lattice, start)
    for word, middle, cost in _words(lattice, start):
        for part, end, extra in _words(lattice, middle):
            if 0 < _UNITS.get(word, 10) < 10 and 0 < _UNITS.get(part, 10) < 10:
                yield Number(_UNITS[word] + _UNITS[part] / 10, end, cost + extra)
