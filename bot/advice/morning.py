"""What to put out first on a boat with a record: all that is worth changing, each lure on its best line.

One change after the other is thought through before the first is proposed; then the lures that come in are
placed on the lines that change so that the best of them is where most bites. Values only.
"""

from collections.abc import Sequence
from dataclasses import replace
from itertools import islice, permutations
from typing import Final

from bot.advice.choose import (
    Choice,
    MayTow,
    Moment,
    choice_of,
    choose,
    is_morning,
    least_chance,
)
from bot.advice.data import InWater, LureChange
from bot.advice.season import Outlook

MOST_ORDERS: Final = 720
"""Orders of the lures that come in which are tried: all of those for six lines."""


def choose_first(outlook: Outlook, moment: Moment, allowed: MayTow) -> Choice | None:
    """Return the first change of a morning; later in the day, or without a record, the best change."""
    first = choose(outlook, moment, allowed)
    if first is None or first.value <= 0 or not is_morning(moment) or not moment.hours_before:
        return first
    if any(change.stands for change in moment.previous):
        return first
    planned = [first]
    while len(planned) < len(moment.spread):
        moment = after(moment, planned[-1])
        found = choose(outlook, moment, allowed)
        if found is None or found.value <= 0:
            break
        planned.append(found)
    best = max(
        place_best(outlook, planned, allowed, moment.now.hour), key=lambda one: one.gain_per_h
    )
    return best if best.chance >= least_chance(moment.wishes) else first


def after(moment: Moment, choice: Choice) -> Moment:
    """Return the moment in which a change has been made."""
    came, there = choice.spare, choice.there
    spread = tuple(
        InWater(one.position, came.kind, came.name) if one is there else one
        for one in moment.spread
    )
    ready = list(moment.ready)
    ready.remove(came)
    made = LureChange(there.position, came.label, there.label, moment.now)
    return replace(moment, spread=spread, ready=tuple(ready), previous=(*moment.previous, made))


def place_best(
    outlook: Outlook, planned: Sequence[Choice], allowed: MayTow, hour: int = 12
) -> list[Choice]:
    """Return the same lures on the same lines in the order that catches most."""
    lines = [one.there for one in planned]
    spares = [one.spare for one in planned]
    gains = [
        [replace(choice_of(outlook, one.there, spare, hour), value=one.value) for spare in spares]
        for one in planned
    ]
    orders = (
        order
        for order in islice(permutations(range(len(lines))), MOST_ORDERS)
        if all(allowed(lines[at].position, spares[one]) for at, one in enumerate(order))
    )
    best = max(
        orders, key=lambda order: sum(gains[at][one].gain_per_h for at, one in enumerate(order))
    )
    return [gains[at][one] for at, one in enumerate(best)]
