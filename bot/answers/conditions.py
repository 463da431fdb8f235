"""In which month, light, water or place: what the words of a question say of the conditions. Words only."""

import re
from dataclasses import replace
from typing import Final

from bot.answers.view import View
from bot.calls.lattice import plain
from bot.calls.numbers import numbers_at
from bot.calls.tokens import tokenise
from bot.trip.conditions import MONTHS, water_key
from bot.trip.entry import Place
from bot.trip.exposure import Only
from bot.trip.whereabouts import cell_of, middle_of, neighbours
from bot.water.bearing import leg

HERE_NM: Final = 5.0
"""What is no farther away is here."""

_MONTH: Final = re.compile(rf"\b(?:in|during|of|for|by)\s+({'|'.join(MONTHS)})\b", re.IGNORECASE)
_LIGHT: Final[tuple[tuple[re.Pattern[str], tuple[str, ...]], ...]] = tuple(
    (re.compile(rf"\b(?:{words})\b"), lights)
    for words, lights in (
        ("first light|before sunrise|before sun ?up", ("dawn",)),
        ("last light|after sunset|after sun ?down", ("dusk",)),
        ("dawn|daybreak|sunrise|sun ?up", ("dawn", "low morning sun")),
        ("dusk|sunset|sun ?down", ("low evening sun", "dusk")),
        ("low sun", ("low morning sun", "low evening sun")),
        ("low morning sun", ("low morning sun",)),
        ("low evening sun", ("low evening sun",)),
        ("(?:at|by) night|(?:in|after) (?:the )?dark", ("dark",)),
        ("in (?:full |broad )?daylight|by day|with the sun up", ("day",)),
    )
)
_HERE: Final = re.compile(
    r"\b(?:works?|worked|working|best|bites?|bit|strikes|eating|ate|been|hot|tally|record)\s+"
    r"(?:best\s+|good\s+|well\s+)?(?:right\s+|around\s+|about\s+|near\s+)?(?:here|this (?:spot|place))\b"
    r"|^(?:here|around here)\b"
)
_DEGREES: Final = frozenset({"degrees", "degree"})


def in_conditions(view: View, only: Only, heard: str) -> Only:
    """Add to what is looked at the conditions that the words name; `here` where it is known where that is."""
    month = _MONTH.search(heard)
    if month is not None:
        only = replace(only, month=month[1].capitalize())
    light = next((lights for words, lights in _LIGHT if words.search(heard)), ())
    water = _water(heard)
    cells: tuple[str, ...] = ()
    if view.here is not None and asks_here(heard):
        cells = cells_about(view.here)
    return replace(only, light=light, water=water, cells=cells)


def asks_here(heard: str) -> bool:
    """Say whether a question is about where the boat is now."""
    return _HERE.search(heard) is not None


def condition_words(only: Only) -> list[str]:
    """Say the conditions that are looked at, e.g. `October`, `dawn and low morning sun`, `24 °C`, `here`."""
    words = [only.month] if only.month else []
    words += [" and ".join(only.light)] if only.light else []
    words += [" and ".join(only.water)] if only.water else []
    return words + ([f"within {HERE_NM:g} nm of here"] if only.cells else [])


def cells_about(place: Place, within_nm: float = HERE_NM) -> tuple[str, ...]:
    """Give the cell of a place and those around it whose middles are near."""
    own = cell_of(place)
    near = (
        cell for cell in neighbours(place) if leg(place, middle_of(cell)).distance_nm <= within_nm
    )
    return tuple(dict.fromkeys((own, *near)))


def _water(heard: str) -> tuple[str, ...]:
    """Give the band of a temperature that is said with its degrees, those of °F as well."""
    line = plain(tokenise(heard, {}))
    words = [token.text for token in line.tokens]
    for start in range(line.size):
        ends = [
            f for f in numbers_at(line, start) if f.end < len(words) and words[f.end] in _DEGREES
        ]
        if ends:
            value = max(ends, key=lambda one: one.end).value
            water_c = (value - 32.0) / 1.8 if value > 45.0 else value
            return (water_key(water_c),)
    return ()
