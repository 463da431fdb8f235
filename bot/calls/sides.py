"""Where "right" is no side: "right, shotgun's away", "he's right behind the long rigger". Pure."""

from typing import Final

from bot.calls.lattice import Lattice

_OPENERS: Final = frozenset("okay yeah yes so well oh captain skipper now boys guys mate".split())


_RIGHT_SO: Final = frozenset("behind up there here now next beside under away in".split())
_WHO_LEFT: Final = frozenset("we i he she they have has".split())
"""Words before "left" that make it a verb: "we left at six", "how much light have we left"."""
_SIDED: Final = (["the"], ["our"], ["my"], ["to"], ["on"], ["off"])
"""Words after which "right" is a side, whatever follows it."""


def opening_right(lattice: Lattice, end: int) -> bool:
    """Say whether a word is no side though it could be one.

    "Right" as the first word or between words like "okay" only opens a line; before "behind" or "there" it
    means just so; and "left" after "we" is a verb.
    """
    texts = [t.text for t in lattice.tokens[: end + 1]]
    if end > lattice.size or not texts:
        return False
    if texts[end - 1] == "left" and end > 1 and texts[end - 2] in _WHO_LEFT:
        return True
    if (
        end < lattice.size
        and texts[-2:-1] == ["right"]
        and texts[-1] in _RIGHT_SO
        and texts[-3:-2] not in _SIDED
    ):
        return not lattice.tokens[end].stop
    if texts[end - 1] != "right" or not _OPENERS.issuperset(texts[: end - 1]):
        return False
    return end == 1 or texts[end:] == [] or texts[end] in _OPENERS or lattice.tokens[end].stop
