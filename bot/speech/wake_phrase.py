"""The wake phrase of the boat: what makes one that can be found, and not found where it was not said.

Pure. A phrase is refused with one line that says what to do.
"""

from collections.abc import Callable, Iterable, Sequence
from itertools import islice, product
from typing import Final

from rapidfuzz.fuzz import partial_ratio

from bot.errors import SettingsError

LEAST_PHONES: Final = 8
"""Shorter phrases turn up in any talk; PocketSphinx's makers advise three syllables and more."""
ALIKE: Final = 78.0
"""Per cent of its phones that a phrase may share, in a row, with what is called anyway."""
_MOST_WAYS: Final = 6

Ways = Callable[[str], Sequence[str]]
"""Word -> its pronunciations, phones joined by blanks; sounded out where the dictionary lacks it."""


def phrase_phones(phrase: str, ways: Ways) -> list[list[str]]:
    """Return the phones of a phrase in the likeliest ways of saying it."""
    said = islice(product(*(ways(word) for word in phrase.split())), _MOST_WAYS)
    return [[phone for way in one for phone in way.split()] for one in said]


def check(phrase: str, sentences: Iterable[str], ways: Ways, where: str) -> None:
    """Raise SettingsError where a phrase is too short, or like what is called on deck anyway."""
    sounds = phrase_phones(phrase, ways)
    shortest = min(map(len, sounds))
    if shortest < LEAST_PHONES:
        raise SettingsError(
            f'{where}: "{phrase}" has {shortest} sounds and would be heard in any talk;'
            f" take one of {LEAST_PHONES} or more, e.g. two long words"
        )
    called = tuple(sentences)
    words = set(phrase.split())
    if inside := next((one for one in called if words <= set(one.split())), None):
        raise SettingsError(f'{where}: "{phrase}" is part of the call "{inside}"; take another')
    signs: dict[str, str] = {}
    wanted = _written(sounds[0], signs)
    for sentence in called:
        other = _written(phrase_phones(sentence, ways)[0], signs)
        if len(other) >= len(wanted) and partial_ratio(wanted, other) >= ALIKE:
            raise SettingsError(
                f'{where}: "{phrase}" sounds like the call "{sentence}"; take words that nobody calls'
            )


def _written(phones: Iterable[str], signs: dict[str, str]) -> str:
    """Write phones as one sign each, so that texts can be compared."""
    return "".join(signs.setdefault(phone, chr(0x100 + len(signs))) for phone in phones)
