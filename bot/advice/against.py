"""What speaks against a change, strongest first: found in the counts, whatever the model makes of them. Pure.

The model may draw few strikes to the average; the crew is told of them all the same. How much a difference of
two counts says is their deviance (McCullagh and Nelder, Generalized Linear Models, 2nd ed., section 2.3).
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

from bot.advice.choose import Choice
from bot.advice.data import Exposure, Kind
from bot.advice.follow import ALIKE_FROM, like
from bot.advice.next_change import Evaluation
from bot.advice.rates import chances
from bot.advice.reason import contrasts
from bot.advice.tally import StrikeTally, add_cells, by_position, deviance, seen_by

LEAST_H: Final = 0.5
"""Lure-hours from which a lure counts as tried."""
NOVELTY_COST: Final = 0.3
"""How much it says against a lure that nothing is known of itself; below what a strike says."""
FEW: Final = 3
"""With fewer strikes in all a judgement rests on little."""
LITTLE: Final = 0.4
"""How much it says against a judgement that it rests on so little."""
A_PLACE: Final = 2
"""Strikes on one line from which the place may be what makes them."""
A_STRIKE: Final = 1.0
"""How much each strike on the lure that comes out says for leaving it."""


@dataclass(frozen=True, slots=True)
class Fact:
    """One thing that speaks against a change."""

    words: str
    weight: float
    """How much it says, as a deviance; 1 is a hint, 4 is hardly luck."""


def against(judged: Evaluation, choice: Choice) -> tuple[Fact, ...]:
    """Return all that speaks against a change, strongest first; the last is always the chance itself."""
    found = sorted(_facts(judged, choice), key=lambda fact: -fact.weight)
    return (*found, Fact(f"{chances(1.0 - choice.chance)} that it is no better.", 0.0))


def _facts(judged: Evaluation, choice: Choice) -> Iterator[Fact]:
    there, spare = choice.there, choice.spare
    if there.strikes or there.raises:
        had = [f"{there.strikes} strike{'s' * (there.strikes != 1)}"] if there.strikes else []
        had += [f"{there.raises} raise{'s' * (there.raises != 1)}"] if there.raises else []
        weight = A_STRIKE * there.strikes + 0.5 * A_STRIKE * there.raises
        words = there.words[:1].upper() + there.words[1:]
        yield Fact(f"{words} comes out and has had {' and '.join(had)} there.", weight)
    everything = (*judged.earlier, *judged.today)
    for one in contrasts(
        judged.outlook, judged.today, judged.earlier, there.kind, spare.kind
    ):  # what the counts say, then what is believed against them
        weight = _worse(one.new_seen, one.old_seen)
        if weight > 0 or one.push < 0:
            yield Fact(one.sentence, max(weight, -one.push))
    mine, theirs = _of(everything, spare.kind), _of(everything, there.kind)
    weight = _worse(mine, theirs)
    if weight > 0:
        yield Fact(f"{spare.words}: {mine.words} so far, {there.words}: {theirs.figures}.", weight)
    yield from _place(everything, choice)
    if mine.hours < LEAST_H:
        why = "this rests on its size, colour and head"
        yield Fact(f"{spare.words} has not been tried itself: {why}.", NOVELTY_COST)
    total = add_cells(everything)
    if total.strikes < FEW:
        yield Fact(f"It all rests on {total.words}.", LITTLE)


def _place(cells: Sequence[Exposure], choice: Choice) -> Iterator[Fact]:
    """Yield that the bites came on another line, where that may be what made them and not the lure."""
    by_place = seen_by(cells, by_position)
    here = by_place.pop(choice.there.position, StrikeTally())
    other = max(by_place, key=lambda place: by_place[place].strikes, default=None)
    if other is None or by_place[other].strikes < A_PLACE:
        return
    bitten = {cell.kind for cell in cells if cell.position == other and cell.strikes}
    if not any(like(kind, choice.spare.kind) >= ALIKE_FROM for kind in bitten):
        return  # the new lure does not go out because of those bites
    weight = _worse(here, by_place[other])
    if weight > 0:
        line = choice.there.position.capitalize()
        theirs = f"{other}: {by_place[other].figures}"
        yield Fact(f"{line}: {here.words}, {theirs}; it may be the place, not the lure.", weight)


def _of(cells: Sequence[Exposure], kind: Kind) -> StrikeTally:
    return add_cells(cell for cell in cells if cell.kind == kind)


def _worse(mine: StrikeTally, theirs: StrikeTally) -> float:
    """Return the deviance by which the first has the lower rate; 0 where it has not, or was hardly tried."""
    if mine.hours < LEAST_H or theirs.hours <= 0:
        return 0.0
    return max(0.0, -deviance(replace(mine, raises=0), replace(theirs, raises=0)))
