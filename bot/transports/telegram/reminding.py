"""What a boat has to say by itself, to every chat of its crew: from the lane into the outbox."""

import logging
from collections.abc import Awaitable, Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from bot.transports.telegram.commits import Commits
from bot.transports.telegram.store import OutboxRow, Send

_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class ReminderLoop:
    """Asks every boat in turn."""

    commits: Commits
    unasked: Callable[[str], Awaitable[Sequence[str]]]
    """Returns what a boat has to say now."""
    chats: Callable[[], Mapping[str, Iterable[int]]]
    """Return the chats of each boat's crew."""
    made: Callable[[list[OutboxRow]], None]
    """Told what was put into the outbox."""
    clock: Callable[[], datetime]

    async def step(self) -> None:
        """Ask every boat once; one that fails leaves the others alone."""
        for boat, chats in self.chats().items():
            crew = sorted(chats)
            try:
                texts = await self.unasked(boat) if crew else ()
                if texts:
                    await self._say("\n".join(texts), crew)
            except Exception:
                _log.exception("a boat could not be asked what it has to say; trying again later")

    async def _say(self, text: str, crew: Sequence[int]) -> None:
        now = self.clock()
        sends = [Send(chat, text, now) for chat in crew]
        self.made(await self.commits.do(lambda store: store.put(sends)))
