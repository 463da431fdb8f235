"""What has happened since a question was put, a change proposed, or a late message said. Pure.

A message that comes long after it was said is answered from its own time.
"""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Final

from bot.answers.view import View
from bot.trip.acts import PLACING
from bot.trip.decision import Decision
from bot.trip.entry import Advised, Entry
from bot.trip.memory import Now

JUST_ASKED: Final = timedelta(minutes=5)
"""How long "it" is what a question was about; common practice, no source."""
LATE: Final = timedelta(minutes=3)
"""How much older than the last entry a message is that counts as late; less is two phones' clocks."""


def was_just_asked(at: datetime, stood: Sequence[Entry], now: datetime) -> bool:
    """Return whether something was asked just now, at that time, and nothing logged since."""
    fresh = timedelta() <= now - at <= JUST_ASKED
    return fresh and not any(entry.at > at for entry in stood)


def is_offer(before: View) -> bool:
    """Return whether the message with the question was logged all the same."""
    asked = before.asked
    made = (r.message for r in before.records if isinstance(r, Entry))
    return asked is not None and bool(asked.message) and asked.message in made


def is_fresh(before: View) -> bool:
    """Return whether nothing was logged or asked since the question."""
    asked, latest = before.asked, before.questions[:1]
    later = (r.id for r in before.records if isinstance(r, Entry | Advised))
    if asked is None or any(one.options and one.id != asked.id for one in latest):
        return False
    return all(one <= asked.id for one in later)


def is_undisturbed(before: View) -> bool:
    """Return whether nothing was logged since the change was proposed."""
    last = next((r for r in reversed(before.records) if isinstance(r, Entry | Advised)), None)
    return isinstance(last, Advised)


def can_be_made(before: View) -> bool:
    """Return whether the line is as it was when the change was proposed."""
    advised = before.last_advice
    if advised is None:
        return False
    since = (entry.call for entry in before.stood if entry.id > advised.id)
    where = (advised.advice.position, None)
    return not any(call.act in PLACING and call.position in where for call in since)


def is_late(decision: Decision, before: View, said_at: datetime) -> bool:
    """Return whether later calls were logged before this one came, and it takes nothing of them back."""
    last = before.trip.last_at
    plain = not (decision.voids or decision.restores or decision.new_trip)
    return plain and last is not None and last - said_at > LATE


def as_it_was(view: View, at: datetime) -> View:
    """Return a view of the trip up to a time, with what was said of that time since."""
    kept = tuple(r for r in view.records if not (isinstance(r, Entry) and r.at > at))
    now = Now.after(kept)
    return replace(view, trip=replace(now.trip, id=view.trip.id), stood=now.stood, records=kept)
