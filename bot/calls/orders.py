"""Two orders in one breath that look like one: a line comes in, a lure goes out on another. Pure."""

from typing import Final

from bot.calls.lattice import Lattice
from bot.calls.walking import Captured

_OUT: Final = frozenset(
    "put putting run running send sending set setting stick drop use try going goes get".split()
)


def two_orders(lattice: Lattice, start: int, end: int) -> bool:
    """Say whether a change of lures that is followed by a position is none.

    "clear the long corner and put the purple eight on | the shotgun": what goes out goes out there.
    """
    words = [token.text for token in lattice.tokens[start:end]]
    after = lattice.tokens[end].text if end < lattice.size else ""
    return "on" in (words[-1], after) and "and" in words and not _OUT.isdisjoint(words)


def two_places(captured: Captured) -> bool:
    """Say whether a position shouted twice is not the same one."""
    if len(captured) != 2 or any(label != "{where}" for label, _ in captured):
        return False
    one, two = (dict(term.slots) for _, term in captured)
    return one.get("position") != two.get("position") or "position" not in one
