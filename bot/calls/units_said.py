"""In which units a line measures: pounds, inches, feet, fathoms, degrees Fahrenheit. Pure."""

import re
from typing import Final

from bot.calls.terms import LENGTH_CM, WEIGHT_KG

_WORD: Final = re.compile(r"[a-z]+|\d+(?:\.\d+)?|\"", re.I)
_UNIT: Final = {
    **{word: "lb" for word, kg in WEIGHT_KG.items() if kg < 1},
    **{word: "kg" for word, kg in WEIGHT_KG.items() if kg == 1},
    **{word: "in" for word, cm in LENGTH_CM.items() if cm == 2.54 and word != "in"},
    **{word: "ft" for word, cm in LENGTH_CM.items() if cm == 30.48},
    '"': "in", "fathom": "fathoms", "fathoms": "fathoms",
}  # fmt: skip


def units_of(said: str) -> frozenset[str]:
    """Return the units of a line, and each figure that may be degrees Fahrenheit as `71 °F`."""
    words = [word.casefold() for word in _WORD.findall(said)]
    figures = {f"{word} °F" for word in words if word[0].isdigit()}
    return frozenset({_UNIT[word] for word in words if word in _UNIT} | figures)
