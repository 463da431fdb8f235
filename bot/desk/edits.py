"""Edits of a message: how they are named in the log, and which of them counts.

An edit has a ref of its own, made of the ref of the message and the time of the edit; the versions of
a message may come in any order, and the one that was made last counts. Pure.
"""

from collections.abc import Collection, Sequence
from dataclasses import replace
from typing import Final

from bot.answers.view import View
from bot.desk.heard import HeardMessage, Outcome, closing_record
from bot.desk.outcome import outcome_of
from bot.logbook.store import EDIT, Version
from bot.messages import Message, Reply
from bot.trip.corrections import Refusal
from bot.trip.edits import what_it_did
from bot.trip.entry import Record

OVERTAKEN_OUTCOME: Final = Outcome(Reply(""), "superseded")
"""Outcome of the first version of a message whose edit was handled before it."""


def edit_ref(message: Message) -> str:
    """Return the ref of an edit: that of its message and the second of the edit."""
    seconds = int(message.edited_at.timestamp()) if message.edited_at else 0
    return f"{message.ref}{EDIT}{seconds}"


def is_news(message: Message, versions: Sequence[Version]) -> bool:
    """Return whether an edit changes anything: its text differs and no later edit is known."""
    if not versions:
        return True
    newest = max(versions, key=lambda version: _second(version.ref))
    return _second(newest.ref) <= _second(edit_ref(message)) and newest.text != message.text


def outcome_of_edit(heard: HeardMessage, before: View, versions: Sequence[Version]) -> Outcome:
    """Return what comes of an edit: earlier versions are undone, then the new text is acted on."""
    family = {version.id for version in versions}
    newest = max(versions, key=lambda version: _second(version.ref), default=None)
    did = what_it_did(before.records, family, newest.acts if newest else ())
    if isinstance(did, Refusal):
        return Outcome(Reply(did.reason, did.reason), "refused", (), before.trip.id)
    found = outcome_of(heard, replace(before, asked=None, questions=()), did)
    return replace(found, records=(*_closing(heard, before, family), *found.records))


def _closing(heard: HeardMessage, before: View, family: Collection[str]) -> tuple[Record, ...]:
    """Return the records that close the question that an earlier version led to."""
    asked = next((one for one in before.questions if one.options and one.message in family), None)
    if asked is None:
        return ()
    return (closing_record(asked, heard),)


def _second(ref: str) -> int:
    """Return when an edit was made; 0 for the first version."""
    _, is_edit, seconds = ref.rpartition(EDIT)
    return int(seconds) if is_edit and seconds.isdecimal() else 0
