"""What a message means, given what is true on the boat. Pure."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta, tzinfo
from typing import Final

from bot.answers.open_questions import STALE_AFTER
from bot.answers.view import View
from bot.calls.expected import with_positions
from bot.calls.heard import OPEN, understand_heard
from bot.calls.language import Language
from bot.calls.likely_words import in_likely_order
from bot.calls.meant.attach import other_meanings, with_meanings
from bot.calls.meant.measured import with_units
from bot.calls.meant.times_said import with_time_in_front
from bot.calls.meant.undone import without_yesterday
from bot.calls.phrasing import all_in_words, question
from bot.calls.pointed import NOTHING, Referents
from bot.calls.pointing import resolve_pointing
from bot.calls.reader.labels import NEEDS_POSITION, OF_A_LURE
from bot.calls.reader.situation import bits
from bot.calls.subject import Subject, head_and_clauses, subjects_of
from bot.calls.understand import Option, Understanding, understand
from bot.calls.weigh import Hints
from bot.desk.next_morning import put_right_yesterday
from bot.desk.settle import Act, Doubt, open_question, settle
from bot.replies.refusals import none_without_fish
from bot.transcript import Transcript, typed_transcript
from bot.trip.acts import AMEND, BITES, CAUGHT, ENDINGS, LAYING, QUESTIONS, TAKES
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
UNSURE: Final = 0.4
"""Probability of a correction of which a part was not understood, so that it is asked about."""
TELL_OF_IT: Final = frozenset({"species", "weight_kg", "length_cm", "tag", "count"})
"""What is said of a fish with "is" and is no news of it."""
_OF_A_LURE: Final = frozenset({"colours", "lure", "head"})
"""What tells that a number beside it is the length of a lure."""
_NO_ENTRY: Final = frozenset({"yes", "no", "help"})
FRESH: Final = timedelta(minutes=10)
"""How long the last entry counts as what is going on; the reader is trained with it."""


def understand_transcript(
    transcript: Transcript, words: Language, hints: Hints, place: Referents | None = None
) -> Understanding:
    """Return a transcript as calls, no surer than the ear is that it was a call at all.

    `place` is what the words may point at; the text stays as it was said.
    """
    if not transcript.best.strip():
        return Understanding("", (), 0.99)
    if transcript.engine == OPEN:
        transcript = in_likely_order(transcript, words)
    if hints.wants_position and transcript.is_spoken:
        transcript = with_positions(transcript, words)
    said = {
        resolve_pointing(words.in_full(a.text), words.grammar, place) if place else a.text: a.text
        for a in reversed(transcript.alternatives)
    }
    meant = {text: new for new, text in said.items()}
    alternatives = tuple(
        replace(a, text=meant.get(a.text, a.text)) for a in transcript.alternatives
    )
    pointing = replace(transcript, alternatives=alternatives)
    found, fish = _of_fish(pointing, words, hints) or (_read(pointing, words, hints), ())
    if fish and place is None:  # no trip that could have the fish: "wahoo ate the rusty nail"
        whole = _read(pointing, words, hints)
        if _is_surely_a_bite(whole):
            found, fish = whole, ()
    fish = fish or _of_the_speakers(found, words, hints) or _of_the_denied(found, words)
    if not found.calls and (rest := without_yesterday(found.text, words.reader)):
        again = understand(typed_transcript(rest), words, replace(hints, before=()))
        said_back = with_units(again.calls, words.reader.line(rest))
        found = put_right_yesterday(found, again, all_in_words(said_back))
    if found.text == NOTHING and not found.calls:
        found = replace(found, refusal=none_without_fish())
    found = _with_meanings(replace(found, text=said.get(found.text, found.text)), words)
    found = _of_them(found, fish) if fish else found
    if transcript.engine == OPEN:
        return found
    accept = transcript.signals.get("accept", 1.0)
    return replace(found, confidence=min(found.confidence, accept)) if found.calls else found


def in_units_of_the_trip(
    found: Understanding, before: View, at: datetime, tz: tzinfo
) -> Understanding:
    """Return what was understood with bare weights in the unit in which the trip's or the boat's were said.

    A question names times in the half of the day that is meant: "at 14:20?" for "at twenty past two".
    """

    def weighed(call: Call) -> Call:
        usual = "pound" if before.units.imperial else None
        return in_unit_of_the_trip(call, before.stood, usual)

    def told(calls: tuple[Call, ...]) -> tuple[Call, ...]:
        in_unit = [call if call.weight_kg is None else weighed(call) for call in calls]
        if found.ask is None:
            return tuple(in_unit)
        return tuple(in_half_of_the_day(call, at, tz, before.trip.started) for call in in_unit)

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
) -> tuple[Understanding, tuple[OfFish | None, ...]] | None:
    """Return a line that puts right the fish that it names, and these call by call; None for any other line.

    What is said of the fish is read as of "it": "the mahi at ten was a blue" as "it was a blue".
    """
    parts = subjects_of(transcript.best, words, hints.crew, hints.speaker)
    if ended := _ended(transcript, parts, words, hints):
        return ended, ()
    if any(part.fish.order and part.fish.is_now for part in parts):
        whole = _read(transcript, words, hints)  # "the second one's on, long corner" is one more
        if _is_surely_a_bite(whole):
            return None
    read = [_of_it(transcript, part.said, words, hints) for part in parts]
    found: list[tuple[Understanding, OfFish | None]] = []
    for one, part in zip(read, parts, strict=True):
        if _puts_right(one.calls, part.fish):
            found.append((one, part.fish))
        elif (told := _with_its_end(transcript, part, words, hints)) is not None:
            found += told
        else:
            return None
    if not found:
        return None
    calls = tuple(call for one, _ in found for call in one.calls)
    sure = min(one.confidence for one, _ in found)
    ask = next((one.ask for one, _ in found if one.ask is not None), None)
    whole = Understanding(transcript.best, calls, sure, ask)
    return whole, tuple(fish for one, fish in found for _ in one.calls)


def _is_surely_a_bite(found: Understanding) -> bool:
    return found.confidence >= SURELY and any(call.act in BITES for call in found.calls)


def _with_its_end(
    transcript: Transcript, part: Subject, words: Language, hints: Hints
) -> list[tuple[Understanding, OfFish | None]] | None:
    """Return what a line says of a fish and, behind it, of how that one or another ended; None for any other.

    "The one on the gun was the wahoo, gaffed at 9:52; Ruth's threw the hook": a name, then the endings.
    """
    head, clauses = head_and_clauses(part.said)
    first = _of_it(transcript, head, words, hints)
    if not clauses or not _puts_right(first.calls, part.fish):
        return None
    found: list[tuple[Understanding, OfFish | None]] = []
    unread = False
    for n, clause in enumerate(clauses):
        one = _of_it(transcript, clause, words, hints)
        if not one.calls or one.confidence < SURELY or any(c.act not in ENDINGS for c in one.calls):
            unread = True
            continue
        here = one.calls[0].with_slots(position=one.calls[0].position or part.fish.position)
        own = n == 0 and one.calls[0].angler is None
        calls = (here, *one.calls[1:]) if own else one.calls
        found.append((replace(one, calls=calls, ask=None, options=()), None))
    if unread and _read(transcript, words, hints).calls:
        return None
    if unread:  # half of it is asked about, not dropped
        first = replace(first, ask=question((first.calls,)), confidence=UNSURE)
    return [*found, (first, part.fish)]  # its name belongs to the ending that is its own


def _of_the_speakers(
    found: Understanding, words: Language, hints: Hints
) -> tuple[OfFish | None, ...]:
    """Return the fish of "mine jumped, it's a mahi": the one on whose rod the speaker is; else none."""
    line = words.reader.line(found.text)
    mine = line.at(0, "about_fish", "of_mine") if line.lattice.size else None
    alone = len(found.calls) == 1 and found.calls[0].act == AMEND
    if mine is None or not hints.speaker or not alone:
        return ()
    own = {"angler"} if found.calls[0].angler == hints.speaker else set()
    said = found.calls[0].said().keys() - own
    if "species" not in said or not said <= TELL_OF_IT:
        return ()
    return (OfFish(angler=hints.speaker, is_now=True),)


def _of_the_denied(found: Understanding, words: Language) -> tuple[OfFish | None, ...]:
    """Return the fish of "that was not a shark, a bonito": the one that was called a shark; else none."""
    alone = len(found.calls) == 1 and found.calls[0].act == AMEND
    if not alone or found.calls[0].said().keys() != {"species"}:
        return ()
    line = words.reader.line(found.text)
    ends = {sign.end for sign in line.of("about_fish") if sign.name == "is_not"}
    denied = {s.name for s in line.of("species") if s.start in ends} - {found.calls[0].species}
    return tuple(OfFish(species=name, is_wrong=True) for name in denied) if len(denied) == 1 else ()


def _ended(
    transcript: Transcript, parts: Sequence[Subject], words: Language, hints: Hints
) -> Understanding | None:
    """Return the ending of a fish that is named by its line or its angler; None where it is none.

    "Mine was on the short rigger, eleven kilos in the box" says what became of it, not what was wrong.
    """
    if len(parts) != 1 or parts[0].fish.ended is not None or parts[0].fish.clock is not None:
        return None
    if parts[0].is_of_the_angler:
        return None
    whole, fish = _read(transcript, words, hints), parts[0].fish
    ends = [call for call in whole.calls if call.act in ENDINGS]
    rest = [call for call in whole.calls if call.act not in ENDINGS]
    if len(ends) != 1 or whole.confidence < SURELY or any(not _names_only(c) for c in rest):
        return None
    told = {name: value for call in (*rest, *ends) for name, value in call.said().items()}
    told |= {} if ends[0].angler or fish.angler is None else {"angler": fish.angler}
    kept = {name: value for name, value in told.items() if name in TAKES[ends[0].act]}
    return replace(whole, calls=(ends[0].with_slots(**kept),), ask=None, options=())


def _names_only(call: Call) -> bool:
    """Return whether a correction only names the fish of an ending beside it."""
    return call.act == AMEND and call.said().keys() <= {"position", "side", "species", "angler"}


def _of_it(transcript: Transcript, said: str, words: Language, hints: Hints) -> Understanding:
    alternatives = (replace(transcript.alternatives[0], text=said),)
    return _read(replace(transcript, alternatives=alternatives), words, hints)


def _of_them(found: Understanding, fish: Sequence[OfFish | None]) -> Understanding:
    """Return corrections with the fish that they are about, which leaves little doubt that they are such."""
    pairs = zip(found.calls, fish, strict=True)
    calls = tuple(
        call if one is None else replace(call, meant=(*call.meant, one)) for call, one in pairs
    )
    ask = None if found.ask is None or found.confidence >= SURELY else question((calls,))
    return replace(found, calls=calls, ask=ask, options=(Option(calls, found.confidence),))


def _puts_right(calls: Sequence[Call], fish: OfFish) -> bool:
    """Return whether calls only say what is right of a fish; what is now may be news of it."""
    if not calls or any(call.act != AMEND or not call.said() for call in calls):
        return False
    if any("size_in" in call.said() and not call.said().keys() & _OF_A_LURE for call in calls):
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

    def told(calls: tuple[Call, ...]) -> tuple[Call, ...]:
        meant = with_meanings(calls, found.text, words.reader)
        if len(meant) < 2:
            return meant
        return with_time_in_front(meant, words.reader.line(found.text))

    options = tuple(replace(one, calls=told(one.calls)) for one in found.options)
    return replace(
        found,
        calls=told(found.calls),
        options=options,
        meant=other_meanings(found.text, words.reader),
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
    mine = next((e for e in reversed(stood) if speaker and speaker in e.callers), None)
    waits = (last if fresh else None, mine)
    wants_position = any(_wants_position(entry, open_now, now) for entry in waits)
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
    callers = (name for entry in stood for name in entry.callers)
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
        if call.act in NEEDS_POSITION and call.position is None:
            return "position"
        if call.act in OF_A_LURE and not call.names_lure:
            return "lure"
    return "call"
