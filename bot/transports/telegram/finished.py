"""An update that has been answered: what goes out for it, and which buttons it makes stale. Pure."""

from dataclasses import dataclass, replace
from datetime import datetime

from bot.messages import Reply
from bot.transports.pressing import lasts
from bot.transports.telegram import notices
from bot.transports.telegram.store import Send, StoredButton
from bot.transports.telegram.updates import ButtonPress, PersonMessage


@dataclass(frozen=True, slots=True)
class FinishedUpdate:
    """An update with its reply."""

    update_id: int
    reply: Reply
    said: PersonMessage | ButtonPress
    at: datetime
    pressed: int | None = None
    edited: bool = False

    def sends(self, acknowledge: str, paper: bytes | None = None) -> list[Send]:
        """Return what its reply puts into the outbox, for where it was said; `paper` is its report."""
        said = self.said
        made = notices.sends_of(self.reply, said.chat, said.message, self.at, acknowledge)
        if self.reply.report:
            made += notices.report_of(self.reply, said.chat, said.message, self.at, paper)
        return [replace(send, thread=said.thread) for send in made]

    @property
    def changed(self) -> bool:
        """Return whether it changed the log."""
        undone = any(call["act"] == "undo" for call in self.reply.calls)
        edited = self.edited and bool(self.reply.text)
        return bool(self.reply.logged or undone or edited)

    @property
    def is_turn(self) -> bool:
        """Return whether it changed or asked something."""
        return self.changed or bool(self.reply.ask or self.reply.buttons)


def answer_to(said: PersonMessage, text: str) -> list[Send]:
    """Return the messages that tell a sentence to whoever said something; none for an empty one."""
    made = Send(said.chat, text, said.at, said.message, thread=said.thread)
    return [made] if text else []


def is_fresh(button: StoredButton) -> bool:
    """Return whether pressing a button still means what it did when it was sent."""
    how_long = lasts(button.say)
    stands = button.unchanged and how_long == "log"
    fresh = not button.pressed and (button.latest or bool(button.about) or stands)
    return fresh or how_long == "always"
