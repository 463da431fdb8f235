"""What a message means, given what is true on the boat. Pure."""

from dataclasses import replace

from bot.calls.meant.attach import with_meanings
from bot.calls.understand import Language, Understanding, understand
from bot.calls.weigh import Hints
from bot.transcript import Transcript
from bot.trip.state import Trip


def understood(transcript: Transcript, words: Language, hints: Hints) -> Understanding:
    """Understand what was heard; as sure as the ear is that it was a call at all."""
    if not transcript.best.strip():
        return Understanding("", (), 0.99)
    found = _with_meanings(understand(transcript, words, hints), words)
    accept = transcript.signals.get("accept", 1.0)
    return replace(found, confidence=min(found.confidence, accept)) if found.calls else found


def _with_meanings(found: Understanding, words: Language) -> Understanding:
    """Return what was understood with what its words mean, in every reading that may be asked about."""
    if not found.calls:
        return found
    options = tuple(
        replace(one, calls=with_meanings(one.calls, found.text, words.reader))
        for one in found.options
    )
    return replace(
        found, calls=with_meanings(found.calls, found.text, words.reader), options=options
    )


def hints_of(trip: Trip) -> Hints:
    """Give what is possible now, for weighing what was heard."""
    return Hints(
        {lure.position: (lure.colours, lure.size_in, lure.lure) for lure in trip.spread.values()},
        trip.is_fishing,
    )
