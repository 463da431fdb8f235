"""Edits of one message in quick succession: the last of them is answered, once."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import islice
from typing import Any, Final

from bot.transports.telegram.store import WaitingUpdate

_LOOKED_AT: Final = 50
"""Updates that are looked through for a later edit."""


@dataclass(slots=True)
class Edits:
    """Which edit was waited with."""

    _held: int = 0

    def may_come_again(self, updates: Sequence[WaitingUpdate]) -> bool:
        """Return whether an edit that stands first is to wait a moment: once, and for nothing else."""
        one = updates[0]
        if "edited_message" not in one.raw or len(updates) > 1 or self._held == one.update_id:
            return False
        self._held = one.update_id
        return True


def is_edited_again(updates: Sequence[WaitingUpdate]) -> bool:
    """Return whether the first update is an edit of a message that was edited once more since."""
    edits = [_edited(one.raw) for one in islice(updates, _LOOKED_AT)]
    return edits[0] is not None and edits[0] in edits[1:]


def _edited(raw: Mapping[str, Any]) -> tuple[object, object] | None:
    """Return chat and number of the message that was edited."""
    found = raw.get("edited_message")
    chat = found.get("chat") if isinstance(found, Mapping) else None
    if not isinstance(found, Mapping) or not isinstance(chat, Mapping):
        return None
    return chat.get("id"), found.get("message_id")
