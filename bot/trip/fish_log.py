"""The life of every fish of a trip: raised, struck, hooked, and how it ended.

A part of the fold: takes the entries about fish one after the other. Which fish an entry is about
is decided in `encounters`. Pure.
"""

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any, Final, assert_never

from bot.trip.acts import TABLE
from bot.trip.encounters import (
    FishClue,
    closer_species,
    find_fish,
    fish_clue,
    on_together,
    recent_miss,
    struck_together,
)
from bot.trip.entry import Entry
from bot.trip.fish import End, Fish
from bot.trip.lures import LURE_SLOTS, LureSlots, agrees, from_water, is_known
from bot.trip.runs import Gap
from bot.trip.said_units import units_of
from bot.trip.state import InWater

Spread = Mapping[str, InWater]

_LATEST: Final = 4
"""Number of the latest fish that a late word may be about."""
_ON: Final = ("on", "leader", "caught", "lost")
"""Stages at which a fish is or was on, and somebody on its rod."""
BIT_WITHIN: Final = timedelta(minutes=12)
"""How long after a bite a rod that is taken is that of its fish; common practice, no source."""


class FishLog:
    """The fish so far, in the order in which they were first called."""

    def __init__(self) -> None:
        self.all: list[Fish] = []
        self._open: dict[str, int] = {}
        """Where in `all` those stand that are not over."""
        self._off: dict[int, tuple[str, Gap]] = {}
        """By place in `all`: the line that a fish that was on kept from fishing, and when."""
        self.rods: dict[str, str] = {}
        """By line: who took that rod."""
        self.next_angler: str | None = None
        """Who takes the next fish."""

    def copy(self) -> "FishLog":
        """Return an independent copy."""
        other = FishLog()
        other.all, other._open = self.all.copy(), self._open.copy()
        other._off, other.rods, other.next_angler = (
            self._off.copy(),
            self.rods.copy(),
            self.next_angler,
        )
        return other

    def on(self) -> tuple[Fish, ...]:
        """Return the fish that are on."""
        return tuple(f for f in self._waiting() if f.is_on)

    def off(self) -> dict[str, tuple[Gap, ...]]:
        """Return the spans in which each line did not fish because a fish was on."""
        found: dict[str, list[Gap]] = {}
        for line, gap in self._off.values():
            found.setdefault(line, []).append(gap)
        return {line: tuple(gaps) for line, gaps in found.items()}

    def add(self, entry: Entry, line: str | None, spread: Spread) -> Fish:
        """Add an entry about a fish and return the fish as it is then.

        `line` is the key of the position said, None where none was said.
        """
        call = entry.call
        wants = fish_clue(call, entry.at, line)
        several = self._several(wants) if call.position is None else ()
        if len(several) > 1:
            return self._go_on_all(several, entry, spread)
        fish = find_fish((*self._over(), *self._waiting()), wants)
        if fish is None:
            fish = self._begin(entry, line)
        elif _is_one_of_several(fish, wants):
            fish = self._part(fish, entry.id)
        return self._keep(_after(self._with_angler(fish, entry), entry, line, spread))

    def turn(self, angler: str, line: str | None, at: datetime) -> None:
        """Note who took a rod; without a line it is that of the only fish on, else of the next one.

        The rod of a line that was just bitten is that of the fish there, though nobody called it on. Who
        takes a rod with a fish on has that fish, no later one; who takes it before has all that bite there.
        """
        if not angler:
            return
        on = [one for one in self.on() if line in (None, one.line)]
        on = on or [one for one in self._waiting() if line is not None and _just_bit(one, line, at)]
        if len(on) == 1:
            self._keep(replace(on[0], angler=angler))
        elif line is not None:
            self.rods[line] = angler
        elif not on:
            self.next_angler = angler

    def _with_angler(self, fish: Fish, entry: Entry) -> Fish:
        """Return a fish that is on with its angler: as said, else whoever took its rod."""
        said = entry.call.angler
        if said and said == self.next_angler and TABLE[entry.call.act].stage in _ON:
            self.next_angler = None
        if said or fish.angler or TABLE[entry.call.act].stage not in _ON:
            return replace(fish, angler=said or fish.angler)
        angler = self.next_angler or self.rods.get(fish.line or "")
        self.next_angler = None
        return replace(fish, angler=angler)

    def _several(self, wants: FishClue) -> tuple[Fish, ...]:
        if wants.count < 2:
            return ()
        if wants.stage == "on":
            return struck_together(self._waiting(), wants, wants.count)
        return on_together(self._waiting(), wants, wants.count) if wants.ends else ()

    def _over(self) -> tuple[Fish, ...]:
        """Return the latest fish that are over."""
        return tuple(one for one in self.all[-_LATEST:] if one.is_over)

    def close_all(self, at: datetime) -> tuple[Fish, ...]:
        """End what is open at the end of a trip, and return the fish that were on."""
        on = self.on()
        for one in self._waiting():
            self._keep(replace(one, closed_at=at))
        return on

    def close_partly_ended(self, at: datetime) -> None:
        """End the encounters of several fish of which some have ended: lines are back in."""
        for one in self.on():
            if one.ends:
                self._keep(replace(one, closed_at=min(at, one.ends[-1].at)))

    def _waiting(self) -> tuple[Fish, ...]:
        return tuple(self.all[index] for index in self._open.values())

    def _begin(self, entry: Entry, line: str | None) -> Fish:
        stage = TABLE[entry.call.act].stage
        if stage in ("struck", "on"):
            self._close_line(line, entry.at)
        position, side = entry.call.position, entry.call.side
        if stage in ("struck", "on") and line is None:
            before = recent_miss(self.all[-3:], entry.at)
            if before is not None:
                line, position, side = before.line, before.position, before.side
        fish = Fish(entry.id, (), entry.at, position, line, side)
        self._open[fish.id] = len(self.all)
        self.all.append(fish)
        return fish

    def _part(self, several: Fish, entry: str) -> Fish:
        """Return one fish of a double without a line, by itself; the others go on without it."""
        self._keep(replace(several, count=several.count - 1))
        one = replace(several, id=entry, count=1, ends=())
        self._open[one.id] = len(self.all)
        self.all.append(one)
        return one

    def _close_line(self, line: str | None, at: datetime) -> None:
        """End the open fish of a line that takes another bite."""
        for one in self._waiting():
            if line is not None and one.line == line and one.was_struck:
                self._keep(replace(one, closed_at=at))

    def _go_on_all(self, several: tuple[Fish, ...], entry: Entry, spread: Spread) -> Fish:
        """Apply one entry to several fish: "double hook-up", "boated both"."""
        left = entry.call.count or 1
        last = several[-1]
        for place, one in enumerate(several):
            many = left if place == len(several) - 1 else min(one.left, left)
            left -= many
            call = entry.call.with_slots(count=many if many > 1 else None)
            last = self._keep(_after(one, replace(entry, call=call), None, spread))
        return last

    def _keep(self, fish: Fish) -> Fish:
        index = self._open.get(fish.id)
        if index is None:  # one that is over: only what is said of it later
            late = (n for n in range(len(self.all) - 1, -1, -1) if self.all[n].id == fish.id)
            self.all[next(late)] = fish
        else:
            self.all[index] = fish
            gap = fish.off_water
            if fish.line is not None and gap is not None:
                self._off[index] = (fish.line, gap)
            if fish.is_over:
                del self._open[fish.id]
        return fish


