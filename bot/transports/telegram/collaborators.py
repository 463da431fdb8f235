"""The collaborators of the handler of updates."""

from collections.abc import Awaitable, Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Protocol

from bot.batch import BatchResult, BoatCall
from bot.transports.telegram.gate import Gate
from bot.transports.telegram.store import OutboxRow, WaitingUpdate


class Api(Protocol):
    """What of the Bot API is needed here."""

    async def fetch(self, file_id: str, max_bytes: int, again_s: float) -> bytes:
        """Fetch a file, and ask again after `again_s` where it is refused; raises TooLarge."""
        ...

    async def answer_callback_query(
        self, callback_query_id: str, text: str | None = None, show_alert: bool | None = None
    ) -> bool:
        """Stop the waiting sign on a button."""
        ...


@dataclass(frozen=True, slots=True)
class Collaborators:
    """What the handler asks and tells: the desk, the gate, the outbox, the board."""

    gate: Callable[[], Gate]
    answer: Callable[[str, Sequence[BoatCall]], Awaitable[BatchResult]]
    """Answers calls of a boat."""
    only_asks: Callable[[str, str], Awaitable[bool]]
    """True for a text that changes nothing in the log of a boat: all that a guest may say."""
    report: Callable[[str, str], Awaitable[bytes | None]]
    """The report of a trip of a boat, as a PDF."""
    boat_of: Callable[[int], str]
    bot_name: Callable[[], Awaitable[str]]
    """The bot's own user name; asked for only where a command names a bot."""
    made: Callable[[list[OutboxRow]], None]
    """Told what was put into the outbox."""
    changed: Callable[[int], None]
    """Told the chat after each update that changed or asked something."""
    again: Callable[[WaitingUpdate], None]
    """Told an update that has to be handled once more."""
    moved: Callable[[int, int], None]
    """Told a group that has been given another id."""
    clock: Callable[[], datetime]
