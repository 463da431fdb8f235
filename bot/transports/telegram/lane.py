"""A lane: one worker thread with what answers the calls of some boats, in the order they came.

What comes while the worker is busy goes to it together: it keeps it together, and the disk is waited
for once. A recording goes alone, for that takes seconds.
"""

import asyncio
from collections import deque
from collections.abc import Callable, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import AbstractContextManager, ExitStack
from dataclasses import dataclass, field
from typing import Final, TypeVar

from bot.batch import BatchCalls, BatchResult, BoatCall
from bot.messages import Message, Reply
from bot.transcript import HearingResult
from bot.transports.isolated import ProcessBroken
from bot.transports.telegram.board import BoardView

TOGETHER: Final = 64
"""Most messages that go to the worker at once; more waits for the disk less often, and longer."""

_T = TypeVar("_T")


@dataclass(frozen=True, slots=True)
class Answers:
    """What the worker thread can be asked."""

    answer: Callable[[BatchCalls], Sequence[BatchResult]]
    board: Callable[[str], BoardView | None] | None = None
    """The board of a boat; None where boards are not wanted."""
    only_asks: Callable[[str], bool] | None = None
    """True for a text that changes nothing in the log; None where guests may say nothing."""
    listen: Callable[[Message], Future[HearingResult] | None] | None = None
    """Begins to hear a recording elsewhere; None: `answer` hears it itself, or has heard it before."""
    tidy: Callable[[], None] | None = None
    """Removes what was kept for long enough; asked from time to time."""
    unasked: Callable[[str], Sequence[str]] | None = None
    """What the boat of a chat has to say by itself; each is given once."""
    warm: Callable[[], None] | None = None
    """Loads what the first call would wait for; called once, before any other."""
    report: Callable[[str, str], bytes] | None = None
    """The report of a trip of a boat, as a PDF; None where none can be made."""


_Asked = tuple[Sequence[BoatCall], "asyncio.Future[BatchResult]"]
OpenAnswers = Callable[[int], AbstractContextManager[Answers]]


@dataclass(slots=True)
class Lane:
    """One worker; opened, used and closed in its own thread."""

    number: int
    open_answers: OpenAnswers
    _worker: ThreadPoolExecutor = field(default_factory=lambda: ThreadPoolExecutor(max_workers=1))
    _stack: ExitStack = field(default_factory=ExitStack)
    _answers: Answers | None = None
    _waiting: deque[_Asked] = field(default_factory=deque)
    _under_way: asyncio.Task[None] | None = None

    async def open(self) -> None:
        """Open what answers; raises what that raises."""
        self._answers = await self._in_worker(
            lambda: self._stack.enter_context(self.open_answers(self.number))
        )
        if self._answers.warm is not None and self.number == 0:
            self._worker.submit(self._answers.warm)

    async def answer(self, calls: Sequence[BoatCall]) -> BatchResult:
        """Answer messages of one boat, after those that came before them."""
        done: asyncio.Future[BatchResult] = asyncio.get_running_loop().create_future()
        self._waiting.append((calls, done))
        if self._under_way is None or self._under_way.done():
            self._under_way = asyncio.create_task(self._work())
        return await done

    async def listen(self, message: Message) -> HearingResult | None:
        """Have a recording heard, while others are answered; None where `answer` does that."""
        listen = self._opened().listen
        begun = await self._in_worker(lambda: listen(message)) if listen is not None else None
        if begun is None:
            return None
        heard: HearingResult = await asyncio.wrap_future(begun)
        return heard

    async def tidy(self) -> None:
        """Remove what was kept for long enough."""
        if (tidy := self._opened().tidy) is not None:
            await self._in_worker(tidy)

    async def claim_due(self, boat: str) -> Sequence[str]:
        """Return what the boat of a chat has to say by itself."""
        unasked = self._opened().unasked
        return await self._in_worker(lambda: unasked(boat)) if unasked is not None else ()

    @property
    def has_board(self) -> bool:
        """Return whether boards are wanted."""
        return self._opened().board is not None

    async def board(self, boat: str) -> BoardView | None:
        """Return the board of a boat."""
        board = self._opened().board
        return await self._in_worker(lambda: board(boat)) if board is not None else None

    async def only_asks(self, text: str) -> bool:
        """Return whether a text changes nothing in the log."""
        only_asks = self._opened().only_asks
        return await self._in_worker(lambda: only_asks(text)) if only_asks is not None else False

    async def report(self, boat: str, trip: str) -> bytes | None:
        """Return the report of a trip of a boat."""
        report = self._opened().report
        return await self._in_worker(lambda: report(boat, trip)) if report is not None else None

    async def close(self) -> None:
        """Close what answers, after what is under way."""
        if self._under_way is not None:
            await asyncio.wait([self._under_way])
        await self._in_worker(self._stack.close)
        self._worker.shutdown()

    async def _work(self) -> None:
        while self._waiting:
            taken = self._take()
            said = [calls for calls, _ in taken]
            for (_, done), found in zip(taken, await self._answered(said), strict=True):
                if not done.done():  # its task may have been given up meanwhile
                    done.set_result(found)

    def _take(self) -> list[_Asked]:
        """Take what goes to the worker next: a recording alone, else all the words that came."""
        if _has_sound(self._waiting[0]):
            return [self._waiting.popleft()]
        taken: list[_Asked] = []
        left: deque[_Asked] = deque()
        count = 0
        for one in self._waiting:
            fits = not taken or count + len(one[0]) <= TOGETHER
            (taken if fits and not _has_sound(one) else left).append(one)
            count += len(one[0])
        self._waiting = left
        return taken

    async def _answered(self, said: BatchCalls) -> Sequence[BatchResult]:
        """Ask the worker; where it breaks over many, each message is tried alone to find which."""
        try:
            return await self._asked(said)
        except Exception as exc:
            if not isinstance(exc, ProcessBroken) or sum(map(len, said)) == 1:
                return [BatchResult((), exc)] * len(said)
        return [await self._each_alone(calls) for calls in said]

    async def _each_alone(self, calls: Sequence[BoatCall]) -> BatchResult:
        replies: list[Reply] = []
        for call in calls:
            try:
                (found,) = await self._asked([[call]])
            except Exception as exc:
                found = BatchResult((), exc)
            replies += found.replies
            if found.failed is not None:
                return BatchResult(tuple(replies), found.failed)
        return BatchResult(tuple(replies))

    async def _asked(self, said: BatchCalls) -> Sequence[BatchResult]:
        answer = self._opened().answer
        return await self._in_worker(lambda: answer(said))

    async def _in_worker(self, do: Callable[[], _T]) -> _T:
        return await asyncio.get_running_loop().run_in_executor(self._worker, do)

    def _opened(self) -> Answers:
        if self._answers is None:
            raise RuntimeError("the lane is not open")
        return self._answers


def _has_sound(one: _Asked) -> bool:
    return any(call.message.sound is not None and call.heard is None for call in one[0])
