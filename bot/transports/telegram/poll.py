"""Take updates from Telegram into the inbox: an update is committed before Telegram is told that it arrived.

How far polling has got is never stored: what was not confirmed comes again, and the inbox knows it.
No outage, refusal or surprise ends polling. The gate stands here, before anything is kept.
"""

import asyncio
import logging
import sqlite3
import time
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, Final

from telegram.error import Conflict, InvalidToken, RetryAfter, TelegramError

from bot.errors import TransportError
from bot.transports.pairing import code_in, digest
from bot.transports.telegram.api import RawBot
from bot.transports.telegram.commits import Commits
from bot.transports.telegram.gate import POLITE, Gate, Strangers
from bot.transports.telegram.pace import Backoff, Waits, seconds
from bot.transports.telegram.store import WaitingUpdate
from bot.transports.telegram.updates import (
    GroupMove,
    PersonMessage,
    Unreadable,
    chat_of,
    read,
    update_id,
)

WAIT_S: Final = 25
"""How long one poll waits for news."""
GAP_S: Final = 0.05
"""Polls begin at least this far apart: many groups' updates then come in fewer batches."""
WATCHDOG_S: Final = 60.0
"""A poll that takes this much longer than it should is broken off."""
REFUSALS: Final = 3
"""A token refused so often before it ever worked is wrong."""
WELCOME: Final = "You are in. Say what happens, e.g.: lines in. Or: help."

_log = logging.getLogger(__name__)


@dataclass(slots=True)
class Poller:
    """Fills the inbox."""

    bot: RawBot
    commits: Commits
    gate: Gate
    arrived: Callable[[list[WaitingUpdate]], None]
    """Told what lies new in the inbox."""
    clock: Callable[[], datetime]
    boat_of: Callable[[int], str] = lambda _chat: ""
    waits: Waits = field(default_factory=Waits)
    strangers: Strangers = field(default_factory=Strangers)
    _backoff: Backoff = field(init=False)
    _worked: bool = False

    def __post_init__(self) -> None:
        self._backoff = self.waits.backoff()

    async def run(self, stop: asyncio.Event) -> None:
        """Poll until asked to stop; raises TransportError where the token never worked."""
        offset: int | None = None
        while not stop.is_set():
            begun_s = time.monotonic()
            try:
                found = await asyncio.wait_for(
                    self.bot.raw_updates(offset, WAIT_S), WAIT_S + WATCHDOG_S
                )
                offset = await self._take(found, offset)
            except Exception as exc:
                await asyncio.sleep(await self._poll_failed(exc))
            else:
                self._worked = True
                self._backoff.start_anew()
                await asyncio.sleep(max(0.0, begun_s + GAP_S - time.monotonic()))

    async def _poll_failed(self, exc: Exception) -> float:
        """Say what is wrong; return the seconds to wait. Raises only where the token never worked."""
        wait_s = self._backoff.count_failure()
        match exc:
            case InvalidToken() if not self._worked and self._backoff.failures >= REFUSALS:
                raise TransportError(
                    "Telegram refuses the token; copy it anew from BotFather into"
                    " DECKCALL_TELEGRAM_TOKEN or telegram.token"
                ) from None
            case RetryAfter():
                wait_s = max(wait_s, seconds(exc.retry_after))
            case Conflict() if "webhook" in str(exc).lower():
                _log.warning("a webhook is set for this bot; removing it to poll instead")
                with suppress(TelegramError):
                    await self.bot.delete_webhook(drop_pending_updates=False)
            case Conflict():
                wait_s = max(wait_s, self.waits.conflict_s)
                _log.warning("another program polls with this token; stop it. Trying again")
            case TelegramError() | TimeoutError():
                _log.warning(
                    "no news from Telegram (%s); again in %.0f s", type(exc).__name__, wait_s
                )
            case sqlite3.Error():
                _log.warning("the inbox cannot be written (%s); again in %.0f s", exc, wait_s)
            case _:
                _log.exception("polling failed; again in %.0f s", wait_s)
        return wait_s

    async def _take(self, found: list[Any], offset: int | None) -> int | None:
        """Commit what is the crew's; return the offset that confirms the whole batch."""
        keep: list[WaitingUpdate] = []
        for raw in found:
            try:
                number = update_id(raw)
            except Unreadable:
                _log.warning("an update without a number was left out")
                continue
            offset = max(number + 1, offset or 0)
            if await self._is_crew(raw):
                keep.append(WaitingUpdate(number, self.boat_of(chat_of(raw) or 0), raw))
        if keep:
            now = self.clock()
            self.arrived(await self.commits.do(lambda store: store.take(keep, now)))
        return offset

    async def _is_crew(self, raw: dict[str, Any]) -> bool:
        """Pass the gate before anything is kept; strangers get one polite line, sometimes."""
        try:
            update = read(raw)
        except Unreadable as exc:
            _log.warning("update %d cannot be read (%s)", raw["update_id"], exc)
            return chat_of(raw) in self.gate.crew  # into quarantine; nothing of strangers is kept
        if update is None:
            return False
        if isinstance(update, GroupMove):
            return update.chat in self.gate.crew
        if self.gate.role(update.chat, update.user, update.private) is not None:
            return True
        if isinstance(update, PersonMessage) and await self._pairs(update):
            return False
        if self.strangers.should_tell(update.chat, time.monotonic()):
            with suppress(TelegramError):
                await self.bot.send_message(update.chat, POLITE)
        return False

    async def _pairs(self, said: PersonMessage) -> bool:
        """Let a chat in that sends the code which the console shows."""
        code = code_in(said.text or "")
        if code is None:
            return False
        kept, chat, now = digest(code), said.chat, self.clock()
        if not await self.commits.do(lambda store: store.use_code(kept, chat, now)):
            return False
        self.gate = self.gate.with_crew(frozenset({said.chat}))
        _log.info("chat %d was let in with a code", said.chat)
        with suppress(TelegramError):
            await self.bot.send_message(said.chat, WELCOME)
        return True
