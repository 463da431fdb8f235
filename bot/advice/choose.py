"""The change with the best value for the rest of the day, over all that one change can do.

Values only: what is in the water, what is ready, what may go where, what was changed when. Wording is
in `next_change`. A lure that is working, that has a fish on or that has just gone out is left alone,
and nothing is put back where it was taken out within the hour.
"""

import math
from collections import Counter
from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Final

import numpy as np

from bot.advice.data import InWater, Kind, LureChange, Spare, Wishes
from bot.advice.follow import ALIKE_FROM, Reason, leader, like, reason_to_stay
from bot.advice.layout import Array
from bot.advice.season import Outlook
from bot.advice.value import HOLD_H, Stock, worth

GIVE_IT: Final = timedelta(minutes=20)
"""A lure that has gone out is given so long before its place is thought over."""
TAKE_BACK: Final = timedelta(minutes=60)
"""What was taken out is not put back there for so long."""
AT_ONCE: Final = 2
"""Changes in a row; then the spread is let fish for `PAUSE`."""
PAUSE: Final = timedelta(minutes=10)
MORNING_H: Final = 0.1
"""Hours of fishing up to which the spread counts as just put out."""
HOLD_PER_HOUR: Final = 0.125
"""A change is held to stay so much longer for every hour that the boat has fished before today: what is known
already will not look different in an hour."""
HELD_MOST_H: Final = 4.0
"""But no longer than this."""
REGRET: Final = 2.0
"""How much of its bother a change costs for each probability that it is for the worse: one that is sure to be
better would be made sooner or later, so its bother is no reason to wait."""
LOST_H: Final = 0.05
"""Hours that a change takes from its line: three minutes."""
BOTHER: Final = 0.06
"""Strikes that a change must win besides, for the attention it costs; more means fewer changes."""
STEEP: Final = 4.0
"""How fast the bother grows once the changes that a crew wants in a day are made."""
SURE: Final = 0.5
"""Changes less likely than this to be better are not made only to learn."""
FOLLOW: Final = 0.5
"""Strikes that count for a change to what is like the lure that has the strikes; more follows bites more."""
ALIKE: Final = 0.6
"""Log Bayes factor against a difference between lures at which few changes are wanted."""
QUIET: Final = 3.0
"""How much the bother grows with the log Bayes factor against a difference that earlier trips bear out; more
leaves a flat sea alone. On a first day it would cost more than it saves."""
FEW: Final = 0.15
"""Share of the changes of a day that are wanted then."""
STAY: Final = 0.05
"""Strikes by which another change must be better than the one that was proposed last."""
STAYS_FOR: Final = timedelta(minutes=30)
"""A proposal wins over one that is hardly better for so long."""
STANDS_FOR: Final = timedelta(hours=1)
"""A proposal stays as it is for so long where nothing happened."""
LATER_H: Final = 2.0
"""Hours of later trips for which what is learnt today counts; more means more trying."""
AS_MUCH: Final = 1.0
"""A boat is taken to fish on for this share of the time that it has logged before today."""
MOST_LATER_H: Final = 160.0
"""But not for longer: by then the sea has changed."""
FULL_EVALUATIONS: Final = 16
"""Changes that are weighed in full: those that would win most if the new lure were as good as hoped."""

TINY: Final = 1e-9

WISHES: Final = Wishes()

MayTow = Callable[[str, Spare], bool]


@dataclass(frozen=True, slots=True)
class Moment:
    """What is so now."""

    spread: tuple[InWater, ...]
    ready: tuple[Spare, ...]
    now: datetime
    """In the boat's own time: its hour is that of the record."""
    hours_left: float
    previous: tuple[LureChange, ...] = ()
    hours_before: float = 0.0
    """Fishing time of earlier trips, old ones counting less."""
    wishes: Wishes = WISHES
    fished_h: float = 24.0
    """Time that the line which has fished longest has fished today."""


