"""One message as the desk handles it and its outcome, as values.

Knows what was understood and what is kept, not how one becomes the other (`outcome`).
"""

from collections.abc import Callable
from dataclasses import dataclass

from bot.calls.understand import Understanding
from bot.logbook.recordings import KEPT_OUTCOME
from bot.messages import Message, Reply
from bot.replies.refusals import explain_not_heard, kept_for_later
from bot.stamps import FixAt, nothing_measured
from bot.transcript import HearingFailure, Transcript
from bot.trip.entry import Asked, Record
from bot.trip.memory import Memory


@dataclass(frozen=True, slots=True)
class HeardMessage:
    """A message with what was heard and understood of it."""

    message: Message
    id: str
    transcript: Transcript
    found: Understanding
    new_id: Callable[[], str]
    memory: Memory
    fix_at: FixAt = nothing_measured


@dataclass(frozen=True, slots=True)
class Outcome:
    """The outcome of a message."""

    reply: Reply
    word: str
    """One word for the log: `logged`, `answered`, `asked`, `refused`, `talk`, `not understood`."""
    records: tuple[Record, ...] = ()
    trip: str = ""


def unheard_outcome(heard: HearingFailure) -> Outcome:
    """Return the outcome of a recording that could not be heard."""
    if heard.again:
        text = kept_for_later(heard.why)
        return Outcome(Reply(text, text, confidence=0.0), KEPT_OUTCOME)
    text = explain_not_heard(heard.why)
    return Outcome(Reply(text, text, confidence=0.0), "not heard")


def closing_record(asked: Asked | None, heard: HeardMessage) -> Asked:
    """Return the record that closes a question."""
    name = asked.id if asked is not None and asked.options else ""
    return Asked(heard.new_id(), "", (), heard.message.at, message=heard.id, closes=name)
