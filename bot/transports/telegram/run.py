"""The bot while it runs: polling, handling and sending side by side, and a clean end.

Polling confirms an update to Telegram only after it is committed to the inbox; how far it has got is
never stored, for the inbox knows. No outage, refusal or surprise ends polling: it waits and goes on.
"""

import asyncio
import logging
import os
import signal
import sqlite3
import sys
import time
from collections.abc import Awaitable, Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import AbstractContextManager, ExitStack, suppress
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, Final
from zoneinfo import ZoneInfo

from telegram import BotCommand
from telegram.error import Conflict, InvalidToken, RetryAfter, TelegramError

from bot.errors import TransportError
from bot.messages import Message, Reply
from bot.transports.telegram.api import HideToken, RawBot, raw_bot
from bot.transports.telegram.gate import POLITE, Gate, Strangers
from bot.transports.telegram.handle import COMMANDS, Handler
from bot.transports.telegram.pace import Backoff, seconds
from bot.transports.telegram.send import Sender
from bot.transports.telegram.store import Store
from bot.transports.telegram.updates import Moved, Unreadable, chat_of, read, update_id

WAIT_S: Final = 25
"""How long one poll waits for news."""
WATCHDOG_S: Final = 60.0
"""A poll that takes this much longer than it should is broken off."""
REFUSALS: Final = 3
"""A token refused so often before it ever worked is wrong."""
DRAIN_S: Final = 3.0
"""How long the end waits for answers to leave; what has not left waits for the next start."""

_log = logging.getLogger(__name__)
OpenAnswer = Callable[[], AbstractContextManager[Callable[[Message], Reply]]]


@dataclass(frozen=True, slots=True)
class TelegramConfig:
    """What the transport has to be told."""

    token: str = field(repr=False)
    api: str
    file: Path
    """The store: inbox and outbox."""
    gate: Gate
    zone: ZoneInfo
    max_bytes: int = 5_000_000
    acknowledge: str = "reply"


def run(config: TelegramConfig, open_answer: OpenAnswer) -> None:
    """Serve until SIGINT or SIGTERM; raises TransportError where the token is wrong.

    `open_answer` is called, used and closed in one worker thread.
    """
    hide = HideToken(config.token)
    for handler in logging.getLogger().handlers:
        handler.addFilter(hide)
    try:
        asyncio.run(_Running(config, open_answer).serve())
    except sqlite3.Error as exc:
        raise TransportError(
            f"{config.file} cannot be used ({exc}); free the disk or move it"
        ) from exc


