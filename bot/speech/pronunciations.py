"""How words sound, in ARPAbet: the CMU dictionary of the PocketSphinx wheel, and rules for the rest.

The dictionary is read once, on first use, as a mapping that `calls` gets too (it may not
import `speech`). A word that the dictionary lacks is sounded out: as two known words ("yellowfin"),
else letter by letter.
"""

from collections.abc import Iterator, Mapping
from functools import lru_cache
from io import StringIO
from itertools import groupby
from pathlib import Path
from typing import Protocol

from bot.errors import EngineMissing

_FIRST_LETTERS = 3
"""Letters that say where a word stands in the dictionary; some hundreds of letters are searched then."""
_SHORTEST_PART = 3
"""Parts of a compound have at least so many letters."""

# Longest first at each place; from memory, after the usual rules of English spelling.
_LETTERS: Mapping[str, str] = {
    "tion": "SH AH N", "sion": "ZH AH N", "ough": "AO", "augh": "AO", "eigh": "EY",
    "igh": "AY", "tch": "CH", "dge": "JH", "sch": "SH", "eau": "OW", "air": "EH R",
    "ear": "IH R", "eer": "IH R", "our": "AO R", "oor": "AO R",
    "ch": "CH", "sh": "SH", "th": "TH", "ph": "F", "wh": "W", "ck": "K", "ng": "NG", "qu": "K W",
    "gh": "G", "kn": "N", "wr": "R", "ps": "P S", "ai": "EY", "ay": "EY", "au": "AO", "aw": "AO",
    "ea": "IY", "ee": "IY", "ei": "EY", "ey": "IY", "eu": "UW", "ew": "UW", "ie": "IY", "oa": "OW",
    "oe": "OW", "oi": "OY", "oy": "OY", "oo": "UW", "ou": "AW", "ow": "OW", "ue": "UW",
    "ui": "UW", "ar": "AA R", "er": "ER", "ir": "ER", "or": "AO R", "ur": "ER", "ce": "S",
    "ci": "S IH", "cy": "S IY", "bb": "B", "cc": "K", "dd": "D", "ff": "F", "gg": "G",
    "ll": "L", "mm": "M", "nn": "N", "pp": "P", "rr": "R", "ss": "S", "tt": "T", "zz": "Z",
    "a": "AE", "b": "B", "c": "K", "d": "D", "e": "EH", "f": "F", "g": "G", "h": "HH", "i": "IH",
    "j": "JH", "k": "K", "l": "L", "m": "M", "n": "N", "o": "AA", "p": "P", "q": "K", "r": "R",
    "s": "S", "t": "T", "u": "AH", "v": "V", "w": "W", "x": "K S", "y": "IY", "z": "Z",
    "0": "Z IH R OW", "1": "W AH N", "2": "T UW", "3": "TH R IY", "4": "F AO R", "5": "F AY V",
    "6": "S IH K S", "7": "S EH V AH N", "8": "EY T", "9": "N AY N",
}  # fmt: skip
_LONG_VOWELS: Mapping[str, str] = {"a": "EY", "i": "AY", "o": "OW", "u": "UW", "e": "IY"}
_LONGEST = max(len(letters) for letters in _LETTERS)


class PronouncingDictionary(Protocol):
    """Anything that knows how words are said, likeliest first."""

    def __contains__(self, word: object) -> bool:
        """Return whether a word is known."""
        ...

    def __getitem__(self, word: str) -> tuple[str, ...]:
        """Return its pronunciations, phones joined by spaces."""
        ...


class Pronunciations(Mapping[str, tuple[str, ...]]):
    """Word to its pronunciations, likeliest first; phones are joined by spaces.

    Kept as the text that it is, cut where the first letters change: a string for each of 135,000 words
    and another for its phones would take seven times the memory.
    """

    def __init__(self, dictionary_text: str) -> None:
        self._blocks: dict[str, str] = {}
        """First letters to the lines that begin so, each between line ends."""
        lines = (line for line in StringIO(dictionary_text) if " " in line)
        for first, block in groupby(lines, lambda line: _first(line.split(" ", 1)[0])):
            self._blocks[first] = self._blocks.get(first, "\n") + "".join(block).rstrip("\n") + "\n"

    def __getitem__(self, word: str) -> tuple[str, ...]:
        phones = self._phones(word)
        if phones is None:
            raise KeyError(word)
        found = [phones]
        while (variant := self._phones(f"{word}({len(found) + 1})")) is not None:
            found.append(variant)
        return tuple(found)

    def __contains__(self, word: object) -> bool:
        return isinstance(word, str) and self._phones(word) is not None

    def __iter__(self) -> Iterator[str]:
        lines = (line for block in self._blocks.values() for line in block.split("\n") if line)
        return (word for word, _, _ in (line.partition(" ") for line in lines) if word[-1] != ")")

    def __len__(self) -> int:
        return sum(1 for _ in self)

    def _phones(self, word: str) -> str | None:
        """Return the phones that stand on the line of a word, None where there is no such line."""
        block = self._blocks.get(_first(word))
        if block is None or " " in word:
            return None
        at = block.find(f"\n{word} ")
        if at < 0:
            return None
        start = at + len(word) + 2
        return block[start : block.index("\n", start)]


def _first(word: str) -> str:
    return word[:_FIRST_LETTERS]


@lru_cache(maxsize=1)
def pronunciations() -> Pronunciations:
    """Read the dictionary of the PocketSphinx wheel, once; raises EngineMissing."""
    try:
        from pocketsphinx import get_model_path

        return Pronunciations(
            Path(get_model_path("en-us/cmudict-en-us.dict")).read_text(encoding="utf-8")
        )
    except (ImportError, OSError) as exc:
        raise EngineMissing(
            "the PocketSphinx package or its dictionary is missing: pip install pocketsphinx"
        ) from exc


def sounded_out(word: str, known: PronouncingDictionary) -> str:
    """Return a likely pronunciation of a word that the dictionary lacks, as ARPAbet phones."""
    plain = "".join(letter for letter in word.lower() if letter.isalnum() or letter in "'-")
    if plain in known:
        return known[plain][0]
    parts = [part for part in plain.replace("'", "").split("-") if part]
    return " ".join(_compound(part, known) for part in parts) or "AH"


def _compound(word: str, known: PronouncingDictionary) -> str:
    """Sound a word out as two known words where it splits into them, longest first part first."""
    if word in known:
        return known[word][0]
    for at in range(len(word) - _SHORTEST_PART, _SHORTEST_PART - 1, -1):
        if word[:at] in known and word[at:] in known:
            return f"{known[word[:at]][0]} {known[word[at:]][0]}"
    if word.endswith("s") and word[:-1] in known:
        return f"{known[word[:-1]][0]} Z"
    return _by_letters(word)


def _by_letters(word: str) -> str:
    """Sound a word out by its letters; a final e after vowel and consonant makes the vowel long."""
    magic = len(word) > 3 and word[-1] == "e" and word[-3] in _LONG_VOWELS and word[-2].isalpha()
    body = word[:-1] if magic else word
    phones: list[str] = []
    at = 0
    while at < len(body):
        if magic and at == len(word) - 3:
            phones.append(_LONG_VOWELS[body[at]])
            at += 1
            continue
        for length in range(min(_LONGEST, len(body) - at), 0, -1):
            sound = _LETTERS.get(body[at : at + length])
            if sound:
                phones.append(sound)
                at += length
                break
        else:
            at += 1
    return " ".join(phones) or "AH"
