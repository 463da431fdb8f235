"""Recordings that are being fetched and heard while the other calls of their boat go on.

A call that comes after a recording waits for it a little, so that calls stay in the order in which they
were made; one that takes longer is overtaken, so that no download and no decoder can silence the boat.
"""

import asyncio
from collections.abc import Awaitable, Callable
from dataclasses import dataclass, field
from typing import Final

from bot.messages import Message
from bot.transcript import HearingResult
from bot.transports.telegram.store import WaitingUpdate

PATIENCE_S: Final = 8.0
"""How long the calls of a boat wait for a recording before them; longer keeps more of them in order."""

FETCH_S: Final = 5.0
"""Longest time that they wait for it to be fetched; part of the former."""

Listen = Callable[[str, Message], Awaitable[HearingResult | None]]
"""Has a recording of a boat heard; None where it need not be."""


Fetch = Callable[[], Awaitable[Message | str]]
"""Fetches a recording into its message, or gives the sentence why it cannot be had."""


@dataclass(frozen=True, slots=True)
class EarResult:
    """What became of a recording: its message and what was heard, or the sentence to be told instead."""

    message: Message | None
    heard: HearingResult | None = None
    instead: str = ""


@dataclass(frozen=True, slots=True)
class UnderWay:
    """A recording that is being fetched or heard, and the update it came with."""

    waiting: WaitingUpdate
    taken: "asyncio.Future[EarResult]"


@dataclass(slots=True)
class Ears:
    """What is being heard, of all boats."""

    listen: Listen
    patience_s: float = PATIENCE_S
    _late: dict[str, int] = field(default_factory=dict)
    """How many recordings of a boat take longer than was waited for."""
    _tasks: set["asyncio.Task[None]"] = field(default_factory=set)

    async def begin(self, waiting: WaitingUpdate, fetch: Fetch) -> UnderWay:
        """Have a recording fetched and heard, and wait a little for it."""
        fetched = asyncio.Event()
        task = asyncio.ensure_future(self._take(waiting.boat, fetch, fetched))
        patience_s = 0.0 if self._late.get(waiting.boat) else self.patience_s
        there = asyncio.ensure_future(fetched.wait())
        await asyncio.wait(
            [task, there], timeout=min(FETCH_S, patience_s), return_when=asyncio.FIRST_COMPLETED
        )
        there.cancel()
        if fetched.is_set() and not task.done():
            await asyncio.wait([task], timeout=patience_s)
        return UnderWay(waiting, task)

    def let_be(self, one: UnderWay, answer: Callable[[UnderWay], Awaitable[None]]) -> None:
        """Let a recording be overtaken, and have it answered when it has been heard."""
        self._late[one.waiting.boat] = self._late.get(one.waiting.boat, 0) + 1
        task = asyncio.create_task(self._answered(one, answer))
        self._tasks.add(task)
        task.add_done_callback(self._tasks.discard)

    async def settle(self, seconds: float) -> None:
        """Wait until all is heard and answered, at most so long; the rest stays in the inbox."""
        if self._tasks:
            _, left = await asyncio.wait(self._tasks, timeout=seconds)
            for task in left:
                task.cancel()
            await asyncio.gather(*left, return_exceptions=True)

    async def _answered(self, one: UnderWay, answer: Callable[[UnderWay], Awaitable[None]]) -> None:
        try:
            await asyncio.wait([one.taken])
        finally:
            one.taken.cancel()  # without effect where it is done
            self._late[one.waiting.boat] -= 1
        await answer(one)

    async def _take(self, boat: str, fetch: Fetch, fetched: asyncio.Event) -> EarResult:
        message = await fetch()
        fetched.set()
        if isinstance(message, str):
            return EarResult(None, instead=message)
        return EarResult(message, await self.listen(boat, message))
