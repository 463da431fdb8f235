"""What is possible now, and what speaks against a call: the lure in the water, the fish that is on. Pure."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

from bot.calls.assemble import Reading
from bot.calls.usual import NOTHING_USUAL, Usual
from bot.trip.acts import BITES
from bot.trip.call import Call
from bot.trip.encounters import closer_species

CONTRADICTION_WEIGHT: Final = 0.97
"""Weight of a typed call whose lure is not the one logged there; crews often say it so."""
MISHEARD: Final = 0.55
"""The same for a recording: colours are misheard most often, so the call is asked about."""
ODD_COST: Final = 0.35
"""Cost of a reading that needed repair and contradicts what is logged."""


@dataclass(frozen=True, slots=True)
class Hints:
    """What is possible now, for weighing doubtful readings."""

    in_water: Mapping[str, tuple[tuple[str, ...], float | None, str | None]] = field(
        default_factory=dict
    )
    """Position -> colours, size in inches and name of the lure that is out there."""
    fishing: bool = True
    speaker: str = ""
    """Name of the speaker."""
    flags: int = 0
    """What is going on, as bits for the learned reader (`reader.situation.bits`)."""
    crew: frozenset[str] = frozenset()
    """Names of those aboard, as far as they are known."""
    usual: Usual = NOTHING_USUAL
    """What the speaker is used to saying."""
    wants_position: bool = False
    """True where the last thing said aloud was "Which position?"."""
    before: tuple[str, ...] = ()
    """What was said just before, by whomever, the latest last; empty where that is too long ago."""


def plausible(calls: tuple[Call, ...], hints: Hints | None, spoken: bool) -> float:
    """Return a weight for calls by what is possible now: 1 where nothing speaks against them."""
    if hints is None or not any(_contradicts(call, hints) for call in calls):
        return 1.0
    return MISHEARD if spoken else CONTRADICTION_WEIGHT


def oddity(reading: Reading, hints: Hints | None) -> float:
    """Return the cost of a repaired reading that says what cannot be."""
    if hints is None or not any(e.repair for e in reading.path.elements):
        return 0.0
    return ODD_COST if any(_contradicts(call, hints) for call in reading.calls) else 0.0


def _contradicts(call: Call, hints: Hints) -> bool:
    """Return whether a bite is reported on another lure than the one logged at its position."""
    out = hints.in_water.get(call.position or "")
    if call.act not in BITES or out is None:
        return False
    colours, size_in, _ = out
    other_colour = bool(call.colours and colours and not set(call.colours) & set(colours))
    other_size = None not in (call.size_in, size_in) and call.size_in != size_in
    return other_colour or other_size


def with_closer_kinds(calls: tuple[Call, ...], others: Sequence[Call]) -> tuple[Call, ...]:
    """Return calls with the closer name of a kind of fish where another reading of them has it: "tuna"."""
    if [call.act for call in calls] != [call.act for call in others]:
        return calls
    return tuple(
        call.with_slots(species=closer_species(other.species, call.species))
        if call.species
        else call
        for call, other in zip(calls, others, strict=True)
    )