class _Running:
    def __init__(self, config: TelegramConfig, open_answer: OpenAnswer) -> None:
        self._config = config
        self._open_answer = open_answer
        self._worker = ThreadPoolExecutor(max_workers=1, thread_name_prefix="desk")
        self._stop = asyncio.Event()
        self._arrived, self._answered = asyncio.Event(), asyncio.Event()
        self._bot: RawBot = raw_bot(config.token, config.api)
        self._store = Store(config.file)
        self._gate = config.gate.with_crew(self._store.paired())
        self._strangers = Strangers()
        self._desk = ExitStack()
        self._polling = Backoff()
        self._worked = False
        self._name = ""

    async def serve(self) -> None:
        loop = asyncio.get_running_loop()
        for number in (signal.SIGINT, signal.SIGTERM):
            with suppress(NotImplementedError):
                loop.add_signal_handler(number, self._asked_to_stop)
        try:
            answer = await loop.run_in_executor(self._worker, self._enter_desk)
            await self._serve(answer)
        finally:
            await loop.run_in_executor(self._worker, self._desk.close)
            self._worker.shutdown()
            self._store.close()

    def _enter_desk(self) -> Callable[[Message], Reply]:
        return self._desk.enter_context(self._open_answer())

    def _asked_to_stop(self) -> None:
        if self._stop.is_set():
            os._exit(1)  # asked twice: leave at once; what was committed is safe
        self._stop.set()

    async def _serve(self, answer: Callable[[Message], Reply]) -> None:
        loop = asyncio.get_running_loop()

        async def in_worker(message: Message) -> Reply:
            return await loop.run_in_executor(self._worker, answer, message)

        config = self._config
        handler = Handler(
            self._bot, self._store, lambda: self._gate, in_worker, _now, config.max_bytes,
            config.acknowledge, bot_name=self._bot_name,
        )  # fmt: skip
        sender = Sender(self._bot, self._store, config.zone, _now, time.monotonic)
        self._arrived.set()
        self._answered.set()
        self._store.forget_old(_now())
        handling = asyncio.create_task(self._handling(handler))
        sending = asyncio.create_task(self._forever(sender.step, self._answered))
        others = [
            asyncio.create_task(self._poll()),
            sending,
            asyncio.create_task(self._introduce()),
        ]
        stopping = asyncio.create_task(self._stop.wait())
        await asyncio.wait([stopping, others[0]], return_when=asyncio.FIRST_COMPLETED)
        self._stop.set()
        self._arrived.set()
        await handling  # an answer under way is finished and kept
        self._answered.set()
        with suppress(TimeoutError):
            await asyncio.wait_for(self._drain(sending, sender), DRAIN_S)
        for task in [*others, stopping]:
            task.cancel()
        found = await asyncio.gather(*others, return_exceptions=True)
        await self._bot.hang_up()
        for result in found:
            if isinstance(result, TransportError):
                raise result

    async def _drain(self, sending: asyncio.Task[None], sender: Sender) -> None:
        await sending  # never two at once: an answer would leave twice
        while await sender.step() is not None:
            await asyncio.sleep(0.2)

    async def _handling(self, handler: Handler) -> None:
        async def step() -> float | None:
            found = await handler.step()
            if found == 0.0:
                self._answered.set()
            return found

        await self._forever(step, self._arrived)

    async def _forever(
        self, step: Callable[[], Awaitable[float | None]], wake: asyncio.Event
    ) -> None:
        """Take steps until asked to stop; a step that fails is taken again after a while."""
        while not self._stop.is_set():
            wake.clear()  # before the step: what arrives while it runs is seen by the next
            try:
                wait_s = await step()
            except Exception:
                _log.exception("something failed; going on")
                wait_s = 5.0
            if wait_s == 0.0:
                continue
            with suppress(TimeoutError):
                await asyncio.wait_for(wake.wait(), wait_s)

    async def _poll(self) -> None:
        offset: int | None = None
        while not self._stop.is_set():
            try:
                found = await asyncio.wait_for(
                    self._bot.raw_updates(offset, WAIT_S), WAIT_S + WATCHDOG_S
                )
                offset = await self._take(found, offset)
            except Exception as exc:
                await asyncio.sleep(await self._poll_failed(exc))
            else:
                self._worked = True
                self._polling.worked()

    async def _poll_failed(self, exc: Exception) -> float:
        """Say what is wrong; gives the seconds to wait. Raises only where the token never worked."""
        wait_s = self._polling.failed()
        match exc:
            case InvalidToken() if not self._worked and self._polling.failures >= REFUSALS:
                raise TransportError(
                    "Telegram refuses the token; copy it anew from BotFather into"
                    " DECKCALL_TELEGRAM_TOKEN or telegram.token"
                ) from None
            case RetryAfter():
                wait_s = max(wait_s, seconds(exc.retry_after))
            case Conflict() if "webhook" in str(exc).lower():
                _log.warning("a webhook is set for this bot; removing it to poll instead")
                with suppress(TelegramError):
                    await self._bot.delete_webhook(drop_pending_updates=False)
            case Conflict():
                wait_s = max(wait_s, 5.0)
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
        """Commit what is the crew's; gives the offset that confirms the whole batch."""
        keep: list[tuple[int, object]] = []
        for raw in found:
            try:
                number = update_id(raw)
            except Unreadable:
                _log.warning("an update without a number was left out")
                continue
            offset = max(number + 1, offset or 0)
            if await self._is_crew(raw):
                keep.append((number, raw))
        if keep:
            self._store.take(keep, _now())
            self._arrived.set()
        return offset

    async def _is_crew(self, raw: dict[str, Any]) -> bool:
        """Pass the gate before anything is kept; strangers get one polite line, sometimes."""
        try:
            update = read(raw)
        except Unreadable as exc:
            _log.warning("update %d cannot be read (%s)", raw["update_id"], exc)
            return chat_of(raw) in self._gate.crew  # into quarantine; nothing of strangers is kept
        if update is None:
            return False
        if isinstance(update, Moved):
            return update.chat in self._gate.crew
        if self._gate.role(update.chat, update.user, update.private) is not None:
            return True
        if self._strangers.should_tell(update.chat, time.monotonic()):
            with suppress(TelegramError):
                await self._bot.send_message(update.chat, POLITE)
        return False

    async def _bot_name(self) -> str:
        if not self._name:
            self._name = (await self._bot.get_me()).username or ""
        return self._name

    async def _introduce(self) -> None:
        """Say who is listening and whether groups are heard, and set the command menu."""
        if not self._gate.crew:
            print(
                "Nobody is let in yet: set DECKCALL_CREW to the ids of your chats.", file=sys.stderr
            )
        backoff = Backoff()
        while True:
            try:
                me = await self._bot.get_me()
                commands = [BotCommand(name, about) for name, (_, about) in COMMANDS.items()]
                await self._bot.set_my_commands(commands)
                break
            except TelegramError:
                await asyncio.sleep(backoff.failed())
        self._name = me.username or ""
        print(f"Listening as @{me.username}. Ctrl-C ends.", file=sys.stderr)
        if not me.can_read_all_group_messages:
            print(
                "Privacy mode is on: in a group the bot hears only commands and replies to it."
                " Tell BotFather: /setprivacy, Disable; then take the bot out of the group and add it again.",
                file=sys.stderr,
            )
        if not self._gate.crew:
            print(
                "Nobody is let in yet: set DECKCALL_CREW to the ids of your chats.", file=sys.stderr
            )


def _now() -> datetime:
    return datetime.now(UTC)
