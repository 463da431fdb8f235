"""What a message means, given what is true on the boat. Pure."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta, tzinfo
from typing import Final

from bot.answers.open_questions import STALE_AFTER
from bot.calls.expected import with_positions
from bot.calls.heard import OPEN, understand_heard
from bot.calls.language import Language
from bot.calls.meant.attach import meanings_beside, with_meanings
from bot.calls.meant.measured import with_units
from bot.calls.meant.undone import without_yesterday
from bot.calls.phrasing import all_in_words, question
from bot.calls.pointed import Pointed
from bot.calls.pointing import resolved
from bot.calls.reader.labels import OF_A_LURE, PLACED
from bot.calls.reader.situation import bits
from bot.calls.subject import subjects_of
from bot.calls.understand import Option, Understanding, understand
from bot.calls.weigh import Hints
from bot.desk.next_morning import put_right_yesterday
from bot.desk.settle import Act, Doubt, open_question, settle
from bot.transcript import Transcript, typed
from bot.trip.acts import AMEND, BITES, CAUGHT, LAYING, QUESTIONS
from bot.trip.call import Call
from bot.trip.entry import Asked, Entry
from bot.trip.meant import OfFish
from bot.trip.other_units import in_unit_of_the_trip
from bot.trip.state import Trip
from bot.trip.times import in_half_of_the_day

NEAR: Final = 0.85
"""Confidence below which talk may have been a call: a speaker who waits for an answer is told so."""
SURELY: Final = 0.5
"""Probability from which a correction is made whose fish is named."""
TELL_OF_IT: Final = frozenset({"species", "weight_kg", "length_cm", "tag", "count"})
"""What is said of a fish with "is" and is no news of it."""
_NO_ENTRY: Final = frozenset({"yes", "no", "help"})
FRESH: Final = timedelta(minutes=10)
"""How long the last entry counts as what is going on; the reader is trained with it."""


def understood(
    transcript: Transcript, words: Language, hints: Hints, place: Pointed | None = None
) -> Understanding:
    """Return a transcript as calls, no surer than the ear is that it was a call at all.

    `place` is what the words may point at; the text stays as it was said.
    """
    if not transcript.best.strip():
        return Understanding("", (), 0.99)
    if hints.wants_position and transcript.spoken:
        transcript = with_positions(transcript, words)
    said = {
        resolved(words.in_full(a.text), words.grammar, place) if place else a.text: a.text
        for a in reversed(transcript.alternatives)
    }
    meant = {text: new for new, text in said.items()}
    alternatives = tuple(
        replace(a, text=meant.get(a.text, a.text)) for a in transcript.alternatives
    )
    pointing = replace(transcript, alternatives=alternatives)
    found, fish = _of_fish(pointing, words, hints) or (_read(pointing, words, hints), ())
    if not found.calls and (rest := without_yesterday(found.text, words.reader)):
        again = understand(typed(rest), words, hints)
        said_back = with_units(again.calls, words.reader.line(rest))
        found = put_right_yesterday(found, again, all_in_words(said_back))
    found = _with_meanings(replace(found, text=said.get(found.text, found.text)), words)
    found = _of_them(found, fish) if fish else found
    if transcript.engine == OPEN:
        return found
    accept = transcript.signals.get("accept", 1.0)
    return replace(found, confidence=min(found.confidence, accept)) if found.calls else found


def in_units_of_the_trip(
    found: Understanding, stood: Sequence[Entry], trip: Trip, at: datetime, tz: tzinfo
) -> Understanding:
    """Return what was understood with bare weights in the unit in which the trip's were said.

    A question names times in the half of the day that is meant: "at 14:20?" for "at twenty past two".
    """

    def told(calls: tuple[Call, ...]) -> tuple[Call, ...]:
        in_unit = (in_unit_of_the_trip(call, stood) for call in calls)
        if found.ask is None:
            return tuple(in_unit)
        return tuple(in_half_of_the_day(call, at, tz, trip.started) for call in in_unit)

    options = tuple(replace(one, calls=told(one.calls)) for one in found.options)
    if told(found.calls) == found.calls and options == found.options:
        return found
    ask = None if found.ask is None else question([one.calls for one in options])
    return replace(found, calls=told(found.calls), options=options, ask=ask)


def _read(transcript: Transcript, words: Language, hints: Hints) -> Understanding:
    reads = understand_heard if transcript.engine == OPEN else understand
    return reads(transcript, words, hints)


def _of_fish(
    transcript: Transcript, words: Language, hints: Hints
) -> tuple[Understanding, tuple[OfFish, ...]] | None:
    """Return a line that puts right the fish that it names, and these call by call; None for any other line.

    What is said of the fish is read as of "it": "the mahi at ten was a blue" as "it was a blue".
    """
    parts = subjects_of(transcript.best, words, hints.crew, hints.speaker)
    found = [_of_it(transcript, part.said, words, hints) for part in parts]
    calls = tuple(call for one in found for call in one.calls)
    right = (_puts_right(one.calls, part.fish) for one, part in zip(found, parts, strict=True))
    if not parts or not all(right):
        return None
    sure = min(one.confidence for one in found)
    ask = next((one.ask for one in found if one.ask is not None), None)
    whole = Understanding(transcript.best, calls, sure, ask)
    pairs = zip(found, parts, strict=True)
    return whole, tuple(part.fish for one, part in pairs for _ in one.calls)


def _of_it(transcript: Transcript, said: str, words: Language, hints: Hints) -> Understanding:
    alternatives = (replace(transcript.alternatives[0], text=said),)
    return _read(replace(transcript, alternatives=alternatives), words, hints)


def _of_them(found: Understanding, fish: Sequence[OfFish]) -> Understanding:
    """Return corrections with the fish that they are about, which leaves little doubt that they are such."""
    pairs = zip(found.calls, fish, strict=True)
    calls = tuple(replace(call, meant=(*call.meant, one)) for call, one in pairs)
    ask = None if found.ask is None or found.confidence >= SURELY else question((calls,))
    return replace(found, calls=calls, ask=ask, options=(Option(calls, found.confidence),))


def _puts_right(calls: Sequence[Call], fish: OfFish) -> bool:
    """Return whether calls only say what is right of a fish; what is now may be news of it."""
    if not calls or any(call.act != AMEND or not call.said() for call in calls):
        return False
    if any("size_in" in call.said() for call in calls):
        return False  # a number without its unit
    return not fish.is_now or all(call.said().keys() & TELL_OF_IT for call in calls)


def would_do(found: Understanding, transcript: Transcript, at: datetime) -> tuple[str, str | None]:
    """Return what a desk would do in a running trip without an open question, and what it would ask.

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
    """Return what was understood with the meanings of its words, in every reading that may be offered."""
    options = tuple(
        replace(one, calls=with_meanings(one.calls, found.text, words.reader))
        for one in found.options
    )
    return replace(
        found,
        calls=with_meanings(found.calls, found.text, words.reader),
        options=options,
        meant=meanings_beside(found.text, words.reader),
    )


