"""Kept reminders that a line takes back, or moves to another time, by what they remind of. Pure."""

from datetime import datetime, timedelta, tzinfo
from typing import Final

from bot.answers.view import View
from bot.calls.language import Language
from bot.calls.meant.reminder import NewTime, cancelled_in, moved_in, of_the_list
from bot.calls.understand import Understanding
from bot.desk.since import just_asked
from bot.reminders.due import due_at, reminders_of
from bot.replies.amounts import clock
from bot.transcript import Transcript
from bot.trip.acts import NOTE, UNDO
from bot.trip.call import Call
from bot.trip.meant import AsksAbout, CancelsReminder, Reminder
from bot.trip.state import Trip

Questioned = tuple[datetime, tuple[Call, ...]] | None

NAMED: Final = 0.97
"""Confidence that a kept reminder is meant by its name; common practice, no source."""
JUST_SAID: Final = timedelta(minutes=30)
"""How long after its time a reminder can still be moved; common practice, no source."""


def of_a_reminder(
    transcript: Transcript, words: Language, before: View, now: datetime, asked: Questioned
) -> Understanding | None:
    """Return what a line does to a kept reminder that it names ("cancel the ice"), or None.

    `asked` are the calls that asked something last, and when.
    """
    trip, tz = before.trip, before.tz
    sure = min(NAMED, transcript.signals.get("accept", 1.0))
    cancels = cancelled_in(transcript.best, words.reader)
    if cancels is not None and _was_listed(before, now, asked):
        cancels = of_the_list(cancels, words.reader)
    if cancels is not None and cancels.about:
        kept = any(cancels.is_of(one) for _, one in reminders_of(trip))
        if kept or cancels.is_named:
            return Understanding(transcript.best, (Call(UNDO, meant=(cancels,)),), sure)
    moved = moved_in(transcript.best, words.reader)
    calls = _moved(moved, trip, now, tz) if moved is not None else ()
    return Understanding(transcript.best, calls, sure) if calls else None


def _was_listed(before: View, now: datetime, asked: Questioned) -> bool:
    """Return whether the list of reminders was read just now, and nothing logged since."""
    if asked is None or not just_asked(asked[0], before.stood, now):
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
