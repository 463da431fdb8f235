"""What a line takes back by name: a false alarm, or a kept reminder, which it may also move. Pure.

A "false alarm" takes back an emergency or the bite called just now, nothing else; a reminder is known by what
it reminds of.
"""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta, tzinfo
from typing import Final

from bot.answers.view import View
from bot.calls.language import Language
from bot.calls.meant.reader import Line
from bot.calls.meant.reminder import NewTime, cancelled_in, moved_in, of_the_list
from bot.calls.meant.signs import Sign
from bot.calls.reader.labels import URGENT
from bot.calls.understand import Understanding, understand
from bot.desk.since import was_just_asked
from bot.reminders.due import due_at, reminders_of
from bot.replies.amounts import clock
from bot.transcript import Transcript, typed_transcript
from bot.trip.acts import BITES, MISS, NOTE, TABLE, UNDO
from bot.trip.call import Call
from bot.trip.corrections import NO_TROUBLE, undo_of
from bot.trip.entry import Entry
from bot.trip.meant import AsksAbout, CancelsReminder, NothingOn, Reminder, meaning
from bot.trip.state import Trip

JUST_CALLED: Final = timedelta(minutes=10)
"""How long a bite may have been a false alarm."""
JUST_HOOKED: Final = timedelta(minutes=2)
"""How soon after a hook-up "no fish" means that it never was one; common practice, no source."""
NOTHING_LOGGED: Final = "False alarm: nothing is logged."
NO_BITE: Final = "No bite was called there just now."
SURELY: Final = 0.95
"""Confidence of an undo in these very words."""
LastQuestion = tuple[datetime, tuple[Call, ...]] | None
NAMED_REMINDER_CONFIDENCE: Final = 0.97
"""Confidence that a kept reminder is meant by its name; common practice, no source."""
JUST_SAID: Final = timedelta(minutes=30)
"""How long after its time a reminder can still be moved; common practice, no source."""


def of_false_alarm(
    found: Understanding, words: Language, stood: Sequence[Entry], at: datetime
) -> Understanding:
    """Return what was understood with "false alarm" as the undo of what was one, or as a refusal.

    A cry that is called off in the same breath is none; a line that calls anything besides stays as it is.
    """
    line = words.reader.line(found.text)
    said = next((s for s in line.signs if s[:2] == ("false_alarm", "said")), None)
    if said is None or said.cost > 0.0:
        return found
    urgent = bool(found.calls) and all(call.act in URGENT for call in found.calls)
    denied = line.has("false_alarm", "denied")
    if not urgent and any(not _is_plain(call) for call in found.calls):
        return found
    cry = _cry(line, said, words)
    if urgent:
        return _refused(found, NOTHING_LOGGED) if cry and not denied else found
    if denied:
        return replace(cry or found, text=found.text, calls=cry.calls if cry else (), ask=None)
    trouble = [e for e in stood if TABLE[e.call.act].form == "trouble"]
    if cry and not (trouble and at - trouble[-1].at <= JUST_CALLED):
        return _refused(found, NOTHING_LOGGED)
    if not found.calls:
        return found
    places = {sign.name for sign in line.of("position")}
    bites = [e for e in stood if e.call.act in BITES and at - e.at <= JUST_CALLED]
    there = [e for e in bites if e.call.position in places]
    if places and trouble[-1:] != list(stood[-1:]):
        return _taken(found, there[-1]) if there else _refused(found, NO_BITE)
    if trouble:
        kinds = {sign.name for sign in line.of("trouble_kind") if sign.cost == 0.0}
        named = [e for e in trouble if e.call.what in kinds]
        if kinds and not named:
            return _refused(found, NO_TROUBLE)
        return _taken(found, (named or trouble)[-1])
    if bites and bites[-1] is stood[-1]:
        return _taken(found, bites[-1])
    return _refused(found, NO_TROUBLE)


