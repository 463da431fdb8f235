"""A lane: one worker thread with what answers the calls of some boats, in the order they came."""

import asyncio
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import AbstractContextManager, ExitStack
from dataclasses import dataclass, field

from bot.messages import Message, Reply
from bot.transcript import Heard
from bot.transports.telegram.board import BoardView


@dataclass(frozen=True, slots=True)
class Answers:
    """What the worker thread can be asked."""

    answer: Callable[[Message, Heard | None], Reply]
    """What comes of a message; of a recording with what was heard, where that was asked before."""
    board: Callable[[int], BoardView | None] | None = None
    """The board of a chat; None where boards are not wanted."""
    only_asks: Callable[[str], bool] | None = None
    """Whether a text changes nothing in the log; None: guests may say nothing."""
    listen: Callable[[Message], Future[Heard] | None] | None = None
    """Begins to hear a recording elsewhere; None: `answer` hears it itself, or has heard it before."""
    tidy: Callable[[], None] | None = None
    """Removes what was kept for long enough; asked from time to time."""


OpenAnswers = Callable[[int], AbstractContextManager[Answers]]


@dataclass(slots=True)
class Lane:
    """One worker; opened, used and closed in its own thread."""

    number: int
    open_answers: OpenAnswers
    arrived: asyncio.Event = field(default_factory=asyncio.Event)
    """Set when something for it may lie in the inbox."""
    _worker: ThreadPoolExecutor = field(default_factory=lambda: ThreadPoolExecutor(max_workers=1))
    _stack: ExitStack = field(default_factory=ExitStack)
    _answers: Answers | None = None

    async def open(self) -> None:
        """Open what answers; raises what that raises."""
        loop = asyncio.get_running_loop()
        self._answers = await loop.run_in_executor(
            self._worker, lambda: self._stack.enter_context(self.open_answers(self.number))
        )

    async def answer(self, message: Message, heard: Heard | None = None) -> Reply:
        """Answer a message, after those that came before it."""
        loop, answers = asyncio.get_running_loop(), self._opened()
        return await loop.run_in_executor(self._worker, answers.answer, message, heard)

    async def listen(self, message: Message) -> Heard | None:
        """Have a recording heard, while others are answered; None where `answer` does that."""
        loop, answers = asyncio.get_running_loop(), self._opened()
        if answers.listen is None:
            return None
        begun = await loop.run_in_executor(self._worker, answers.listen, message)
        if begun is None:
            return None
        heard: Heard = await asyncio.wrap_future(begun)
        return heard

    async def tidy(self) -> None:
        """Remove what was kept for long enough."""
        loop, answers = asyncio.get_running_loop(), self._opened()
        if answers.tidy is not None:
            await loop.run_in_executor(self._worker, answers.tidy)

    async def board(self, chat: int) -> BoardView | None:
        """Give the board of a chat."""
        loop, answers = asyncio.get_running_loop(), self._opened()
        if answers.board is None:
            return None
        return await loop.run_in_executor(self._worker, answers.board, chat)

    async def only_asks(self, text: str) -> bool:
        """Say whether a text changes nothing in the log."""
        loop, answers = asyncio.get_running_loop(), self._opened()
        if answers.only_asks is None:
            return False
        return await loop.run_in_executor(self._worker, answers.only_asks, text)

    async def close(self) -> None:
        """Close what answers, after what is under way."""
        await asyncio.get_running_loop().run_in_executor(self._worker, self._stack.close)
        self._worker.shutdown()

    def _opened(self) -> Answers:
        if self._answers is None:
            raise RuntimeError("the lane is not open")
        return self._answers
