"""Recognise a "right" that is no side: "right, shotgun's away", "right behind the long rigger". Pure."""

from collections.abc import Mapping

from bot.calls.lattice import Lattice


def is_no_side(lattice: Lattice, end: int, lists: Mapping[str, frozenset[str]]) -> bool:
    """Return whether a word that could be a side is none.

    "Right" as the first word or between words like "okay" only opens a line; before "behind" or "there" it
    means just so; and "left" after "we" is a verb.
    """
    texts = [t.text for t in lattice.tokens[: end + 1]]
    if end > lattice.size or not texts:
        return False
    word, before = texts[end - 1], texts[end - 2] if end > 1 else ""
    if word in lists["left"] and before in lists["who_left"]:
        return True
    if end < lattice.size and word in lists["right"] and texts[end] in lists["right_so"]:
        return before not in lists["sided"] and not lattice.tokens[end].stop
    if word not in lists["right"] or not lists["openers"].issuperset(texts[: end - 1]):
        return False
    return (
        end == 1 or texts[end:] == [] or texts[end] in lists["openers"] or lattice.tokens[end].stop
    )
