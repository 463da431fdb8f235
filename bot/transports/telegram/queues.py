"""The updates that wait, by boat: each boat's in order, none held up by another boat's trouble.

A boat that has some is worked on by one task until none is left.
"""

import asyncio
import logging
from collections import deque
from collections.abc import Awaitable, Callable, Iterable
from contextlib import suppress
from dataclasses import dataclass, field

from bot.transports.telegram.pace import Backoff, Waits
from bot.transports.telegram.store import WaitingUpdate

_log = logging.getLogger(__name__)


@dataclass(slots=True)
class Queue:
    """What waits for one boat."""

    updates: deque[WaitingUpdate] = field(default_factory=deque)
    backoff: Backoff = field(default_factory=Backoff)


@dataclass(slots=True)
class Queues:
    """The queues of all boats."""

    step: Callable[[Queue], Awaitable[float]]
    """Handles what stands first in a queue and takes it off; gives the seconds to wait."""
    stop: asyncio.Event
    waits: Waits = field(default_factory=Waits)
    _queues: dict[str, Queue] = field(default_factory=dict)
    _tasks: dict[str, asyncio.Task[None]] = field(default_factory=dict)

    def put(self, updates: Iterable[WaitingUpdate]) -> None:
        """Take up updates that lie in the inbox, in their order."""
        for one in updates:
            if one.boat not in self._queues:
                self._queues[one.boat] = Queue(backoff=self.waits.backoff())
            self._queues[one.boat].updates.append(one)
            task = self._tasks.get(one.boat)
            if (task is None or task.done()) and not self.stop.is_set():
                self._tasks[one.boat] = asyncio.create_task(self._work(one.boat))

    async def close(self) -> None:
        """Wait for what is under way; what has not begun stays in the inbox."""
        await asyncio.gather(*self._tasks.values())

    async def _work(self, boat: str) -> None:
        queue = self._queues[boat]
        while queue.updates and not self.stop.is_set():
            try:
                wait_s = await self.step(queue)
            except Exception:
                _log.exception("something failed; going on")
                wait_s = 5.0
            if wait_s > 0:
                with suppress(TimeoutError):
                    await asyncio.wait_for(self.stop.wait(), wait_s)
