"""Which fish a call is about: "missed him", "hooked up", "boated the sailfish".

One set of rules for the fold (what the log says) and for `decide` (what a new call means). Pure;
looks at fish, never changes them.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final, assert_never

from bot.trip.acts import CAUGHT, LOST, MISSED, TABLE
from bot.trip.call import Call
from bot.trip.fish import Fish

# How long a stage waits for the next one to belong to the same fish. Common practice, no source: a
# longer time joins more calls to one fish, a shorter one makes more fish out of the same calls.
RAISE_WAITS: Final = timedelta(minutes=5)
STRIKE_WAITS_FOR_HOOKUP: Final = timedelta(minutes=10)
STRIKE_WAITS_FOR_MISS: Final = timedelta(minutes=30)
STRIKE_WAITS_FOR_END: Final = timedelta(minutes=60)
SAID_AGAIN: Final = timedelta(minutes=1)
"""A line with a fish on takes no other bite: so soon it is the same fish, called by two or by place."""
MISS_COMES_BACK: Final = timedelta(minutes=2)
"""A hook-up without a position so soon after a miss is on that line."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """What a call says about the fish that it means."""

    act: str
    at: datetime
    line: str | None = None
    species: str | None = None


def wanted(call: Call, at: datetime, line: str | None) -> Wanted:
    """Give what a call says about its fish; `line` is the key of the position said."""
    return Wanted(call.act, at, line, call.species)


def meant(fish: Sequence[Fish], call: Wanted) -> Fish | None:
    """Give the fish that a call goes on with, or None where it begins one of its own."""
    best: tuple[tuple[int, ...], Fish] | None = None
    for order, one in enumerate(fish):
        if one.is_over or not _same_place(one, call):
            continue
        stage = _stage(one, call)
        species = species_match(one.species, call.species)
        if stage == 0 or (species == 0 and not one.was_struck):
            continue
        first, second = (species, stage) if call.act in CAUGHT | LOST else (stage, species)
        rank = (first, second, one.line == call.line, order)
        if best is None or rank > best[0]:
            best = (rank, one)
    return best[1] if best else None


def struck_together(fish: Sequence[Fish], call: Wanted, count: int) -> tuple[Fish, ...]:
    """Give the open strikes that "double hook-up" means: the latest `count` of them, in order."""
    waiting = [
        one
        for one in fish
        if not one.is_over and _for_hookup(one, call) == _STRUCK and _same_place(one, call)
    ]
    return tuple(waiting[-count:])


def just_missed(fish: Sequence[Fish], at: datetime) -> Fish | None:
    """Give the fish missed so recently that a hook-up without a position is on its line."""
    for one in reversed(fish):
        if one.end in MISSED and one.ends[-1].at <= at <= one.ends[-1].at + MISS_COMES_BACK:
            return one
    return None


def species_match(one: str | None, other: str | None) -> int:
    """Give 3 for the same species, 2 for the same kind (`marlin`), 1 where one is not known, else 0."""
    if one is None or other is None:
        return 1
    if one == other:
        return 3
    return 2 if one.split()[-1] == other.split()[-1] else 0


def closer_species(known: str | None, said: str | None) -> str | None:
    """Give the species to keep: what was said last, unless it says less than what is known."""
    if said is None:
        return known
    if known is not None and known != said and known.endswith(f" {said}"):
        return known
    return said


def _same_place(one: Fish, call: Wanted) -> bool:
    return one.line is None or call.line is None or one.line == call.line


def _within(start: datetime | None, at: datetime, limit: timedelta) -> bool:
    return start is not None and start <= at <= start + limit


_RAISED, _REPEATED, _STRUCK, _ON = 1, 2, 3, 4


def _only_raised(one: Fish, call: Wanted) -> int:
    fits = not one.was_struck and _within(one.raised_at, call.at, RAISE_WAITS)
    return _RAISED if fits else 0


def _for_strike(one: Fish, call: Wanted) -> int:
    if one.was_on and call.line is not None and _within(one.hooked_at, call.at, SAID_AGAIN):
        return _REPEATED
    return _only_raised(one, call)


def _for_hookup(one: Fish, call: Wanted) -> int:
    if one.was_on:
        again = not one.ends and _within(one.hooked_at, call.at, SAID_AGAIN)
        return _REPEATED if again else 0
    if _within(one.struck_at, call.at, STRIKE_WAITS_FOR_HOOKUP):
        return _STRUCK
    return _only_raised(one, call)


def _for_miss(one: Fish, call: Wanted) -> int:
    if one.was_on:
        return 0
    if _within(one.struck_at, call.at, STRIKE_WAITS_FOR_MISS):
        return _STRUCK
    return _only_raised(one, call)


def _for_end(one: Fish, call: Wanted) -> int:
    if one.was_on:
        return _ON
    return _STRUCK if _within(one.struck_at, call.at, STRIKE_WAITS_FOR_END) else 0


def _stage(one: Fish, call: Wanted) -> int:
    """Return how well a fish fits what is said to have happened next, 0 where it cannot be meant."""
    match TABLE[call.act].stage:
        case "raised":
            return _only_raised(one, call)
        case "struck":
            return _for_strike(one, call)
        case "on":
            return _for_hookup(one, call)
        case "missed":
            return _for_miss(one, call)
        case "leader" | "lost" | "caught":
            return _for_end(one, call)
        case None:
            return 0
        case stage:
            assert_never(stage)
