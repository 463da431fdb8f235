"""A bite on "it": the line whose lure was changed last. Pure."""

import re
from functools import lru_cache

from bot.calls.grammar import Grammar
from bot.calls.pointed import Pointed


def bite_resolved(low: str, grammar: Grammar, place: Pointed) -> str | None:
    """Return "strike on it" with the line that was changed last; None as it was said.

    The line names no other; that is seen before.
    """
    if not place.changed or place.changed in place.on:
        return None
    on_it, it_bit = _patterns(tuple(sorted(grammar.pointing.items())))
    if found := on_it.search(low):
        return f"{low[: found.end(1)]} on the {place.changed}{low[found.end() :]}"
    if found := it_bit.search(low):
        return f"{low[: found.start()]}the {place.changed}{low[found.start(1) :]}"
    return None


@lru_cache(maxsize=4)
def _patterns(
    pointing: tuple[tuple[str, tuple[str, ...]], ...],
) -> tuple[re.Pattern[str], re.Pattern[str]]:
    words = dict(pointing)

    def any_of(name: str) -> str:
        forms = sorted(words.get(name, ("",)), key=len, reverse=True)
        return "(?:" + "|".join(re.escape(form) for form in forms) + ")"

    on_it = re.compile(rf"\b({any_of('bitten')}) on {any_of('changed')}\b")
    it_bit = re.compile(rf"\b{any_of('changed')}({any_of('got_bit')})\b")
    return on_it, it_bit
