"""Short lines that the networks may take for talk, and what they are all the same. Pure.

birds -> seen         long rigger, while a line is asked -> the line that is meant         srtike -> a strike?
no that was just weed, right after a bite -> no bite        mine mine mine -> the speaker has the rod
"""

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Final

from bot.calls.assemble import Reading
from bot.calls.meant.reader import Line
from bot.calls.reader.labels import BITE, LAST, RAISE
from bot.calls.reader.situation import bits_of
from bot.calls.weighed import AT_ONCE, MOST_FOR_A_GUESS, WeighedReading
from bot.trip.acts import AMEND, ANGLER, ENDINGS, LOST, MISSED, SIGHTING, TABLE, UNDO
from bot.trip.call import Call

CLEAN: Final = 0.2
"""Highest cost of a reading without repair."""
FAINT: Final = 0.35
"""Probability up to which a call is not even asked about."""
SIGHTING_CHANCE: Final = 0.97
"""Probability given to a word for a thing that is seen."""
FEW: Final = 3
"""Most words of a line that is all an answer to what was asked: "the long one"."""
LONGEST_CLAIM: Final = 8
"""Most words of a line in which somebody claims a rod."""
QUESTION_OPEN: Final = bits_of({"asked"})
"""Set where the program has asked something."""
_SEEN: Final = bits_of({LAST[RAISE]})
_ON: Final = bits_of({"fish on"})
_FISH: Final = bits_of({"fish on", LAST[BITE]})
_BITTEN: Final = bits_of({LAST[BITE]})
_OVER: Final = bits_of({LAST.get(act, "") for act in ENDINGS})
_NAMELESS: Final = bits_of({"fish on", *(LAST.get(act, "") for act in LOST)})
_ANIMAL: Final = "shark"
"""Kinds that may as well be called because they come to the fish."""


def short_line(
    ways: Sequence[WeighedReading], ranked: Sequence[Reading], line: Line, flags: int,
    speaker: str, misspelt: Callable[[], tuple[Call, ...]],
) -> tuple[WeighedReading, ...]:  # fmt: skip
    """Return the readings of a line, with that of one word before the talk for which it was taken.

    `ranked` are the grammar's readings, best first; `misspelt` returns the calls of the nearest word.
    """
    size = len(line.tokens)
    places = [s for s in line.of("position") if (s.start, s.end) == (0, size) and s.cost == 0.0]
    if flags & QUESTION_OPEN and places:
        return (WeighedReading((Call(AMEND, position=places[0].name),), AT_ONCE, "grammar"),)
    if flags & QUESTION_OPEN and size <= FEW:
        for way in ways:
            if [c.act for c in way.calls] == [AMEND] and set(way.calls[0].said()) == {"position"}:
                return (replace(way, probability=AT_ONCE), *(w for w in ways if w is not way))
    if flags & _BITTEN and any(s[:4] == ("no_bite", "nothing", 0, size) for s in line.signs):
        return (WeighedReading((Call(UNDO),), AT_ONCE, "grammar"),)
    if flags & _FISH and speaker and (claim := line.at(0, "claims", "mine")):
        goes_on = claim.end == size or line.tokens[claim.end].stop
        if goes_on and size <= LONGEST_CLAIM and "?" not in line.text and not _is_news(ways):
            return (WeighedReading((Call(ANGLER, angler=speaker),), AT_ONCE, "grammar"),)
    if (
        flags & _OVER
        and speaker
        and any(s[:4] == ("claims", "was_mine", 0, size) for s in line.signs)
    ):
        return (WeighedReading((Call(AMEND, angler=speaker),), AT_ONCE, "grammar"),)
    if flags & _NAMELESS and "?" not in line.text and (name := _only_a_fish(line)):
        named = WeighedReading((Call(AMEND, species=name),), AT_ONCE, "grammar")
        ways = tuple(ways) if _calls(ways) else (named,)
    if flags & _ON and "?" not in line.text and not _calls(ways):
        missed = [r.calls for r in ranked[:1] if r.cost <= CLEAN and size <= FEW]
        if any(len(calls) == 1 and calls[0].act in MISSED for calls in missed):
            ways = (WeighedReading(missed[0], MOST_FOR_A_GUESS, "grammar"),)
    if flags & _SEEN and not line.has("of_bite"):
        ways = tuple(replace(way, calls=_bitten(way.calls)) for way in ways)
    best = _likeliest(ways)
    if size != 1 or best is None or (best.calls and best.probability > FAINT):
        return tuple(ways)
    seen = next((r.calls for r in ranked[:1] if r.cost <= CLEAN), ())
    if [call.act for call in seen] == [SIGHTING]:
        return (WeighedReading(seen, SIGHTING_CHANCE, "grammar"),)
    meant = misspelt()
    return (WeighedReading(meant, MOST_FOR_A_GUESS, "grammar"),) if meant else tuple(ways)


def _likeliest(ways: Sequence[WeighedReading]) -> WeighedReading | None:
    return max(ways, key=lambda way: way.probability, default=None)


def _calls(ways: Sequence[WeighedReading]) -> tuple[Call, ...]:
    """Return the calls of the likeliest reading."""
    best = _likeliest(ways)
    return best.calls if best is not None else ()


def _only_a_fish(line: Line) -> str | None:
    """Return the kind of fish that a line names and says nothing else; None for any other line."""
    size = len(line.tokens)
    found = {s.name for s in line.of("species") if (s.start, s.end, s.cost) == (0, size, 0.0)}
    name = found.pop() if len(found) == 1 else ""
    return name if name and not name.endswith(_ANIMAL) else None


def _bitten(calls: tuple[Call, ...]) -> tuple[Call, ...]:
    """Return no miss of a fish that only came up to look, where nobody speaks of a bite."""
    return () if len(calls) == 1 and calls[0].act in MISSED and not calls[0].position else calls


def _is_news(ways: Sequence[WeighedReading]) -> bool:
    """Return whether a reading has something befall a fish: "mine, he's off"."""
    return any(TABLE[call.act].stage is not None for call in _calls(ways))
