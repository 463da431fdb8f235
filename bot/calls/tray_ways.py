"""Readings of a line that names a tray: the word means nothing else aboard. Pure."""

from dataclasses import replace
from typing import Final

from bot.calls.reader.labels import URGENT
from bot.calls.weighed import Weighed
from bot.trip.acts import PLAN, SET, TABLE, TRAY
from bot.trip.call import Call

SURE_OF_TRAYS: Final = 0.93
"""Probability given to the reading of a line that names a tray."""
MOST_BESIDE_TRAYS: Final = 2
"""Most calls of the other readers at which a line may be about one tray."""


def with_trays(
    ways: tuple[Weighed, ...], said: tuple[Call, ...], is_listed: bool = False
) -> tuple[Weighed, ...]:
    """Return the readings with what a line says of trays before them: the word means nothing else aboard.

    `is_listed` is for a line that is a tray and then its lures, which are then no calls of their own.
    Where somebody is in trouble, and where several things are called in a breath, they stay as they are.
    """
    best = ways[0].calls if ways else ()
    kind = TRAY if is_listed else PLAN
    planned = {c.act for c in said} <= {kind, SET} and all(c.act in (kind, SET) for c in best)
    many = (
        len(best) > MOST_BESIDE_TRAYS and not planned
    )  # lures of a plan are no calls of their own
    if not said and best and all(c.act == TRAY for c in best):
        return _of_a_tray(ways)
    if not said or any(c.act in URGENT for c in best) or many:
        return ways
    rest = (
        replace(w, probability=min(w.probability, 1.0 - SURE_OF_TRAYS))
        for w in ways
        if w.calls != said
    )
    return (Weighed(said, SURE_OF_TRAYS, "grammar"), *rest)


def _of_a_tray(ways: tuple[Weighed, ...]) -> tuple[Weighed, ...]:
    """Return the readings of a line that fills a tray without what may be seen: "church organ in tray two".

    Where no lure is told nothing goes in, so that it is answered and not asked about.
    """
    best, *others = ways
    if not any(call.names_lure for call in best.calls):
        best = replace(best, probability=max(best.probability, SURE_OF_TRAYS))
    rest = (w for w in others if all(TABLE[c.act].form != "seen" for c in w.calls))
    return (
        best,
        *(replace(w, probability=min(w.probability, 1.0 - best.probability)) for w in rest),
    )
