"""The forms of words.toml with those of a boat, whose own words take theirs from the usual meanings. Pure."""

from collections.abc import Iterable, Mapping
from typing import Any

from bot.calls.grammar_text import as_words, spelt_form
from bot.calls.short_names import is_name, join_short_names
from bot.calls.template import Node
from bot.errors import GrammarError

Spelling = Mapping[str, tuple[str, ...]]
Forms = Mapping[str, Mapping[str, Iterable[str]]]
"""Table -> meaning -> forms."""


def words_of_boat(
    tables: Mapping[str, Any], kinds: Iterable[str], extra: Forms, spelling: Spelling
) -> dict[str, dict[str, tuple[str, ...]]]:
    """Return the tables of words.toml with the boat's own words; raises GrammarError for one missing."""
    found: dict[str, dict[str, tuple[str, ...]]] = {}
    for kind in kinds:
        table = tables.get(kind)
        if not isinstance(table, dict) or not table:
            raise GrammarError(f"grammar/words.toml has no [{kind}]: add the table")
        found[kind] = {m: tuple(forms) for m, forms in table.items()}
    for kind, table in extra.items():
        mine = found.setdefault(kind, {})
        own = {meaning: tuple(forms) for meaning, forms in table.items()}
        for meaning, forms in own.items():
            mine[meaning] = tuple(dict.fromkeys((*mine.get(meaning, ()), *forms)))
        if own:
            _give_way(mine, own, spelling)
    fish = found["species"]
    names = join_short_names(found.get("name", {}), fish, lambda f: spelt_form(f, spelling))
    found |= {"name": names} if names else {}
    lures = _lures(names, spelling)
    found["species"] = {
        k: tuple(f for f in fs if not is_name(spelt_form(f, spelling), lures))
        for k, fs in fish.items()
    }
    return found


def in_role(
    tables: Mapping[str, Any], words: Forms, spelling: Spelling
) -> Iterable[tuple[Node, tuple[str, str]]]:
    """Yield the forms that have a meaning in one role only, each with that; a lure's name is no fish."""
    lures = _lures(words.get("name", {}), spelling)
    for role, table in tables.get("in_role", {}).items():
        for meaning, forms in table.items():
            for form in forms:
                if role != "species" or not is_name(spelt_form(form, spelling), lures):
                    yield as_words(form, spelling), (role, meaning)


def _lures(names: Mapping[str, Iterable[str]], spelling: Spelling) -> set[str]:
    """Return how the boat's lures are said, as it is spelt."""
    return {spelt_form(f, spelling) for forms in names.values() for f in forms}


def _give_way(
    table: dict[str, tuple[str, ...]], own: Mapping[str, tuple[str, ...]], spelling: Spelling
) -> None:
    """Remove a form from its usual meanings where the boat gives it a meaning of its own."""
    spelt = {form: spelt_form(form, spelling) for forms in table.values() for form in forms}
    mine = {spelt[form]: meaning for meaning, forms in own.items() for form in forms}
    for meaning, forms in table.items():
        said = {spelt[form] for form in own.get(meaning, ())}
        table[meaning] = tuple(
            f for f in forms if spelt[f] in said or mine.get(spelt[f], meaning) == meaning
        )
