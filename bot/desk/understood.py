"""What a message means, given what is true on the boat. Pure."""

from dataclasses import replace
from datetime import datetime
from typing import Final

from bot.answers.settle import Act, Doubt, settle
from bot.calls.heard import OPEN, understand_heard
from bot.calls.meant.attach import with_meanings
from bot.calls.understand import Language, Understanding, understand
from bot.calls.weigh import Hints
from bot.transcript import Transcript
from bot.trip.acts import QUESTIONS
from bot.trip.state import Trip

NEAR: Final = 0.85
"""Talk of which one is less sure may have been a call: who waits for an answer is told that it was none."""
_NO_ENTRY: Final = frozenset({"yes", "no", "help"})


def understood(transcript: Transcript, words: Language, hints: Hints) -> Understanding:
    """Understand what was heard; as sure as the ear is that it was a call at all."""
    if not transcript.best.strip():
        return Understanding("", (), 0.99)
    if transcript.engine == OPEN:
        return _with_meanings(understand_heard(transcript, words, hints), words)
    found = _with_meanings(understand(transcript, words, hints), words)
    accept = transcript.signals.get("accept", 1.0)
    return replace(found, confidence=min(found.confidence, accept)) if found.calls else found


def would_do(found: Understanding, transcript: Transcript, at: datetime) -> tuple[str, str | None]:
    """Return what a desk would do in a running trip with nothing asked, and the question it would put.

    One of `logged`, `answered`, `asked`, `refused` (the crew is asked to say it again) and `talk`.
    """
    settled = settle(found, None, None, at, transcript.signals.get("accept", 1.0))
    match settled:
        case Doubt():
            return "asked", settled.question
        case Act():
            answers = all(call.act in QUESTIONS or call.act in _NO_ENTRY for call in found.calls)
            return ("answered" if answers else "logged"), None
        case _ if settled.text:
            return "answered", None
    missed = not transcript.alternatives or (found.confidence < NEAR and bool(found.text))
    return ("refused" if missed else "talk"), None


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