def of_never_on(
    found: Understanding, trip: Trip, stood: Sequence[Entry], at: datetime
) -> Understanding:
    """Return "no fish" right after a hook-up as what takes it back: a miss of its bite, or an undo.

    Later in the fight, or with another fish on, the crew is asked what became of it.
    """
    if meaning(found.meant, NothingOn) is None or found.calls or len(trip.fish_on) != 1:
        return found
    fish, last = trip.fish_on[0], stood[-1]
    hooked = last.id in fish.entries and TABLE[last.call.act].stage == "on"
    if not hooked or fish.count > 1 or not timedelta() <= at - last.at <= JUST_HOOKED:
        return found
    if fish.struck_at is None:
        return _taken(found, last)
    missed = Call(MISS, position=fish.position, side=fish.side)
    return replace(_taken(found, last), calls=(missed,))


def _is_plain(call: Call) -> bool:
    """Return whether a call takes back no entry that it names, but trouble."""
    of_act = call.of_act is None or TABLE[call.of_act].form == "trouble"
    named = call.of_clock or call.of_position or call.of_species or call.meant
    return call.act == UNDO and of_act and not named


def _cry(line: Line, said: Sign, words: Language) -> Understanding | None:
    """Return the cry for help that stands before the words that call it off; None where there is none."""
    ends = [n for n in range(1, said.start) if line.tokens[n].stop]
    parts = (line.text[: line.tokens[n].start] for n in (*ends, said.start) if n)
    heard = (understand(typed_transcript(part), words) for part in parts)
    return next((one for one in heard if any(c.act in URGENT for c in one.calls)), None)


def _taken(found: Understanding, entry: Entry) -> Understanding:
    return replace(
        found, calls=(undo_of(entry),), confidence=max(found.confidence, SURELY), ask=None,
        options=(), ways=(),
    )  # fmt: skip


def _refused(found: Understanding, why: str) -> Understanding:
    return replace(found, calls=(), ask=None, options=(), ways=(), refusal=why)


def of_a_reminder(
    transcript: Transcript, words: Language, before: View, now: datetime, asked: LastQuestion
) -> Understanding | None:
    """Return what a line does to a kept reminder that it names ("cancel the ice"), or None.

    `asked` are the calls that asked something last, and when.
    """
    trip, tz = before.trip, before.tz
    sure = min(NAMED_REMINDER_CONFIDENCE, transcript.signals.get("accept", 1.0))
    cancels = cancelled_in(words.reader.line(transcript.best), words.reader)
    if cancels is not None and _was_listed(before, now, asked):
        cancels = of_the_list(cancels, words.reader)
    if cancels is not None and cancels.about:
        kept = any(cancels.is_of(one) for _, one in reminders_of(trip))
        if kept or cancels.is_named:
            return Understanding(transcript.best, (Call(UNDO, meant=(cancels,)),), sure)
    moved = moved_in(words.reader.line(transcript.best), words.reader)
    calls = _moved(moved, trip, now, tz) if moved is not None else ()
    return Understanding(transcript.best, calls, sure) if calls else None


def _was_listed(before: View, now: datetime, asked: LastQuestion) -> bool:
    """Return whether the list of reminders was read just now, and nothing logged since."""
    if asked is None or not was_just_asked(asked[0], before.stood, now):
        return False
    about = [one.what for call in asked[1] if (one := call.meaning(AsksAbout)) is not None]
    return "reminders" in about


def _moved(moved: NewTime, trip: Trip, now: datetime, tz: tzinfo) -> tuple[Call, ...]:
    """Return the calls that put a reminder with a new time in place of the one that is kept."""
    named = CancelsReminder(moved.about, is_named=True)
    for note, kept in reversed(list(reminders_of(trip))):
        at = due_at(kept, note.at, tz)
        if at is None or not named.is_of(kept) or now - at > JUST_SAID:
            continue
        new = Reminder(kept.about, clock=moved.clock)
        if moved.later_min is not None:
            then = at + timedelta(minutes=moved.later_min)
            new = Reminder(kept.about, clock=clock(then, tz)) if then > now else kept
        told = due_at(new, now, tz)
        if new == kept or told is None:
            return ()
        text = f"remind us about {kept.about} at {clock(told, tz)}"
        return Call(UNDO, meant=(named,)), Call(NOTE, text=text, meant=(new,))
    return ()
