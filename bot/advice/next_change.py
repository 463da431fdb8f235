"""The next change worth making, or why to hold. Pure: time and the record come in as arguments.

Puts the parts together: the outlook that the record gives (`season`), the change with the best value
(`choose`), its reason in one sentence (`reason`). The crew decides; this only says what the log knows.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from bot.advice.choose import AT_ONCE, WISHES, Choice, MayTow, Moment, is_pausing, recent_changes
from bot.advice.data import Exposure, Hold, InWater, LureChange, Spare, Verdict, Wishes
from bot.advice.follow import leader, like
from bot.advice.layout import Levels, layout_of
from bot.advice.morning import choose_first
from bot.advice.rates import PER_HOURS, Belief, chances
from bot.advice.reason import grounds
from bot.advice.season import NOTHING, Earlier, Outlook, Prey, believe
from bot.advice.tally import StrikeTally, add_cells, seen_by
from bot.messages import Advice

FIRST_LOOK_H: Final = 1.0
"""Lure-hours on a boat without a record before anything is proposed: the spread has to settle."""
HARDLY_H: Final = 0.05
"""With fewer lure-hours the day is spoken of as not begun."""
LEAST_LEFT_H: Final = 1.0
"""Time taken to be left however late it is."""
LOOK_AGAIN: Final = (10.0, 60.0)
"""Shortest and longest wait, in minutes, that a hold asks for."""

ENOUGH_STRIKES: Final = 3
"""With fewer strikes nothing is said about whether lures differ."""


@dataclass(frozen=True, slots=True)
class Evaluation:
    """What was weighed for the next change, for the answer and for the answer to "why"."""

    outlook: Outlook
    moment: Moment
    choice: Choice | None
    today: tuple[Exposure, ...]
    earlier: tuple[Exposure, ...]


def anything_goes(position: str, spare: Spare) -> bool:
    """Allow every lure everywhere; the stand-in where no tackle rules are known."""
    return bool(position) and bool(spare.label)


def next_change(
    cells: Sequence[Exposure],
    spread: Sequence[InWater],
    ready: Sequence[Spare],
    *,
    now: datetime,
    previous: Sequence[LureChange] = (),
    allowed: MayTow = anything_goes,
    earlier: Earlier = NOTHING,
    wishes: Wishes = WISHES,
    prey: Sequence[Prey] = (),
) -> Verdict:
    """Return the change with the best value for the rest of the day, or why to hold and how long.

    `cells` are today's, `earlier` those of earlier trips (the same object all day, so that what they
    say is worked out once).
    """
    if not spread:
        return Hold("Nothing is in the water.", LOOK_AGAIN[0])
    moment = moment_of(
        cells, spread, ready, now=now, previous=previous, earlier=earlier, wishes=wishes
    )
    total = add_cells(cells)
    if total.hours < FIRST_LOOK_H and not earlier.cells:
        return Hold(f"Only {total.hours:.1f} lure-hours yet: keep the variety out.", LOOK_AGAIN[0])
    if is_pausing(moment):
        many = len(recent_changes(moment))
        what = "Two changes" if many == AT_ONCE else f"{many} changes"
        return Hold(f"{what} were made just now: let them fish first.", LOOK_AGAIN[0])
    judged = judge(cells, moment, allowed, earlier, prey)
    return verdict_of(judged)


def moment_of(
    cells: Sequence[Exposure],
    spread: Sequence[InWater],
    ready: Sequence[Spare],
    *,
    now: datetime,
    previous: Sequence[LureChange] = (),
    earlier: Earlier = NOTHING,
    wishes: Wishes = WISHES,
) -> Moment:
    """Return what is so now, with how long the boat has fished and will fish; `spread` is not empty."""
    fished_h = _fished(cells)
    return Moment(
        tuple(spread),
        tuple(ready),
        now,
        max(wishes.day_h - fished_h, LEAST_LEFT_H),
        tuple(previous),
        earlier.lure_hours / len(spread),
        wishes,
        fished_h,
    )


def judge(
    cells: Sequence[Exposure],
    moment: Moment,
    allowed: MayTow,
    earlier: Earlier = NOTHING,
    prey: Sequence[Prey] = (),
) -> Evaluation:
    """Weigh every change that may be made at this moment."""
    kinds = [there.kind for there in moment.spread] + [spare.kind for spare in moment.ready]
    shown = Levels(frozenset(there.position for there in moment.spread), frozenset(kinds))
    layout = layout_of(earlier.levels | Levels.of(cells) | shown)
    usual_per_h = moment.wishes.usual_per_10h / PER_HOURS
    outlook = believe(cells, earlier, layout, usual_per_h, prey)
    choice = choose_first(outlook, moment, allowed)
    return Evaluation(outlook, moment, choice, tuple(cells), earlier.cells)


def verdict_of(judged: Evaluation) -> Verdict:
    """Return what was judged as advice, or as the reason to hold."""
    choice, total = judged.choice, add_cells(judged.today)
    wait = minutes_to_next(total, len(judged.moment.spread), judged.moment.wishes)
    if choice is None:
        return Hold("Nothing that is ready may go where a change would help.", wait)
    if choice.value <= 0:
        alike = "no lure stands out, " if _alike(judged, total) else ""
        so_far = (
            f"{_capital(total.words)} today"
            if total.hours >= HARDLY_H
            else "Nothing has fished yet"
        )
        return Hold(f"{so_far}: {alike}{_not_worth(choice)}.", wait)
    return Advice(
        position=choice.there.position,
        lure=choice.spare.label,
        reason=reason_of(judged, choice),
        chance=choice.chance,
        gain_per_h=choice.gain_per_h,
    )


def reason_of(judged: Evaluation, choice: Choice) -> str:
    """Return the one sentence that speaks most for a change, with its numbers.

    While a proposal stands its ground stays the same.
    """
    there, spare = choice.there, choice.spare
    found = grounds(judged.outlook, judged.today, judged.earlier, there.kind, spare.kind)
    said = next((one.reason for one in judged.moment.previous if stands(one, choice)), "")
    kept = next((one for one in found if one.is_said_by(said)), None) or next(iter(found), None)
    if kept is not None:
        return kept.sentence
    first = leader(judged.moment.spread)
    if first is not None and like(spare.kind, first.kind) > like(there.kind, first.kind):
        bites = "strike" if first.strikes == 1 else "strikes"
        return f"It is like {first.words}, which has {first.strikes} {bites}."
    return "No one thing speaks for it by itself; its size, colour and head together do."


def stands(change: LureChange, choice: Choice) -> bool:
    """Return whether a choice is the proposal that stands since nothing happened."""
    same = (change.position, change.put_in) == (choice.there.position, choice.spare.label)
    return same and change.stands and not change.made


def minutes_to_next(total: StrikeTally, lures: int, wishes: Wishes = WISHES) -> float:
    """Return the time in which one more strike is to be expected, in steps of five minutes."""
    prior = Belief(1.0, PER_HOURS / wishes.usual_per_10h)
    rate = prior.after(total.strikes, total.hours).mean * max(lures, 1)
    return min(max(5.0 * math.ceil(12.0 / rate), LOOK_AGAIN[0]), LOOK_AGAIN[1])


def _alike(judged: Evaluation, total: StrikeTally) -> bool:
    """Return whether there were strikes, and they speak for lures that hardly differ."""
    return total.strikes >= ENOUGH_STRIKES and judged.outlook.evidence < 0


def _not_worth(choice: Choice) -> str:
    where = f"{choice.spare.words} on the {choice.there.position}"
    return (
        f"no change is worth its cost, the best being {where}, better with {chances(choice.chance)}"
    )


def _fished(cells: Sequence[Exposure]) -> float:
    """Return the hours of the line that has fished longest."""
    fished = seen_by(cells, lambda cell: (cell.position,))
    return max((one.hours for one in fished.values()), default=0.0)


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
