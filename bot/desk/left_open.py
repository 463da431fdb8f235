"""What a call leaves open, so that it is asked about: its line, its lure, or whether it is a fish. Pure.

A line named by its side alone ("strike, port rigger", where boats call them short and long); a line that the
boat has not, refused where it names its lines itself; a lure that goes out and was not heard, asked for
before the one that is there comes in; a word that is a fish to some crews and a protected animal to others.
"""

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from bot.answers.any_of_them import with_the_only_ones
from bot.answers.view import View
from bot.calls.completed_ways import missing_positions
from bot.calls.phrasing import question
from bot.calls.reader.labels import CLEARED
from bot.calls.understand import Option, Understanding, options_with
from bot.desk.of_trays import about_trays, with_spare_of_out
from bot.desk.settle import Act, Doubt, Remark
from bot.spread.positions import places
from bot.trip.acts import AMEND, FISH_ACTS, LAYING, SET, SWAP, TABLE
from bot.trip.call import Call
from bot.trip.entry import Entry
from bot.trip.lines import line_for
from bot.trip.lures import is_known
from bot.trip.meant import SaidAs, SidedKind, meaning
from bot.trip.state import Trip

SIDES: Final = {"port": -1, "starboard": 1}
"""Side -> the sign of the metres across in a picture of the spread."""
SURE: Final = 0.9
"""How sure it is what was called, of which only the line is asked."""
NEVER_TAKEN = 0.0
"""How sure such a call is, so that it is not taken where nobody answers."""
FISH: Final = {"dolphin": "mahi-mahi"}
"""The animal -> the fish of the same name."""
FISH_OR_ANIMAL: Final = "The fish or the animal? {0}"


def of_two(settled: Act, found: Understanding, view: View) -> Act | Doubt:
    """Return calls with the line that a side means, or the question which of two it is."""
    named = meaning(found.meant, SidedKind)
    loose = [call for call in settled.calls if call.side and call.position is None]
    if named is None or len(loose) != 1 or settled.answers is not None:
        return settled
    call = loose[0]
    if TABLE[call.act].stage not in ("raised", "struck", "on") and call.act != CLEARED:
        return settled
    lines = _lines(named.kind, call, view)
    waits = {fish.position for fish in view.trip.fish if not fish.is_over}
    if not lines or waits & {*lines}:
        return settled  # which fish goes on follows from the fish
    options = tuple(_on_line(settled.calls, call, line) for line in lines)
    if len(options) == 1:
        return Act(options[0], closes=settled.closes)
    which = " or ".join(f"the {line}" for line in lines)
    return Doubt(f"Which {named.kind}: {which}?", options, SURE)


def without_guessed_sides(found: Understanding) -> Understanding:
    """Return what was understood without a line that only sounds like its side: a "port rigger".

    Readings that are then the same are one.
    """
    named = meaning(found.meant, SidedKind)
    if named is None:
        return found
    kind = named.kind

    def bare(calls: tuple[Call, ...]) -> tuple[Call, ...]:
        return tuple(
            c.with_slots(position=None) if c.side and (c.position or "").endswith(kind) else c
            for c in calls
        )

    options = options_with(found.options, bare)
    same = len(options) == 1 < len(found.options)
    asked = question([one.calls for one in options]) if options else found.ask
    ask = None if same or found.ask is None else asked
    return replace(found, calls=bare(found.calls), options=options, ask=ask)


def _on_line(calls: Sequence[Call], call: Call, line: str) -> tuple[Call, ...]:
    return tuple(one.with_slots(position=line) if one is call else one for one in calls)


def _lines(kind: str, call: Call, view: View) -> list[str]:
    """Return the lines that may be meant, that first which a picture shows on the side."""
    all_of = [line for line in view.boat.positions if line.split()[-1] == kind]
    sides = {there.position: there.side for there in view.trip.spread.values() if there.side}
    there = [line for line in all_of if sides.get(line) == call.side]
    others = [line for line in all_of if line not in sides]
    lines = there or others
    across = {place.position: place.across_m for place in places(view.boat.positions)}
    sign = SIDES.get(call.side or "", 0)
    return sorted(lines, key=lambda line: across[line] * sign < 0)


def fill_left_open(settled: Act, found: Understanding, view: View) -> Act | Doubt | Remark:
    """Return calls with the line that a side means, or the question which line, lure or tray it is."""
    spare = with_spare_of_out(_any_one(_back_out(settled, view), view), view)
    sided = of_two(spare, found, view) if isinstance(spare, Act) else spare
    known = _with_lure(sided, view) if isinstance(sided, Act) else sided
    return about_trays(known, view) if isinstance(known, Act) else known


def _any_one(settled: Act, view: View) -> Act:
    """Return "a red one on the shotgun" with the only red lure that is ready; of several it stays open."""
    if settled.answers is not None:
        return settled
    return replace(settled, calls=with_the_only_ones(settled.calls, view))