@dataclass(frozen=True, slots=True)
class Choice:
    """One change with what it is believed to do."""

    there: InWater
    spare: Spare
    value: float
    """Strikes to be won by it, learning counted and costs taken off."""
    chance: float
    """Probability that the lure that comes in has the higher rate."""
    gain_per_h: float
    loss_per_h: float = 0.0
    """Strikes that the lure which goes out would get in an hour."""


def choose(outlook: Outlook, moment: Moment, allowed: MayTow) -> Choice | None:
    """Return the best change, also where it is not worth its cost; None where nothing can be changed."""
    choices = weigh(outlook, moment, allowed)
    likely = [one for one in choices if one.chance >= least_chance(moment.wishes)]
    if not likely:
        best = max(choices, key=lambda one: one.chance, default=None)
        return None if best is None else replace(best, value=min(best.value, 0.0))
    return _pick(likely, moment)


def weigh(outlook: Outlook, moment: Moment, allowed: MayTow) -> Sequence[Choice]:
    """Return the most hopeful changes that may be made, each with what it is worth."""
    kinds = _kinds(moment)
    rows = outlook.layout.kind_rows(kinds)
    mean, cov = rows @ outlook.gauss.mean, rows @ outlook.gauss.cov @ rows.T
    places = [there.position for there in moment.spread]
    factors = np.array([_factor(outlook, place) for place in places])
    stock = Stock(mean, cov, _copies(moment, kinds))
    number = {kind: place for place, kind in enumerate(kinds)}
    held = [number[there.kind] for there in moment.spread]
    now, hopes = _laid(outlook, moment, kinds, factors)
    options = _options(moment, allowed, number, (now, hopes), set(left_alone(moment, outlook)))
    if not options:
        return ()
    spreads = np.array([held, *(_with(held, line, number[s.kind]) for line, s in options)])
    values = worth(
        spreads, stock, factors, max(moment.hours_left, 0.05), _later(moment), _held(moment), now
    )
    bother = bother_of(moment, outlook.evidence)
    choices = []
    for (line, spare), value in zip(options, values[1:], strict=True):
        one = choice_of(outlook, moment.spread[line], spare, moment.now.hour)
        cost = bother * regret(one.chance) + LOST_H * one.loss_per_h
        choices.append(replace(one, value=float(value - values[0]) - cost))
    return choices


def least_chance(wishes: Wishes) -> float:
    """Return the probability of being better from which a change is made at all."""
    return max(wishes.min_chance, SURE)


def choice_of(outlook: Outlook, there: InWater, spare: Spare, hour: int = 12) -> Choice:
    """Return a change with what is believed of it at an hour of the boat's day, its value left open."""
    rows = outlook.layout.laid_rows([there.kind, spare.kind], there.position, hour)
    (old, new), cov = rows @ outlook.gauss.mean, rows @ outlook.gauss.cov @ rows.T
    factor = _factor(outlook, there.position)
    old_rate, new_rate = math.exp(old + 0.5 * cov[0, 0]), math.exp(new + 0.5 * cov[1, 1])
    return Choice(
        there=there,
        spare=spare,
        value=0.0,
        chance=outlook.better(rows[1] - rows[0]),
        gain_per_h=(new_rate - old_rate) * factor,
        loss_per_h=old_rate * factor,
    )


def _pick(choices: Sequence[Choice], moment: Moment) -> Choice:
    """Return the choice of the highest value, among what repeats the lure that has the strikes if any does.

    What was proposed last stays while nothing happened, and wins for a while where it is close, unless
    something has bitten since. None is picked for what it will show over one that is better by both figures
    that the crew is told.
    """
    standing = _proposed(choices, moment, STANDS_FOR, stands=True)
    if standing:
        return replace(standing[0], value=max(standing[0].value, TINY))
    choices = _following(choices, moment)
    best = max(choices, key=lambda one: one.value)
    if best.value <= 0:
        return best
    best = by_figures(choices, best)
    kept = _proposed(choices, moment, STAYS_FOR, stands=False)
    last = max(kept, key=lambda one: one.value, default=best)
    return last if last.value > 0 and best.value - last.value < STAY else best


