"""The reminders that are kept: the notes of this trip that are still due, and when."""

from collections.abc import Iterator
from datetime import timedelta

from bot.answers.answer import Answer
from bot.answers.view import View
from bot.reminders.due import due_at, out_words, reminders_of, when_words
from bot.replies.amounts import sentence, span_words
from bot.trip.meant import Reminder


def kept_reminders(view: View) -> Answer:
    """Answer with one line for each reminder to come, and how to cancel one."""
    lines = list(_lines(view))
    if not lines:
        text = "No reminder is kept. Say: remind me to check for weed in twenty minutes."
        return Answer(text, "No reminder is kept.")
    how = 'To take one back say "cancel" and what it is about; "no more reminders" takes all.'
    return Answer("\n".join([*lines, how]), " ".join(lines))


def _lines(view: View) -> Iterator[str]:
    for note, asked in reminders_of(view.trip):
        when = _when(asked)
        at = due_at(asked, note.at, view.tz)
        if at is not None:
            if at <= view.now:
                continue
            when = when_words(at, view.now, view.tz)
        if when:
            by = f", for {note.crew}" if note.crew else ""
            about = "" if asked.out_min is not None else f": {asked.about}"
            yield sentence(f"{when}{about}{by}")


def _when(asked: Reminder) -> str:
    if asked.out_min is not None:
        known = asked.position or asked.lure
        return f"when {out_words(asked)} has been out {_span(asked.out_min)}" if known else ""
    if asked.every_min is not None:
        paused = " while lines are in" if asked.fishing else ""
        return f"every {_span(asked.every_min)}{paused}"
    return "before sunset" if asked.sunset else ""


def _span(minutes: float) -> str:
    return span_words(timedelta(minutes=minutes))