def _is_one_of_several(fish: Fish, call: FishClue) -> bool:
    """Return whether a call names the line of one fish, of several that were called without theirs."""
    later = call.stage not in ("raised", "struck", "on")
    named = call.line is not None and fish.line is None
    return later and named and call.count == 1 and fish.left > 1


def _just_bit(one: Fish, line: str, at: datetime) -> bool:
    """Return whether a fish bit on a line not long before a time."""
    struck = one.struck_at
    return one.line == line and struck is not None and struck <= at <= struck + BIT_WITHIN


def _after(fish: Fish, entry: Entry, line: str | None, spread: Spread) -> Fish:
    """Return a fish as it is after an entry about it."""
    changes = _place(fish, entry, line, spread) | _stage(fish, entry)
    changes["entries"] = (*fish.entries, entry.id)
    changes["species"] = closer_species(fish.species, entry.call.species)
    return replace(fish, **changes)


def _place(fish: Fish, entry: Entry, line: str | None, spread: Spread) -> dict[str, Any]:
    """Note where the fish is and what it took there."""
    call = entry.call
    found: dict[str, Any] = {}
    where = fish.line
    if where is None and line is not None:
        where = line
        found |= {"line": line, "position": call.position}
    there = spread.get(where or "")
    if call.side or (fish.side is None and there is not None):
        found["side"] = call.side or (there.side if there else None)
    took = _took(fish, entry, there)
    if took is not None:
        found |= {slot: getattr(took, slot) for slot in LURE_SLOTS}
    return found


def _took(fish: Fish, entry: Entry, there: InWater | None) -> LureSlots | None:
    """Return the lure that it took where this entry tells: as said, else what was in the water there."""
    call = entry.call
    if not call.names_lure:
        return there if there is not None and not is_known(fish) else None
    said = any(slot not in entry.inferred for slot in LURE_SLOTS if slot in call.said())
    if not said and is_known(fish) and agrees(call, fish):
        return None
    return from_water(call, there) if there is not None and agrees(call, there) else call


def _stage(fish: Fish, entry: Entry) -> dict[str, Any]:
    """Note what happened to the fish, when, and who called it."""
    call, at, crew = entry.call, entry.at, entry.crew
    new_bite = not fish.was_struck  # of two that came up one may bite
    many = {"count": max(1 if new_bite else fish.count, call.count or 1)}
    match TABLE[call.act].stage:
        case "raised":
            many = {"count": max(fish.count, call.count or 1)}
            return many | {
                "raised_at": fish.raised_at or at, "raise_crew": fish.raise_crew or crew,
            }  # fmt: skip
        case "struck":
            struck_at = fish.struck_at if fish.hooked_at else fish.struck_at or at
            return many | {"strike_crew": fish.strike_crew or crew, "struck_at": struck_at}
        case "on":
            return many | {
                "hooked_at": fish.hooked_at or at, "hookup_crew": fish.hookup_crew or crew,
            }  # fmt: skip
        case "leader":
            return {"leader_at": fish.leader_at or at}
        case "missed" | "lost" | "caught" | None:
            said = units_of(call)
            end = End(
                at, call.act, entry.id, crew, max(1, call.count or 1), call.species,
                call.length_cm, call.weight_kg, call.tagged, call.tag, fish.angler, said.weight, said.length,
            )  # fmt: skip
            told = many if new_bite else {}  # "two in the boat" tells of two bites
            return told | {"ends": (*fish.ends, end)}
        case stage:
            assert_never(stage)
