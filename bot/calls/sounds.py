"""How far apart two words sound: phones as letters, and a distance between strings of them.

Phones are ARPAbet without stress, as in the CMU Pronouncing Dictionary. The groups of phones that are
taken for one another are common phonetics (place, manner, voicing); the weights are ours. Pure.
"""

from collections.abc import Iterable
from typing import Final

_PHONES: Final = (
    "AA AE AH AO AW AY B CH D DH EH ER EY F G HH IH IY JH K L M N NG OW OY P R S SH T TH UH UW V W"
    " Y Z ZH"
).split()
_LETTER: Final = {phone: chr(ord("A") + n) for n, phone in enumerate(_PHONES)}
_NEAR: Final = (
    (0.25, ("AA AO", "IH IY", "UH UW", "EH AE", "AH UH", "AH IH", "AH EH", "AH AA", "ER AH", "AO OW",
            "S Z", "T D", "P B", "K G", "F V", "TH DH", "SH ZH", "CH JH", "AH AE", "AO AH", "UW UH")),
    (0.40, ("EY AY", "EY EH", "EY IY", "EH IH", "AE AA", "AW AA", "AW OW", "OW UW", "OW AA", "ER AO",
            "OY AO", "M N", "N NG", "TH F", "TH T", "DH D", "S SH", "Z ZH", "S TH", "CH SH", "JH ZH",
            "L W", "R W", "V B", "AY AA", "OW AH", "UW OW", "ER UH", "AE EY", "ER EH", "UH AO", "IY EY",
            "ER IH", "Z TH", "AY AH", "AH OW", "AO UW", "V W", "CH T", "JH D", "Y IY", "W UW")),
    (0.60, ("T K", "P T", "P K", "B D", "D G", "B G", "F S", "V Z", "L R", "L N", "M B", "N D", "P F",
            "HH F", "K CH", "F P", "NG G", "NG K", "TH S", "SH CH", "D V", "T S", "D Z", "M V", "N L",
            "G JH", "AY EH", "AY IH", "AW AO", "EY AH", "EY IH", "IY AH", "UW IY", "M P", "HH K")),
)  # fmt: skip
_WEAK: Final = frozenset("T D HH AH IH N R L Y P Z S V ER".split())
_GAP: Final = 0.8
"""Cost of a sound too many or too few."""
_WEAK_GAP: Final = 0.5
"""The same cost for sounds that are easily swallowed."""


def _pairs() -> dict[tuple[str, str], float]:
    found: dict[tuple[str, str], float] = {}
    for cost, pairs in _NEAR:
        for pair in pairs:
            a, b = (_LETTER[p] for p in pair.split())
            found.setdefault((a, b), cost)
            found.setdefault((b, a), cost)
    return found


LETTERS: Final = {letter: n for n, letter in enumerate(_LETTER.values())}
"""The letter of each phone, numbered."""
_SWAP: Final = _pairs()
_GAPS: Final = {letter: _WEAK_GAP if phone in _WEAK else _GAP for phone, letter in _LETTER.items()}


def phone_letters(phones: str | Iterable[str]) -> str:
    """Return phones ("S T R AY K") as one letter each; unknown phones are left out."""
    listed = phones.split() if isinstance(phones, str) else phones
    return "".join(_LETTER.get(p.rstrip("012"), "") for p in listed)


def gap(letter: str) -> float:
    """Return the cost of a sound too many or too few."""
    return _GAPS[letter]


def swap(letter: str, other: str) -> float:
    """Return the cost of taking one sound for another."""
    return 0.0 if letter == other else _SWAP.get((letter, other), 1.0)


def distance(a: str, b: str) -> float:
    """Return the cheapest change from one coded string to the other; 0 where they sound alike.

    The plain way, pair by pair; `nearest` does the same for many.
    """
    before = [0.0]
    for letter in b:
        before.append(before[-1] + gap(letter))
    for letter in a:
        row = [before[0] + gap(letter)]
        for n, other in enumerate(b):
            row.append(
                min(
                    before[n] + swap(letter, other),
                    before[n + 1] + gap(letter),
                    row[n] + gap(other),
                )
            )
        before = row
    return before[-1]
