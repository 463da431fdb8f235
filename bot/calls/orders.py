"""Two orders in one breath that look like one: a line comes in, a lure goes out on another. Pure."""

from collections.abc import Mapping

from bot.calls.lattice import Lattice
from bot.calls.walking import Captured


def two_orders(lattice: Lattice, start: int, end: int, lists: Mapping[str, frozenset[str]]) -> bool:
    """Return whether a change of lures that is followed by a position is none.

    "clear the long corner and put the purple eight on | the shotgun": what goes out goes out there.
    """
    words = [token.text for token in lattice.tokens[start:end]]
    after = lattice.tokens[end].text if end < lattice.size else ""
    put_on = not lists["on"].isdisjoint((words[-1], after))
    return put_on and all(not lists[name].isdisjoint(words) for name in ("and", "going_out"))


def two_places(captured: Captured) -> bool:
    """Return whether a position shouted twice is not the same one."""
    if len(captured) != 2 or any(label != "{where}" for label, _ in captured):
        return False
    one, two = (dict(term.slots) for _, term in captured)
    return one.get("position") != two.get("position") or "position" not in one
