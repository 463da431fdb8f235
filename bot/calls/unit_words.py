"""Words of units, from the grammar, and what one of each is in the unit that the log has. Pure."""

from collections.abc import Iterable, Mapping
from typing import Any, Final

from bot.errors import GrammarError
from bot.units import PER

Units = Mapping[str, Mapping[str, str]]
"""Kind of measure -> word -> unit, a name of `bot.units.PER`."""
RANGED: Final = ("sea_m", "speed_kn", "gear")
"""Kinds of which a range is said: "four to six feet" is no time of day."""


def read_units(tables: Mapping[str, Any]) -> dict[str, dict[str, str]]:
    """Read the tables `unit` of words.toml; raises GrammarError for a kind or unit without a factor."""
    if missing := sorted(PER.keys() - tables.keys()):
        raise GrammarError(f"grammar/words.toml has no [unit.{missing[0]}]: add the table")
    for kind, table in tables.items():
        known = PER.get(kind, {})
        for unit in table:
            if unit not in known:
                names = ", ".join(known) or "another table"
                raise GrammarError(
                    f"grammar/words.toml: [unit.{kind}] has {unit!r}, for which there is no factor;"
                    f" use {names}"
                )
    return {
        kind: {word: unit for unit, words in table.items() for word in words}
        for kind, table in tables.items()
    }


def factor(units: Units, word: str, kinds: Iterable[str]) -> float | None:
    """Return what one of a unit is, by its word, from the first kind that has it; None where none has."""
    for kind in kinds:
        unit = units[kind].get(word)
        if unit is not None:
            return PER[kind][unit]
    return None


def words_of(units: Units, kinds: Iterable[str]) -> frozenset[str]:
    """Return the words of all units of some kinds."""
    return frozenset(word for kind in kinds for word in units[kind])
