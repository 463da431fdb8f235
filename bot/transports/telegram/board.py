"""The board: one pinned message for each trip, edited in place.

An edit waits its turn: never sooner than `EVERY_S` after the last, and answers go first, but those that
may still come not for longer than `OVERDUE_S`, and those that wait not for longer than twice that. One
that fails or gives way is made anew with what is true by then, and the end of a trip is the last.
"""

import asyncio
import logging
from collections.abc import Awaitable, Callable
from dataclasses import dataclass, field
from typing import Final

from telegram import Bot
from telegram.error import BadRequest, RetryAfter, TelegramError

from bot.transports.telegram.commits import Commits
from bot.transports.telegram.cut import cut
from bot.transports.telegram.pace import Pace, seconds

EVERY_S: Final = 15.0
"""Edits are at least this far apart; longer is easier on Telegram's limits."""
OVERDUE_S: Final = 30.0
"""A board gives way to answers for this long after its last edit; longer leaves it stale on a busy day."""
GIVES_WAY_S: Final = 0.2
"""How soon it is looked again whether the answers of a chat have left."""
END_LINE: Final = "The trip has ended."
LIVELY_S: Final = 60.0
"""How often the board is made anew while it shows a running time."""

AT_ONCE: Final = 4
"""Most boards that are made at the same time, and then none for `REST_S`; more keeps calls waiting."""
REST_S: Final = 0.25

_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class BoardView:
    """What the board shows."""

    trip: str
    text: str
    lively: bool = False
    """True while a fish is on: the running time wants to be seen."""


@dataclass(slots=True)
class Boards:
    """The boards of all chats that have called something."""

    bot: Bot
    commits: Commits
    pace: Pace
    view_of: Callable[[int], Awaitable[BoardView | None]]
    monotonic_s: Callable[[], float]
    every_s: float = EVERY_S
    waiting: Callable[[int], bool] = lambda _chat: False
    """Return whether an answer to a chat waits to leave."""
    _seen: set[int] = field(default_factory=set)
    _due_s: dict[int, float] = field(default_factory=dict)
    _edited_s: dict[int, float] = field(default_factory=dict)

    def mark_changed(self, chat: int) -> None:
        """Note that the board of a chat no longer says what is true."""
        self._seen.add(chat)
        soonest = self._edited_s.get(chat, float("-inf")) + self.every_s
        self._due_s[chat] = max(self.monotonic_s(), soonest)

    @property
    def chats(self) -> frozenset[int]:
        """Return the chats that have, or are about to have, a board."""
        return frozenset(self._seen)

    def move(self, chat: int, to: int) -> None:
        """Follow a group that has been given another id; its board is made anew there."""
        if chat in self._seen:
            self._seen.discard(chat)
            self._due_s.pop(chat, None)
            self.mark_changed(to)

    async def step(self) -> float | None:
        """Bring the boards that are due up to date; return seconds until the next is."""
        now_s = self.monotonic_s()
        due = [chat for chat, due_s in self._due_s.items() if due_s <= now_s]
        await asyncio.gather(*(self._bring_up_to_date(chat) for chat in due[:AT_ONCE]))
        if len(due) > AT_ONCE:
            await asyncio.sleep(REST_S)
        waits = [due_s - self.monotonic_s() for due_s in self._due_s.values()]
        return max(0.05, min(waits)) if waits else None

    async def _bring_up_to_date(self, chat: int) -> None:
        now_s = self.monotonic_s()
        del self._due_s[chat]
        wait_s = self._wait_s(chat, now_s)
        if wait_s > 0:
            self._due_s[chat] = now_s + wait_s
            return
        try:
            await self._show(chat, now_s)
        except RetryAfter as exc:
            self.pace.pause(chat, seconds(exc.retry_after), now_s)
            self._due_s[chat] = now_s + seconds(exc.retry_after) + self.every_s
        except TelegramError:
            _log.debug("the board could not be shown", exc_info=True)
            self._due_s.setdefault(chat, now_s + LIVELY_S)
        except Exception:
            self._due_s.setdefault(chat, now_s + LIVELY_S)
            raise

    def _wait_s(self, chat: int, now_s: float) -> float:
        """Return how long a board that is due gives way to answers; 0 where it may be edited now."""
        edited_s = self._edited_s.get(chat, float("-inf"))
        if now_s < edited_s + self.every_s:  # it changed while it was being edited
            return edited_s + self.every_s - now_s
        overdue_s = edited_s + OVERDUE_S
        if self.waiting(chat) and now_s < overdue_s + OVERDUE_S:
            return GIVES_WAY_S
        if now_s >= overdue_s:
            return self.pace.full_s(chat, now_s)
        wait_s = self.pace.wait_s(chat, now_s)
        if wait_s == 0 and self.pace.scarce(chat, now_s):
            wait_s = overdue_s - now_s
        return min(max(wait_s, 0.0), overdue_s - now_s)

    async def _show(self, chat: int, now_s: float) -> None:
        view = await self.view_of(chat)
        held = await self.commits.do(lambda store: store.board(chat))
        if view is None:
            if held is None:
                return
            view = BoardView(held[0], END_LINE)
        if view.lively:
            self._due_s.setdefault(chat, now_s + LIVELY_S)  # a change meanwhile is shown sooner
        text = cut(view.text)[0]
        if held is not None and held[0] == view.trip and held[2] == text:
            return
        self._edited_s[chat] = now_s
        self.pace.spend(chat, now_s, answer=False)
        if held is not None:
            trip, message, shown = held
            if trip != view.trip and shown != END_LINE:  # the next trip began before this was seen
                await self._edit(chat, message, END_LINE)
            elif trip == view.trip and (await self._edit(chat, message, text) or text == END_LINE):
                await self.commits.do(lambda store: store.set_board(chat, trip, message, text))
                return
        sent = await self.bot.send_message(chat, text, disable_notification=True)
        message = sent.message_id
        await self.commits.do(lambda store: store.set_board(chat, view.trip, message, text))
        try:
            await self.bot.pin_chat_message(chat, sent.message_id, disable_notification=True)
        except BadRequest:
            _log.debug("the board cannot be pinned; make the bot an admin that may pin")

    async def _edit(self, chat: int, message: int, text: str) -> bool:
        """Edit a board; False where it is gone and a new one is wanted."""
        try:
            await self.bot.edit_message_text(text, chat, message)
        except BadRequest as exc:
            return "not modified" in str(exc).lower()
        return True
