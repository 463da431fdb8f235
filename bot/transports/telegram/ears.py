"""Recordings that are being heard while the rest of the inbox is handled.

A call that comes after a recording waits for it a little, so that calls stay in the order in which they
were made; one that takes longer is overtaken, so that no decoder can silence the boat.
"""

import asyncio
from collections.abc import Awaitable, Callable
from dataclasses import dataclass, field
from typing import Final

from bot.messages import Message
from bot.transcript import Heard
from bot.transports.telegram.store import Waiting
from bot.transports.telegram.updates import Said

PATIENCE_S: Final = 8.0
"""So long the calls of a boat wait for a recording before them; longer keeps more of them in order."""

Listen = Callable[[Message], Awaitable[Heard | None]]
"""Has a recording heard; None where it need not be."""


@dataclass(frozen=True, slots=True)
class UnderWay:
    """A recording that is being heard, and the update it came with."""

    waiting: Waiting
    said: Said
    message: Message
    boat: str
    heard: asyncio.Future[Heard | None]


@dataclass(slots=True)
class Ears:
    """What is being heard for one lane."""

    listen: Listen
    wake: Callable[[], None]
    """Called when something has been heard."""
    clock: Callable[[], float]
    """Seconds that never go back."""
    patience_s: float = PATIENCE_S
    _under_way: dict[int, UnderWay] = field(default_factory=dict)
    _waits_until: dict[str, float] = field(default_factory=dict)
    """For each boat of which a recording is being heard, how long its other calls wait."""

    def begin(self, waiting: Waiting, said: Said, message: Message, boat: str) -> None:
        """Have a recording heard."""
        task = asyncio.ensure_future(self.listen(message))
        task.add_done_callback(lambda _task: self.wake())
        self._under_way[waiting.update_id] = UnderWay(waiting, said, message, boat, task)
        self._waits_until.setdefault(boat, self.clock() + self.patience_s)

    def take_heard(self) -> UnderWay | None:
        """Take out the earliest call that has been heard; None where none has."""
        done = [number for number, one in self._under_way.items() if one.heard.done()]
        if not done:
            return None
        found = self._under_way.pop(min(done))
        if all(one.boat != found.boat for one in self._under_way.values()):
            del self._waits_until[found.boat]
        return found

    def may_take(self, update_id: int, boat: str) -> bool:
        """Say whether an update of a boat may be handled now."""
        if update_id in self._under_way:
            return False
        return self.clock() >= self._waits_until.get(boat, 0.0)

    def wait_s(self) -> float | None:
        """Give the seconds until calls overtake a recording; None where none waits for one."""
        now = self.clock()
        left = [until - now for until in self._waits_until.values() if until > now]
        return max(0.01, min(left)) if left else None

    async def settle(self, seconds: float) -> None:
        """Wait until all is heard, at most so long."""
        if self._under_way:
            await asyncio.wait([one.heard for one in self._under_way.values()], timeout=seconds)

    def drop(self) -> None:
        """Listen no more; the updates stay in the inbox."""
        for one in self._under_way.values():
            one.heard.cancel()
        self._under_way.clear()
        self._waits_until.clear()
