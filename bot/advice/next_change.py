"""The next change worth making, or why to hold. Pure: time and the record come in as arguments.

Of all lures that are ready, allowed on a position and not there yet, the change with the highest
chance of a better strike rate; never the lure that is working, never what was changed a moment ago.
"""

import math
from collections.abc import Callable, Sequence
from datetime import datetime, timedelta
from typing import Final

from bot.advice.compare import chance_better
from bot.advice.data import Change, Exposure, Hold, InWater, Kind, Spare, Verdict
from bot.advice.rates import Belief
from bot.advice.tally import Seen, by_colour, by_size, seen, seen_by
from bot.messages import Advice

PRIOR_STRIKES: Final = 1.0
"""How many strikes the belief of a size or colour starts with; more makes the advice slower."""
USUAL_RATE: Final = 0.15
"""Strikes per lure-hour before any record: a strike in six or seven lure-hours (our estimate)."""
CHANCE_WANTED: Final = 0.70
"""Below this chance of being better no change is proposed."""
GIVE_IT: Final = timedelta(minutes=30)
"""A lure that has just gone out is given so long before it is judged (common practice, no source)."""
LOOK_AGAIN: Final = (10.0, 60.0)
"""Shortest and longest wait, in minutes, that a hold asks for."""

Allowed = Callable[[str, Spare], bool]


def anything_goes(position: str, spare: Spare) -> bool:
    """Allow every lure everywhere; the stand-in where no tackle rules are known."""
    return bool(position) and bool(spare.label)


def next_change(
    cells: Sequence[Exposure],
    spread: Sequence[InWater],
    ready: Sequence[Spare],
    *,
    now: datetime,
    previous: Sequence[Change] = (),
    allowed: Allowed = anything_goes,
) -> Verdict:
    """Give the change with the highest chance of being better, or why to hold and how long."""
    total = seen(cells)
    if not spread:
        return Hold("Nothing is in the water.", LOOK_AGAIN[0])
    if total.strikes == 0:
        wait = _minutes_to_next(total, len(spread))
        return Hold(f"No strikes in {total.hours:.1f} lure-hours: keep the variety out.", wait)
    best: Advice | None = None
    for there in _open_to_change(spread, now, previous):
        for spare in ready:
            if spare.label == there.label or not allowed(there.position, spare):
                continue
            found = _weigh(cells, there, spare)
            if best is None or found.chance > best.chance:
                best = found
    if best is None or best.chance < CHANCE_WANTED:
        wait = _minutes_to_next(total, len(spread))
        said = (
            "no ready lure looks better"
            if best is None
            else f"{best.lure} {best.chance:.0%} at best"
        )
        return Hold(f"{total.words.capitalize()} tell too little ({said}).", wait)
    return best


def _open_to_change(
    spread: Sequence[InWater], now: datetime, previous: Sequence[Change]
) -> list[InWater]:
    fresh = {change.position for change in previous if change.made and now - change.at < GIVE_IT}
    working = max((there.strikes for there in spread), default=0)
    return [
        there
        for there in spread
        if not there.busy
        and there.position not in fresh
        and (working == 0 or there.strikes < working)
    ]


def _weigh(cells: Sequence[Exposure], there: InWater, spare: Spare) -> Advice:
    total = seen(cells)
    prior = Belief(
        PRIOR_STRIKES, PRIOR_STRIKES / Belief(1.0, 1.0 / USUAL_RATE).after(*_pair(total)).mean
    )
    new, old, what = _contrast(cells, there.kind, spare.kind)
    one, other = new.update(prior), old.update(prior)
    return Advice(
        position=there.position,
        lure=spare.label,
        reason=f"{what[0].capitalize()}: {new.words}, {what[1]}: {old.strikes} in {old.hours:.1f}.",
        chance=chance_better(one, other),
        gain_per_h=one.mean - other.mean,
    )


def _contrast(
    cells: Sequence[Exposure], old: Kind, new: Kind
) -> tuple[Seen, Seen, tuple[str, str]]:
    """Give what was seen of the new and the old in that in which they differ: size, else colour."""
    sizes, colours = seen_by(cells, by_size), seen_by(cells, by_colour)
    found: list[tuple[Seen, Seen, tuple[str, str]]] = []
    if new.size_in is not None and old.size_in is not None and new.size_in != old.size_in:
        words = (f"{new.size_in:g} in", f"{old.size_in:g} in")
        found.append((sizes.get(new.size_in, Seen()), sizes.get(old.size_in, Seen()), words))
    if new.colours and old.colours and new.colours != old.colours:
        mine, theirs = new.colours[0], old.colours[0]
        found.append((colours.get(mine, Seen()), colours.get(theirs, Seen()), (mine, theirs)))
    if not found:
        return Seen(), Seen(), (new.label, old.label)
    return min(found, key=lambda pair: _rate(pair[0]) - _rate(pair[1]))


def _rate(what: Seen) -> float:
    return (what.strikes + PRIOR_STRIKES) / (what.hours + PRIOR_STRIKES / USUAL_RATE)


def _pair(what: Seen) -> tuple[int, float]:
    return what.strikes, what.hours


def _minutes_to_next(total: Seen, lures: int) -> float:
    """Give the time in which one more strike is to be expected, rounded to five minutes."""
    rate = _rate(total) * max(lures, 1)
    return min(max(5.0 * math.ceil(12.0 / rate), LOOK_AGAIN[0]), LOOK_AGAIN[1])
