"""Readings put right by what took a fish or a lure: a shark its toll, an animal in the lines. Pure.

a shark got him -> broken off        caught a turtle -> it is on, and no catch
gannet's tangled in the shotgun -> on there, and nothing is cleared        it's a great white -> a correction
"""

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from bot.calls.meant.reader import Line
from bot.calls.meant.signs import Sign
from bot.calls.reader.labels import URGENT
from bot.calls.reader.situation import bits_of
from bot.calls.weighed import AT_ONCE, WeighedReading
from bot.trip.acts import AMEND, BREAK_OFF, FISH_ACTS, HOOKUP, RELEASE, TABLE
from bot.trip.call import NO_CATCH, Call

_TALK_FROM: Final = 0.96
"""Probability of talk from which such words are a story: "we caught a turtle once"."""
_FISH_ON: Final = bits_of({"fish on"})
_FEW_WORDS: Final = 6
"""Longest line in which an animal that is named is what is on the hook."""
_MOST_WORDS: Final = 14
"""Longest line that such words alone decide."""


def with_animals(
    ways: Sequence[WeighedReading], line: Line, flags: int = 0
) -> tuple[WeighedReading, ...]:
    """Return the readings of a line with what an animal did in it, where its words tell that alone.

    `flags` say what is going on: a fish that is on can be lost.
    """
    if not ways or len(line.tokens) > _MOST_WORDS or _is_cry(ways[0]) or "?" in line.text:
        return tuple(ways)
    surely_talk = not ways[0].calls and ways[0].probability >= _TALK_FROM
    found: tuple[Call, ...] = ()
    if flags & _FISH_ON or not surely_talk:
        found = _taken(ways, line) or (_cut_away(line) if flags & _FISH_ON else ())
    if not found and not surely_talk:
        found = _in_the_lines(line) or _it_is(ways, line)
    if not found:
        animal = _animal(line) if len(line.tokens) <= _FEW_WORDS else None
        return tuple(_named(way, animal.name) for way in ways) if animal else tuple(ways)
    rest = tuple(way for way in ways if way.calls and way.calls != found)
    return (WeighedReading(found, AT_ONCE, "grammar"), *rest)


def _is_cry(way: WeighedReading) -> bool:
    return any(call.act in URGENT for call in way.calls)


def _taken(ways: Sequence[WeighedReading], line: Line) -> tuple[Call, ...]:
    """Return the loss of a fish that a shark took, with its line and what it was, where these are said."""
    said = line.first("sharked", "said")
    if said is None or said.cost > 0.0 or line.has("sharked", "denied"):
        return ()
    best = ways[0].calls
    if any(TABLE[call.act].stage in ("lost", "missed") for call in best) and len(best) > 1:
        return ()
    lost = next((call for way in ways for call in way.calls if call.act == BREAK_OFF), None)
    return (_without_shark(lost) if lost is not None else _at_its_line(Call(BREAK_OFF), line),)


def _cut_away(line: Line) -> tuple[Call, ...]:
    """Return the end of the fish that is on where the line was cut: lost, or let go where that is said."""
    if not line.has("cut_away", "said") or line.has("sharked", "denied"):
        return ()
    act = RELEASE if line.has("cut_away", "freed") else BREAK_OFF
    species = {sign.name for sign in line.of("animal", "species") if sign.cost == 0.0}
    call = _at_its_line(Call(act), line)  # type: ignore[arg-type]
    return (call.with_slots(species=species.pop()) if len(species) == 1 else call,)


def _without_shark(call: Call) -> Call:
    took = (call.species or "").split()[-1:] == ["shark"]
    return call.with_slots(species=None) if took else call


def _in_the_lines(line: Line) -> tuple[Call, ...]:
    """Return the animal that is caught in the lines, where a line says that and begins with it."""
    animal = _animal(line)
    if animal is None:
        return ()
    before = line.at(0, "snagged", "before")
    behind = line.at(animal.end, "snagged", "behind")
    opens = animal.start == 0 or line.at(0, "snagged", "opens") is not None
    caught = before is not None and before.cost == 0.0 and before.end == animal.start
    if not caught and not (behind is not None and behind.cost == 0.0 and opens):
        return ()
    return (_at_its_line(Call(HOOKUP, species=animal.name), line),)


def _it_is(ways: Sequence[WeighedReading], line: Line) -> tuple[Call, ...]:
    """Return what the fish turns out to be, where the readings have another name for it."""
    animal, opens = _animal(line), line.at(0, "it_is", "opens")
    whole = animal is not None and opens is not None and opens.end == animal.start
    if animal is None or not whole or animal.end != len(line.tokens):
        return ()
    told = any(animal.name in (call.species, call.what) for way in ways for call in way.calls)
    return () if told else (Call(AMEND, species=animal.name),)


def _named(way: WeighedReading, animal: str) -> WeighedReading:
    """Return a reading in which what is on a hook is the animal that the line names, and no fish."""
    if any(call.what or call.species for call in way.calls):
        return way
    calls = tuple(
        call.with_slots(species=animal) if _takes_name(call) else call for call in way.calls
    )
    return replace(way, calls=calls) if calls != way.calls else way


def _takes_name(call: Call) -> bool:
    return call.act in FISH_ACTS and "species" in TABLE[call.act].takes


def _animal(line: Line) -> Sign | None:
    """Return the only animal that a line names and that is no catch; None where there is none."""
    named = [sign for sign in line.of("animal", "species") if sign.cost == 0.0]
    animals = [sign for sign in named if sign.name in NO_CATCH and sign.name != "dolphin"]
    return animals[0] if len(animals) == 1 == len(named) else None


def _at_its_line(call: Call, line: Line) -> Call:
    lines = {sign.name for sign in line.of("position")}
    return call.with_slots(position=lines.pop()) if len(lines) == 1 else call