def hints_of(
    trip: Trip,
    stood: Sequence[Entry] = (),
    asked: Asked | None = None,
    now: datetime | None = None,
    speaker: str = "",
) -> Hints:
    """Return the hints for weighing what was heard."""
    on = sum(max(1, fish.count) for fish in trip.fish_on)
    last = stood[-1] if stood else None
    fresh = last is not None and now is not None and now - last.at <= FRESH
    open_now = open_question(asked, now) if now is not None else None
    wants_position = _wants_position(last if fresh else None, open_now, now)
    about = _about(open_now) if open_now else "position" if wants_position else ""
    return Hints(
        {lure.position: (lure.colours, lure.size_in, lure.lure) for lure in trip.spread.values()},
        trip.is_fishing,
        speaker,
        bits(
            on,
            trip.is_fishing or not trip.is_open,
            last.call.act if last is not None and fresh else "",
            about,
        ),
        wants_position=wants_position,
        crew=_crew(stood),
    )


def _crew(stood: Sequence[Entry]) -> frozenset[str]:
    """Return the names of everybody who called or was on a rod, in small letters."""
    callers = (name for entry in stood for name in entry.crew.split(", "))
    anglers = (entry.call.angler for entry in stood)
    return frozenset(name.casefold() for name in (*callers, *anglers) if name)


def _wants_position(last: Entry | None, asked: Asked | None, now: datetime | None) -> bool:
    """Return whether the crew has just been asked for a position, by a question or after a bite."""
    if asked is not None:
        return _about(asked) == "position"
    if last is None or now is None or now - last.at > STALE_AFTER:
        return False
    one = last.call.act in CAUGHT and (last.call.count or 1) == 1
    asks = one or last.call.act in BITES or last.call.act in LAYING
    return asks and last.call.position is None


def _about(asked: Asked) -> str:
    """Return what an open question is about: a position, a lure, or anything else."""
    calls = [call for option in asked.options for call in option]
    if len(asked.options) == 1 and len(calls) == 1:
        [call] = calls
        if call.act in PLACED and call.position is None:
            return "position"
        if call.act in OF_A_LURE and not call.names_lure:
            return "lure"
    return "call"