def by_figures(choices: Sequence[Choice], best: Choice) -> Choice:
    """Return the choice worth making that none is better than by chance and gain, from the best on."""
    better = [one for one in choices if one.value > 0 and is_better(one, best)]
    return by_figures(choices, max(better, key=lambda one: one.value)) if better else best


def is_better(one: Choice, other: Choice) -> bool:
    """Return whether a choice is better by both figures that the crew is told, as they are told."""
    return (
        round(one.chance * 10) >= round(other.chance * 10)
        and one.chance > other.chance
        and round(one.gain_per_h, 2) > round(other.gain_per_h, 2)
    )


def _proposed(
    choices: Sequence[Choice], moment: Moment, span: timedelta, *, stands: bool
) -> list[Choice]:
    """Return the choices that were proposed within a span; only proposals that stand where that is asked."""
    proposed = {
        (change.position, change.put_in)
        for change in moment.previous
        if not (change.made or change.anew)
        and moment.now - change.at < span
        and (change.stands or not stands)
    }
    return [one for one in choices if (one.there.position, one.spare.label) in proposed]


def _following(choices: Sequence[Choice], moment: Moment) -> Sequence[Choice]:
    """Return what repeats the lure that has the strikes, worth more for it; all where nothing does."""
    first = leader(moment.spread)
    if first is None:
        return choices
    alike = [(one, like(one.spare.kind, first.kind)) for one in choices]
    repeats = [
        replace(one, value=one.value + FOLLOW * near)
        for one, near in alike
        if near >= ALIKE_FROM and near > like(one.there.kind, first.kind)
    ]
    return repeats if any(one.value > 0 for one in repeats) else choices


def is_pausing(moment: Moment) -> bool:
    """Return whether so much was changed just now that the spread should fish first."""
    if is_morning(moment):
        return False
    return len(recent_changes(moment)) >= AT_ONCE


def recent_changes(moment: Moment) -> list[LureChange]:
    """Return the changes that were made just now."""
    return [c for c in moment.previous if c.made and moment.now - c.at < PAUSE]


def is_morning(moment: Moment) -> bool:
    """Return whether the first spread has hardly fished: what earlier trips say may all be done at once."""
    return moment.fished_h < MORNING_H


def left_alone(moment: Moment, outlook: Outlook) -> dict[str, Reason]:
    """Return the positions whose lure stays, and why: a fish on, bites, a raise, the best, just gone out."""
    rows = outlook.layout.kind_rows([there.kind for there in moment.spread])
    rates = rows @ outlook.gauss.mean
    found: dict[str, Reason] = {}
    for there, rate in zip(moment.spread, rates, strict=True):
        kept = reason_to_stay(there, moment.spread, moment.now)
        if there.busy:
            found[there.position] = "fish on"
        elif kept is not None:
            found[there.position] = kept
        elif there.strikes and rate >= rates.max() - 1e-9:
            found[there.position] = "works best"
        elif _is_fresh(there, moment):
            found[there.position] = "just out"
    return found


