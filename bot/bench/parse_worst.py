"""Lines that nobody says, up to 4,096 characters long, to find what the parser takes longest over.

Every kind is drawn anew some times by a fixed seed: what is repeated, run together, far too long, or no
language at all. Milliseconds of CPU of this thread.
"""

import random
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Final, NamedTuple

from bot.calls.grammar import Grammar
from bot.calls.language import Language
from bot.calls.understand import understand
from bot.transcript import typed_transcript

LONGEST: Final = 4096
BREATH: Final = 25
"""Words of a long breath, all of which may be repaired."""
_NUMBERS: Final = (
    "zero one two three four five six seven eight nine ten eleven twenty thirty hundred thousand point"
    " and a half"
).split()
_SLIPS: Final = "ate to too for tree won nein tan sicks fore heaven fort tea sickly tin".split()
_LETTERS: Final = "abcdefghijklmnopqrstuvwxyz"


class Worst(NamedTuple):
    """What one kind of line took."""

    kind: str
    characters: int
    median_ms: float
    worst_ms: float


def worst_lines(words: Language, of_each: int, seed: int = 1) -> Iterator[Worst]:
    """Read lines of every kind, so many `of_each`; return what they took."""
    for kind, make in _kinds(words.grammar, random.Random(seed)).items():
        took, longest = [], 0
        for _ in range(of_each):
            line = make()[:LONGEST]
            start = time.thread_time()
            understand(typed_transcript(line), words)
            took.append((time.thread_time() - start) * 1000)
            longest = max(longest, len(line))
        yield Worst(kind, longest, sorted(took)[len(took) // 2], max(took))


def _kinds(grammar: Grammar, chance: random.Random) -> Mapping[str, Callable[[], str]]:
    def some(words: Sequence[str], join: str = " ", count: int = 1000) -> Callable[[], str]:
        return lambda: join.join(chance.choice(words) for _ in range(count))

    def again(*words: str) -> Callable[[], str]:
        return lambda: " ".join(words * (LONGEST // len(words)))

    def letters(longest: int, count: int) -> Callable[[], str]:
        return lambda: " ".join(
            "".join(chance.choice(_LETTERS) for _ in range(chance.randint(2, longest)))
            for _ in range(count)
        )

    def signs(first: int, last: int) -> Callable[[], str]:
        return lambda: "".join(chr(chance.randrange(first, last)) for _ in range(LONGEST))

    def forms(table: str) -> list[str]:
        return [form for said in grammar.words[table].values() for form in said]

    known = sorted(grammar.vocabulary | grammar.talk_words)
    colours, positions, names = forms("colour"), forms("position"), forms("name")
    return {
        "numbers": some(_NUMBERS), "one number": again("two"),
        "hundreds and thousands": again("two", "hundred", "and", "fifty", "thousand"),
        "one figure": lambda: "9" * LONGEST, "figures": some("0123456789"),
        "digits of a tag": lambda: "tag " + some(_NUMBERS[:10])(),
        "colours": some(colours), "colours and": some(colours, " and "), "one colour": again("blue"),
        "and": again("and"), "positions": some(positions), "positions and": some(positions, " and "),
        "names": some(names), "names in one word": some([n.replace(" ", "") for n in names], ""),
        "fish": some(forms("species")), "calls": again(*"strike long rigger purple eight and".split()),
        "corrections": again(*"no wait sorry long rigger make that".split()),
        "times of day": again(*"at 10:40 quarter past ten".split()), "fractions": again("7", "1/2"),
        "words of the language": some(known), "the same between commas": some(known, ", "),
        "slips": some(sorted(grammar.heard)), "letters": letters(9, 600),
        "one long word": lambda: "".join(chance.choice(_LETTERS) for _ in range(LONGEST)),
        "any signs": signs(32, 0x3000), "letters with marks": signs(0xC0, 0x180),
        "control signs": signs(0, 32), "stops": some(".,;:!?'\"/-#*&@%+=>", ""),
        "a breath of words": some(known, count=BREATH),
        "a breath of numbers": some(_NUMBERS, count=BREATH),
        "a breath of slips": some(sorted(grammar.heard), count=BREATH),
        "a breath of garbled numbers": some(_SLIPS, count=BREATH),
        "a breath of letters": letters(9, BREATH),
    }  # fmt: skip