def _back_out(settled: Act, view: View) -> Act:
    """Return "weed on the gun, cleared it, back out" with the line and the lure that go out again.

    A lure that is named goes out on the line that came in.
    """
    calls = list(settled.calls)
    for n, call in enumerate(calls):
        at = next((i for i in reversed(range(n)) if calls[i].act == CLEARED), None)
        if call.act != SET or call.position or at is None:
            continue
        came = calls[at]
        line = line_for(view.trip.spread, came.position or "", came.side)
        there = None if call.names_lure else view.trip.spread.get(line)
        if there is None and not call.names_lure:
            continue
        call = call.with_slots(position=came.position, side=came.side)
        if there is not None:
            call = call.with_slots(lure=there.lure, size_in=there.size_in, colours=there.colours)
        calls[n] = call
        if came.clock is None and came.ago_min is None:
            calls[at] = came.with_slots(clock=call.clock, ago_min=call.ago_min)
    return replace(settled, calls=tuple(calls))


def _with_lure(settled: Act, view: View) -> Act | Doubt:
    """Return the question which lure it is, where a swap would put an unknown one in place of another."""
    call = settled.calls[0] if len(settled.calls) == 1 else None
    if call is None or call.act != SWAP or call.position is None or call.names_lure:
        return settled
    there = view.trip.spread.get(line_for(view.trip.spread, call.position, call.side))
    if there is None or not is_known(there):
        return settled
    asked = f"Which lure goes out on the {call.position}? {there.label} stays till then."
    return Doubt(asked, (settled.calls,), NEVER_TAKEN, settled.answers)


def known_lines(found: Understanding, trip: Trip, positions: Sequence[str]) -> Understanding:
    """Return what was understood, asked about where a lure goes out on a line that the boat has not.

    A boat with names of its own has no other line: a fish is logged without one, anything else is refused.
    """
    known = {*positions, *(lure.position for lure in trip.spread.values())}
    if lacks := missing_positions(positions) - known:
        return _on_no_line(found, lacks, positions)
    odd = [
        call.position
        for call in found.calls
        if call.act in LAYING and call.position is not None and call.position not in known
    ]
    if found.ask is not None or not odd:
        return found
    asked = f"This boat has no {odd[0]} ({', '.join(positions)}). {question([found.calls])}"
    return replace(found, ask=asked, options=(Option(found.calls, found.confidence),))


def _on_no_line(
    found: Understanding, lacks: frozenset[str], positions: Sequence[str]
) -> Understanding:
    """Return what was understood without usual lines that the boat has not."""
    odd = next((c.position for c in found.calls if c.position in lacks), None)
    if odd is not None and any(c.position in lacks and c.act not in FISH_ACTS for c in found.calls):
        text = f"This boat has no {odd}. Its lines: {', '.join(positions)}."
        return replace(found, calls=(), ask=None, options=(), refusal=text)

    def bare(calls: tuple[Call, ...]) -> tuple[Call, ...]:
        return tuple(c.with_slots(position=None) if c.position in lacks else c for c in calls)

    fits = [
        o
        for o in found.options
        if all(c.act in FISH_ACTS or c.position not in lacks for c in o.calls)
    ]
    options = tuple(replace(one, calls=bare(one.calls)) for one in fits)
    calls = bare(found.calls)
    if calls == found.calls and options == found.options:
        return found
    ask = question([one.calls for one in options] or [calls]) if found.ask is not None else None
    return replace(found, calls=calls, options=options, ask=ask)


def fish_or_animal(found: Understanding, trip: Trip, stood: Sequence[Entry]) -> Understanding:
    """Return what was understood with a "dolphin" on a hook as the fish or the animal, or asked about.

    It is what the crew has meant by the word before, or what is on now where only one of them is; nobody
    weighs or measures an animal.
    """
    words = {one.word for call in found.calls if (one := _unclear(call))}
    if len(words) != 1:
        return found
    (animal,) = words
    measured = any(c.weight_kg is not None or c.length_cm is not None for c in found.calls)
    known = FISH[animal] if measured else _known(animal, trip, stood)
    if known is not None:
        options = tuple(replace(o, calls=_as(o.calls, known)) for o in found.options)
        calls = _as(found.calls, known)
        if found.ask is None:
            return replace(found, calls=calls, options=options)
        return replace(
            found, calls=calls, options=options, ask=question([o.calls for o in options])
        )
    both = tuple(_as(found.calls, species) for species in (FISH[animal], animal))
    even = found.confidence / len(both)
    return replace(
        found,
        calls=both[0],
        ask=FISH_OR_ANIMAL.format(question(both)),
        options=tuple(Option(calls, even) for calls in both),
    )


def _unclear(call: Call) -> SaidAs | None:
    """Return the word of a call about a fish that may be one of two, where nothing tells which."""
    word = call.meaning(SaidAs)
    on_a_hook = call.act in FISH_ACTS or call.act == AMEND
    open_ = word is not None and not word.told and word.word in FISH
    both = {word.word, FISH[word.word]} if word is not None and open_ else set()
    return word if on_a_hook and call.species in both else None


def _known(animal: str, trip: Trip, stood: Sequence[Entry]) -> str | None:
    """Return the species that is meant by the word, where the trip tells."""
    on = {fish.species for fish in trip.fish_on} & {animal, FISH[animal]}
    if len(on) == 1:
        return on.pop()
    called = [e for e in stood if (one := e.call.meaning(SaidAs)) and one.word == animal]
    return FISH[animal] if any(e.call.species == FISH[animal] for e in called) else None


def _as(calls: tuple[Call, ...], species: str) -> tuple[Call, ...]:
    return tuple(c.with_slots(species=species) if _unclear(c) else c for c in calls)
