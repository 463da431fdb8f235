"""Tag numbers where the learned reader says that words are one: letters and digits, in parts. Pure.

B 55 203 -> B55203      P T four zero eight one -> PT4081       NSW forty one oh nine -> NSW4109
"""

from collections.abc import Iterator
from typing import Final

from bot.calls.numbers import numbers_at
from bot.calls.reader.words import Span, Words
from bot.calls.tags import LONGEST, SPOKEN_LETTERS

_LETTERS: Final = 4
"""Most letters before the digits of a tag."""
_COST: Final = 0.1
_SHORTER: Final = 0.01
"""Extra cost of a part that stops too early: "forty one oh nine" is 41 and 09, not 40 and 109."""
_TIMES: Final = {"double": 2, "triple": 3}
_WAYS: Final = 24
"""Most readings that are followed from one place."""


def tag_said_at(words: Words, start: int) -> Iterator[Span]:
    """Yield the tag numbers that begin at a place, every length of them."""
    spots = [(at, letters, _COST) for at, letters in _letters(words, start)]
    spots += [  # "tag 40 518": what the grammar takes for the number may go on
        (term.end, str(term.slots[0][1]), _COST + term.cost)
        for term in words.terms[start].get("{tagno}", ())
    ]
    seen: set[tuple[int, str]] = set()
    while spots and len(seen) < _WAYS:
        at, said, cost = spots.pop(0)
        for n, (end, figures) in enumerate(_figures(words, at)):
            whole, spent = said + figures, cost + n * _SHORTER
            if len(whole) <= LONGEST and (end, whole) not in seen:
                seen.add((end, whole))
                yield Span(start, end, whole, spent)
                spots.append((end, whole, spent))


def _letters(words: Words, at: int) -> Iterator[tuple[int, str]]:
    """Yield place and letters before the figures: none, one word of them, or letter by letter."""
    yield at, ""
    said = ""
    while at < len(words.tokens) and len(said) < _LETTERS:
        text = words.tokens[at].text
        raw = words.line[words.tokens[at].start : words.tokens[at].end]
        if text in SPOKEN_LETTERS:
            said += text[0].upper()
        elif raw.isalpha() and (len(raw) == 1 or (raw.isupper() and len(raw) <= _LETTERS)):
            said += raw.upper()
        else:
            return
        at += 1
        yield at, said


def _raw(words: Words, at: int) -> str:
    return words.tokens[at].text.lstrip("#").replace("-", "")


def _figures(words: Words, at: int) -> Iterator[tuple[int, str]]:
    """Yield end and figures of what may be said next, the longest first."""
    if at >= len(words.tokens):
        return
    raw = _raw(words, at)
    if any(c.isdigit() for c in raw) and raw.isalnum():
        end = at + 1
        while len(raw) == end - at and end < len(words.tokens) and _raw(words, end).isdigit():
            raw, end = raw + _raw(words, end), end + 1  # digit by digit: "7 7 3 0 2"
            if len(raw) > end - at:
                break
        if end > at + 1:
            yield end, raw
        yield at + 1, _raw(words, at).upper()
    times = _TIMES.get(words.tokens[at].text, 0)
    for number in numbers_at(words.lattice, at + 1) if times and at + 1 < len(words.tokens) else ():
        if number.value in range(10):
            yield number.end, str(int(number.value)) * times
    for number in sorted(numbers_at(words.lattice, at), key=lambda n: -n.end):
        if number.value == int(number.value):
            yield number.end, number.digits or str(int(number.value))
