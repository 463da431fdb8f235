"""A message that comes long after it was said is answered from its own time. Pure."""

from dataclasses import replace
from datetime import datetime, timedelta
from typing import Final

from bot.answers.view import View
from bot.trip.decision import Decision
from bot.trip.entry import Entry
from bot.trip.memory import Now

LATE: Final = timedelta(minutes=3)
"""How much older than the last entry a message is that counts as late; less is two phones' clocks."""


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
