"""Find the fish that a call is about: "missed him", "hooked up", "boated the sailfish".

One table of rules for the fold (what the log says) and for `decide` (what a new call means): what was
said, how far a fish has come, and what follows. Pure; looks at fish, never changes them.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final, Literal, assert_never

from bot.trip.acts import BITES, CAUGHT, LOST, MISSED, TABLE, Stage
from bot.trip.call import Call
from bot.trip.fish import End, Fish
from bot.trip.lures import LureSlots, agrees, is_known
from bot.trip.meant import OneMore

Been = Literal["raised", "struck", "on", "leader", "missed", "lost", "caught"]
"""How far a fish has come; the last three are over."""
Then = Literal["goes on", "again", "instead", "still on", "ask"]
"""The fish goes on with it; it was said before and only adds to that; it stands in the place of that;
that was wrong, and the fish is still on; or only the crew can tell."""


@dataclass(frozen=True, slots=True)
class Rule:
    """What follows when this is said of a fish at this stage."""

    said: Stage
    been: Been
    within: timedelta | None
    """How long after the fish reached its stage; longer joins more calls to one fish. None: any time."""
    then: Then = "goes on"
    named: bool = False
    """True where its line must be named."""
    adds: bool = False
    """True where the call must add something: a weight, a length, a tag."""
    one_line: bool = False
    """True where one of the two calls must be without a line: "something bit", "long rigger, the strike"."""
    bare: bool = False
    """True where nothing may be said of the fish: no line, lure, name or angler."""
    unplaced: bool = False
    """True where no line may be named, and not that it is one more."""


def _min(minutes: float) -> timedelta:
    return timedelta(minutes=minutes)


AFTERWARDS: Final = timedelta(hours=12)
"""How long after its end a fish can be weighed, or the number of its tag read out."""

RULES: Final = (
    # A fish comes further. The first rule that fits says which of several fish is meant.
    Rule("raised", "raised", _min(5)),
    Rule("struck", "on", _min(1), named=True),  # called by two, or by place: a line takes one fish
    Rule("struck", "raised", _min(5)),
    Rule("on", "struck", _min(12)),
    Rule("on", "on", _min(1)),
    Rule("on", "raised", _min(5)),
    Rule("leader", "on", None),
    Rule("leader", "struck", _min(60)),
    Rule("missed", "struck", _min(30)),
    Rule("missed", "raised", _min(5)),
    Rule("missed", "on", _min(10)),  # it was not on after all
    Rule("lost", "on", None),
    Rule("lost", "struck", _min(60)),
    Rule("caught", "on", None),
    Rule("caught", "struck", _min(60)),
    # Told once more while it goes on.
    Rule("struck", "struck", _min(1), "again", one_line=True),
    Rule("on", "on", _min(5), "again", bare=True),
    Rule("on", "on", _min(3), "again", named=True),  # a line with a fish on takes no other
    Rule("leader", "leader", _min(3), "again"),
    # Nothing is on: the last fish is meant where that can be.
    Rule("leader", "caught", _min(10)),
    Rule("leader", "lost", _min(10)),
    Rule("missed", "missed", _min(3), "again"),
    Rule("missed", "lost", _min(3), "again"),
    Rule("lost", "missed", _min(3), "instead"),
    Rule("lost", "lost", _min(5), "again"),
    Rule("lost", "caught", _min(5), "ask"),
    Rule("caught", "lost", _min(5), "ask"),
    Rule("caught", "caught", _min(5), "again"),
    Rule("caught", "caught", AFTERWARDS, "again", adds=True),
    Rule("caught", "caught", _min(60), "ask", unplaced=True),  # nothing is on, and no bite was called
    Rule("on", "lost", _min(2), "still on", bare=True),
    Rule("on", "lost", _min(2), "ask"),  # he is still on, or the next one is
)  # fmt: skip
"""Common practice, no source."""

TOGETHER: Final = timedelta(seconds=30)
"""Gap up to which each of two strikes may be meant; beyond it the older one is over."""
MISS_COMES_BACK: Final = timedelta(minutes=2)
"""How soon after a miss a hook-up without a position is on the same line."""
LONG_ON: Final = timedelta(hours=1)
"""How long a fish may well be on, whatever was laid since; common practice, no source."""
WITH_THE_LURE: Final = timedelta(minutes=5)
"""How long after a fish broke off it can be said what it took."""
SAID_AGAIN: Final = timedelta(minutes=1)
"""How soon a second bite on a line is the same fish: a line with a fish on takes no other bite."""


@dataclass(frozen=True, slots=True)
class FishClue:
    """What a call says about the fish that it means."""

    act: str
    at: datetime
    line: str | None = None
    species: str | None = None
    angler: str | None = None
    count: int = 1
    measured: tuple[tuple[str, object], ...] = ()
    """Weight, length and tag, where said."""
    bare: bool = False
    """True where nothing is said of the fish but what happened."""
    is_more: bool = False
    """True where it was called as one more."""
    is_another: bool = False
    """True where a bite was called as one more, on a line of its own."""
    lure: Call | None = None
    """The bite itself, where it names a lure of the box and no line."""

    @property
    def stage(self) -> Stage | None:
        """Return the stage of a fish after it."""
        return TABLE[self.act].stage

    @property
    def ends(self) -> bool:
        """Return whether it ends an encounter."""
        return self.act in CAUGHT | LOST


def fish_clue(call: Call, at: datetime, line: str | None) -> FishClue:
    """Return what a call says about its fish; `line` is the key of the position said."""
    said = call.said()
    measured = tuple(
        (name, said[name]) for name in ("weight_kg", "length_cm", "tag") if name in said
    )
    bare = said.keys() <= {"ago_min", "clock"}
    more = call.meaning(OneMore) is not None
    took = call if call.act in BITES and call.lure and line is None else None
    return FishClue(
        call.act,
        at,
        line,
        call.species,
        call.angler,
        call.count or 1,
        measured,
        bare,
        more,
        more and line is not None and call.act in BITES,
        took,
    )


def find_fish(fish: Sequence[Fish], call: FishClue) -> Fish | None:
    """Return the fish that a call goes on with, or None where it begins one of its own."""
    ranked = _ranked(fish, call)
    return max(ranked, key=lambda one: one[:2])[2] if ranked else None


def unclear(fish: Sequence[Fish], call: FishClue) -> tuple[Fish, ...]:
    """Return the fish between which nothing decides; empty where it is clear which is meant."""
    ranked = _ranked(fish, call)
    if call.stage in (None, "raised", "struck") or len(ranked) < 2 or call.count > 1:
        return ()  # of several at once the latest are meant
    best = max(rank for rank, _, _ in ranked)
    alike = [one for rank, _, one in ranked if rank == best]
    if call.stage in ("on", "missed"):
        newest = max(one.struck_at or one.first_at for one in alike)
        alike = [one for one in alike if newest - (one.struck_at or one.first_at) <= TOGETHER]
    several = len(alike) > max(1, call.count) and len({_described(one) for one in alike}) > 1
    return tuple(alike) if several else ()


def said_again(fish: Sequence[Fish], call: FishClue) -> Fish | None:
    """Return the only open fish of which a call says nothing new, or None."""
    rules = [rule for rule in RULES if rule.said == call.stage and rule.then == "again"]
    found = [
        one
        for one in fish
        if not one.is_over
        and call.count == 1
        and not call.is_another
        and _same_place(one, call)
        and species_match(one.species, call.species)
        and (same_person(one.angler, call.angler) or _is_on_there(one, call))
        and any(_fits(one, r, call) for r in rules if not r.named or _is_on_there(one, call))
    ]
    return found[0] if len(found) == 1 else None


def _is_on_there(one: Fish, call: FishClue) -> bool:
    """Return whether a hook-up is called on the very line that a fish is on."""
    return call.stage == "on" and one.is_on and one.line is not None and one.line == call.line


def repeated_ending(fish: Sequence[Fish], call: FishClue) -> tuple[End, Then] | None:
    """Return the ending that a call repeats, and what follows from that; None for a new fish."""
    for one in reversed(fish):
        for end in reversed(one.ends):
            then = _then(one, end, call) if one.is_over else None
            if then is not None:
                return end, then
    return None


def took_already(fish: Sequence[Fish], lure: LureSlots, at: datetime) -> Fish | None:
    """Return the fish, on or just gone with it, which took the lure that is named alone; else None."""
    for one in reversed(fish):
        gone = one.is_over and bool(one.ends) and TABLE[one.ends[-1].act].loses_lure
        lately = gone and timedelta() <= at - one.ends[-1].at <= WITH_THE_LURE
        if (one.is_on or lately) and is_known(one) and agrees(lure, one):
            return one
    return None


def struck_together(fish: Sequence[Fish], call: FishClue, count: int) -> tuple[Fish, ...]:
    """Return the open strikes that "double hook-up" means: the latest `count` of them, in order."""
    return _together(fish, call, count, "struck")


def on_together(fish: Sequence[Fish], call: FishClue, count: int) -> tuple[Fish, ...]:
    """Return the fish on that "boated both" means: the latest `count` of them, in order."""
    return _together(fish, call, count, "on")


def recent_miss(fish: Sequence[Fish], at: datetime) -> Fish | None:
    """Return the fish missed so recently that a hook-up without a position is on its line."""
    for one in reversed(fish):
        if one.end in MISSED and one.ends[-1].at <= at <= one.ends[-1].at + MISS_COMES_BACK:
            return one
    return None


def species_match(one: str | None, other: str | None) -> int:
    """Return 3 for the same species, 2 for the same kind (`marlin`), 1 where one is not known, else 0."""
    if one is None or other is None:
        return 1
    if one == other:
        return 3
    return 2 if one.split()[-1] == other.split()[-1] else 0


def closer_species(known: str | None, said: str | None) -> str | None:
    """Return the species to keep: what was said last, unless it says less than what is known."""
    if said is None:
        return known
    if known is not None and known != said and known.endswith(f" {said}"):
        return known
    return said


def same_person(one: str | None, other: str | None) -> int:
    """Return 2 for the same name, 1 where one is not known, else 0."""
    if one is None or other is None:
        return 1
    return 2 if one.casefold() == other.casefold() else 0


_Rank = tuple[int, ...]
_Order = tuple[datetime, int]


def _ranked(fish: Sequence[Fish], call: FishClue) -> list[tuple[_Rank, _Order, Fish]]:
    """Return the fish that may be meant, each with how well it fits and its place in order of its bite."""
    found: list[tuple[_Rank, _Order, Fish]] = []
    for n, one in enumerate(fish):
        order = one.struck_at or one.first_at, n
        if not _same_place(one, call):
            continue
        fit = next((n for n, rule in _rules(call) if _fits(one, rule, call)), None)
        species = species_match(one.species, call.species)
        if fit is None or (species == 0 and not one.was_struck):
            continue
        stage, angler = -fit, same_person(one.angler, call.angler)
        here = int(call.line is not None and one.line == call.line)
        if call.act in CAUGHT | LOST:
            at_leader = int(one.leader_at is not None)
            rank: _Rank = (min(species, 1), angler, here, at_leader, species, stage)
        else:
            rank = (stage, angler, species, here)
        found.append((rank, order, one))
    return found


def _rules(call: FishClue) -> Iterator[tuple[int, Rule]]:
    return (
        (n, rule)
        for n, rule in enumerate(RULES)
        if rule.said == call.stage and rule.then == "goes on"
    )


def _fits(one: Fish, rule: Rule, call: FishClue) -> bool:
    if (rule.named and call.line is None) or (rule.bare and not call.bare):
        return False
    if rule.one_line and (call.line is None) == (one.line is None):
        return False
    since = _since(one, rule.been)
    if since is None or (rule.said == rule.been == "on" and one.ends):
        return False
    return rule.within is None or since <= call.at <= since + rule.within


def _since(one: Fish, been: Been) -> datetime | None:
    """Return when a fish reached a stage, where it is still there."""
    match been:
        case "raised":
            return None if one.is_over or one.was_struck else one.raised_at
        case "struck":
            return None if one.is_over or one.was_on else one.struck_at
        case "on":
            return (one.hooked_at or one.bite_at) if one.is_on else None
        case "leader":
            return one.leader_at if one.is_on else None
        case "missed" | "lost" | "caught":
            over = one.ends[-1] if one.is_over and one.ends else None
            return over.at if over and TABLE[over.act].stage == been else None
        case _:
            assert_never(been)


def _then(one: Fish, end: End, call: FishClue) -> Then | None:
    """Return what follows where a call may be about a fish with this ending."""
    if not _same_place(one, call) or call.count > end.count or _contradicts(end, call):
        return None
    name, angler = end.species or one.species, end.angler or one.angler
    if species_match(name, call.species) == 0 or same_person(angler, call.angler) == 0:
        return None
    new = any(getattr(end, slot) is None for slot, _ in call.measured)
    for rule in RULES:
        fits = rule.said == call.stage and rule.been == TABLE[end.act].stage
        if rule.then == "goes on" or not fits or rule.within is None or (rule.adds and not new):
            continue
        if rule.bare and (not call.bare or TABLE[end.act].loses_lure):
            continue
        if rule.unplaced and (call.line is not None or call.is_more):
            continue
        if end.at <= call.at <= end.at + rule.within:
            return _closer(end.act, call.act) if rule.then == "again" else rule.then
    return None


def _closer(known: str, said: str) -> Then:
    """Return what follows where two words are for one ending: the more exact one stays."""
    old, new = TABLE[known], TABLE[said]
    if known == said or old.loses_lure or old.stage != new.stage:
        return "again"
    landed_first = old.keeps and not new.keeps  # landed, then let go
    return "instead" if landed_first or new.loses_lure else "ask"


def _contradicts(end: End, call: FishClue) -> bool:
    """Return whether a weight, a length or a tag differs from what is known."""
    known = ((getattr(end, slot), said) for slot, said in call.measured)
    return any(value is not None and value != said for value, said in known)


def _together(fish: Sequence[Fish], call: FishClue, count: int, been: Been) -> tuple[Fish, ...]:
    open_ = [one for one in fish if not one.is_over and _same_place(one, call)]
    waiting = [one for one in open_ if _fits_been(one, been, call)]
    return tuple(waiting[-count:])


def _fits_been(one: Fish, been: Been, call: FishClue) -> bool:
    rules: Iterable[Rule] = (rule for _, rule in _rules(call) if rule.been == been)
    return any(_fits(one, rule, call) for rule in rules)


def _same_place(one: Fish, call: FishClue) -> bool:
    if call.is_another and one.line is None:
        return False
    if call.lure is not None and is_known(one) and not agrees(call.lure, one):
        return False  # a fish at another lure is on another line
    return one.line is None or call.line is None or one.line == call.line


def _described(one: Fish) -> tuple[str | None, ...]:
    """Return the words that identify a fish among others."""
    return one.line, one.species, one.angler
