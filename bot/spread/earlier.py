"""Another plan: how far it is to stand apart from the plans that were proposed before.

Wanted are three lures at least that no earlier plan had. Where so many are not left: three others than each
earlier plan, else two, else one, for an order of the same lures is no other plan. Knows plain numbers only.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from bot.spread.choice import Ints
from bot.spread.rods import NEW_LURES, fillable

MOST_PLANS: Final = 12
"""Earlier plans that are looked at, the latest of them."""


@dataclass(frozen=True, slots=True)
class Terms:
    """What a choice is to keep to: slots to fill, and how much of earlier plans it may take."""

    slots: tuple[int, ...]
    old: tuple[bool, ...] = ()
    most_old: int = 0
    before: tuple[tuple[bool, ...], ...] = ()
    most_shared: int = 0


def terms(cost: Ints, names: Sequence[str], earlier: Sequence[frozenset[str]]) -> Iterator[Terms]:
    """Yield the terms to be tried one after the other, the strictest first; the last can be met.

    `names` are those of the lures, the rows of `cost`; `earlier` holds the lures of each plan, latest last.
    """
    free, _ = fillable(cost)
    if not free:
        return
    plans = list(dict.fromkeys(plan & frozenset(names) for plan in earlier))[-MOST_PLANS:]
    if plans:
        seen = frozenset[str]().union(*plans)
        old = tuple(name in seen for name in names)
        slots, most_old = fillable(cost, old)
        new = len(slots) - most_old
        if len(plans) == 1 or new >= min(NEW_LURES, len(slots)):
            yield Terms(slots, old, most_old)
            return
        yield from _apart(cost, names, plans)
    yield Terms(free)


def _apart(cost: Ints, names: Sequence[str], plans: Sequence[frozenset[str]]) -> Iterator[Terms]:
    masks = tuple(tuple(name in plan for name in names) for plan in plans)
    for new in range(NEW_LURES, 0, -1):
        slots, most_old = fillable(cost, masks[-1])
        shared = len(slots) - new
        if shared >= most_old:
            yield Terms(slots, masks[-1], shared, masks[:-1], shared)
