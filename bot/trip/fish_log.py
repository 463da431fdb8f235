"""The life of every fish of a trip: raised, struck, hooked, and how it ended.

A part of the fold: takes the entries about fish one after the other. Which fish an entry is about
is decided in `encounters`. Pure.
"""

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime
from typing import Any, assert_never

from bot.trip.acts import TABLE
from bot.trip.encounters import closer_species, just_missed, meant, struck_together, wanted
from bot.trip.entry import Entry
from bot.trip.fish import End, Fish
from bot.trip.lures import LURE_SLOTS, LureSlots, agrees, from_water, is_known
from bot.trip.runs import Gap
from bot.trip.state import InWater

Spread = Mapping[str, InWater]


class FishLog:
    """The fish so far, in the order in which they were first called."""

    def __init__(self) -> None:
        self.all: list[Fish] = []
        self._open: dict[str, int] = {}
        """Where in `all` those stand that are not over."""
        self._off: dict[int, tuple[str, Gap]] = {}
        """By place in `all`: the line that a fish that was on kept from fishing, and when."""

    def copy(self) -> "FishLog":
        """Give a second one that goes on by itself."""
        other = FishLog()
        other.all, other._open = self.all.copy(), self._open.copy()
        other._off = self._off.copy()
        return other

    def on(self) -> tuple[Fish, ...]:
        """Give the fish that are on."""
        return tuple(f for f in self._waiting() if f.is_on)

    def off(self) -> dict[str, tuple[Gap, ...]]:
        """Give by line from when to when it did not fish for a fish that was on."""
        found: dict[str, list[Gap]] = {}
        for line, gap in self._off.values():
            found.setdefault(line, []).append(gap)
        return {line: tuple(gaps) for line, gaps in found.items()}

    def add(self, entry: Entry, line: str | None, spread: Spread) -> Fish:
        """Take an entry about a fish and give the fish as it is after that.

        `line` is the key of the position said, None where none was said.
        """
        call = entry.call
        wants = wanted(call, entry.at, line)
        if TABLE[call.act].stage == "on" and call.position is None and (call.count or 1) > 1:
            several = struck_together(self._waiting(), wants, call.count or 1)
            if len(several) > 1:
                return self._hook_all(several, entry, spread)
        fish = meant(self._waiting(), wants)
        if fish is None:
            fish = self._begin(entry, line)
        return self._keep(_after(fish, entry, line, spread))

    def close_all(self, at: datetime) -> tuple[Fish, ...]:
        """End what is open at the end of a trip, and give the fish that were on."""
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
        if stage == "on" and line is None:
            before = just_missed(self.all[-3:], entry.at)
            if before is not None:
                line, position, side = before.line, before.position, before.side
        fish = Fish(entry.id, (), entry.at, position, line, side)
        self._open[fish.id] = len(self.all)
        self.all.append(fish)
        return fish

    def _close_line(self, line: str | None, at: datetime) -> None:
        """End what was open on a line: it takes another bite, so that fish is no longer there."""
        for one in self._waiting():
            if line is not None and one.line == line and one.was_struck:
                self._keep(replace(one, closed_at=at))

    def _hook_all(self, several: tuple[Fish, ...], entry: Entry, spread: Spread) -> Fish:
        spare = (entry.call.count or 1) - len(several)
        single = replace(entry, call=entry.call.with_slots(count=None))
        last = several[-1]
        for one in several:
            last = self._keep(_after(one, single, None, spread))
        return self._keep(replace(last, count=last.count + spare)) if spare > 0 else last

    def _keep(self, fish: Fish) -> Fish:
        index = self._open.get(fish.id)
        if index is not None:
            self.all[index] = fish
            gap = fish.off_water
            if fish.line is not None and gap is not None:
                self._off[index] = (fish.line, gap)
            if fish.is_over:
                del self._open[fish.id]
        return fish


def _after(fish: Fish, entry: Entry, line: str | None, spread: Spread) -> Fish:
    """Give a fish as it is after an entry about it."""
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
    """Give the lure that it took where this entry tells: as said, else what was in the water there."""
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
    many = {"count": max(fish.count, call.count or 1)}
    match TABLE[call.act].stage:
        case "raised":
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
            end = End(
                at, call.act, entry.id, crew, max(1, call.count or 1), call.species,
                call.length_cm, call.weight_kg, call.tagged, call.tag,
            )  # fmt: skip
            return {"ends": (*fish.ends, end)}
        case stage:
            assert_never(stage)