def _options(
    moment: Moment,
    allowed: MayTow,
    number: dict[Kind, int],
    rates: tuple[Array, Array],
    kept: Collection[str],
) -> list[tuple[int, Spare]]:
    """Return the changes that may be made and are the most hopeful, as line and lure."""
    now, hopes = rates
    spares: dict[Kind, Spare] = {}
    for spare in moment.ready:
        spares.setdefault(spare.kind, spare)
    found: list[tuple[float, int, Spare]] = []
    for line, there in enumerate(moment.spread):
        if there.position in kept:
            continue
        gone = _just_taken_out(there, moment)
        for spare in spares.values():
            if spare.kind != there.kind and spare.label not in gone:
                gain = hopes[line, number[spare.kind]] - now[line, number[there.kind]]
                found.append((float(gain), line, spare))
    found.sort(key=lambda option: (-option[0], option[1], option[2].label))
    fit = [
        (line, spare) for _, line, spare in found if allowed(moment.spread[line].position, spare)
    ]
    first = leader(moment.spread)
    besides = {(c.position, c.put_in) for c in moment.previous if c.stands}
    return fit[:FULL_EVALUATIONS] + [
        (line, spare)
        for line, spare in fit[FULL_EVALUATIONS:]
        if (moment.spread[line].position, spare.label) in besides
        or (first is not None and like(spare.kind, first.kind) >= ALIKE_FROM)
    ]


def _is_fresh(there: InWater, moment: Moment) -> bool:
    return any(
        change.made and change.position == there.position and moment.now - change.at < GIVE_IT
        for change in moment.previous
    )


def _just_taken_out(there: InWater, moment: Moment) -> frozenset[str]:
    return frozenset(
        change.taken_out
        for change in moment.previous
        if change.made and change.position == there.position and moment.now - change.at < TAKE_BACK
    )


def bother_of(moment: Moment, evidence: float) -> float:
    """Return the bother of one more change, in strikes.

    With the changes that were made it grows, the sooner the more lures seem alike.

    `evidence` is the log Bayes factor that lures differ.
    """
    made = sum(change.made for change in moment.previous)
    differ = min(max(1.0 + evidence / ALIKE, 0.0), 1.0)
    wanted = moment.wishes.changes_a_day * (FEW + (1.0 - FEW) * differ)
    quiet = QUIET * max(-evidence, 0.0) if moment.hours_before else 0.0
    return BOTHER * (1.0 + quiet) * float(1.0 + (made / wanted) ** STEEP)


def regret(chance: float) -> float:
    """Return the share of the bother that counts against a change that is better with this probability."""
    return min(1.0, REGRET * (1.0 - chance))


def _held(moment: Moment) -> float:
    """Return the hours for which a spread is held to stay as it is: longer on a boat with a record."""
    return min(HOLD_H + HOLD_PER_HOUR * moment.hours_before, HELD_MOST_H)


def _later(moment: Moment) -> float:
    """Return the hours after today for which what is learnt today counts."""
    return min(LATER_H + AS_MUCH * moment.hours_before, MOST_LATER_H)


def _kinds(moment: Moment) -> list[Kind]:
    kinds = [there.kind for there in moment.spread] + [spare.kind for spare in moment.ready]
    return list(dict.fromkeys(kinds))


def _copies(moment: Moment, kinds: Sequence[Kind]) -> Array:
    held = Counter([*(t.kind for t in moment.spread), *(s.kind for s in moment.ready)])
    return np.array([float(held[kind]) for kind in kinds])


def _factor(outlook: Outlook, position: str) -> float:
    row = outlook.layout.place_row(position, today=True)
    return float(np.exp(row @ outlook.gauss.mean))


def _with(held: list[int], line: int, kind: int) -> list[int]:
    return [*held[:line], kind, *held[line + 1 :]]


def _laid(
    outlook: Outlook, moment: Moment, kinds: Sequence[Kind], factors: Array
) -> tuple[Array, Array]:
    """Return strikes per hour of every lure on every line at this hour, as expected and as hoped for."""
    expected, hoped = [], []
    for there, factor in zip(moment.spread, factors, strict=True):
        rows = outlook.layout.laid_rows(kinds, there.position, moment.now.hour)
        mean = rows @ outlook.gauss.mean
        spread = np.einsum("ij,ij->i", rows @ outlook.gauss.cov, rows)
        expected.append(np.exp(mean + 0.5 * spread) * factor)
        hoped.append(np.exp(mean + np.sqrt(np.maximum(spread, 0.0))) * factor)
    return np.array(expected), np.array(hoped)
