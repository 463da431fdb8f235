"""A word that is a fish to some crews and a protected animal to others: which is on the hook. Pure."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from bot.calls.phrasing import question
from bot.calls.understand import Option, Understanding
from bot.trip.acts import AMEND, FISH_ACTS
from bot.trip.call import Call
from bot.trip.entry import Entry
from bot.trip.meant import SaidAs
from bot.trip.state import Trip

FISH: Final = {"dolphin": "mahi-mahi"}
"""The animal -> the fish of the same name."""
ASKED: Final = "The fish or the animal? {0}"


def fish_or_animal(found: Understanding, trip: Trip, stood: Sequence[Entry]) -> Understanding:
    """Return what was understood with a "dolphin" on a hook as the fish or the animal, or asked about.

    It is what the crew has meant by the word before, or what is on now where only one of them is.
    """
    words = {one.word for call in found.calls if (one := _unclear(call))}
    if len(words) != 1:
        return found
    (animal,) = words
    known = _known(animal, trip, stood)
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
        ask=ASKED.format(question(both)),
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
