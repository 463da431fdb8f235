"""The end of an animal that is on a line: "seal's off", "cut it free". Pure.

Without one on, the same words are talk, a sighting, or about a fish.
"""

from dataclasses import replace
from typing import Final

from bot.calls.language import Language
from bot.calls.meant.facts import is_asked
from bot.calls.understand import Understanding
from bot.trip.acts import RELEASE, SIGHTING, TABLE
from bot.trip.call import NO_CATCH, Call
from bot.trip.state import Trip

SURELY: Final = 0.9
"""Confidence of these words with an animal on; common practice, no source."""
_MOST_WORDS: Final = 10


def off_the_hook(found: Understanding, words: Language, trip: Trip) -> Understanding:
    """Return what was understood, with "seal's off" as the release of the only animal that is on.

    Of "it" only where no fish is on as well.
    """
    there = [fish for fish in trip.fish if fish.was_struck and not fish.is_over]
    animals = [fish for fish in there if not fish.is_catch]
    if len(animals) != 1 or not _may_be(found.calls):
        return found
    line = words.reader.line(found.text)
    named = {sign.name for sign in line.of("animal", "species") if sign.cost == 0.0}
    of_it = named == {animals[0].species} or (not named and len(there) == 1)
    if not of_it or not line.has("came_free") or is_asked(line) or len(line.tokens) > _MOST_WORDS:
        return found
    one = animals[0]
    call = Call(RELEASE, position=one.position, side=one.side, species=one.species)
    sure = max(found.confidence, SURELY)
    return replace(found, calls=(call,), confidence=sure, ask=None, options=(), ways=())


def _may_be(calls: tuple[Call, ...]) -> bool:
    """Return whether calls are none, or a sighting or an end that names no other fish."""
    return all(
        c.act == SIGHTING
        or (TABLE[c.act].stage in ("lost", "caught") and c.species in {None, *NO_CATCH})
        for c in calls
    )
