"""The bot while it runs: polling, handling, sending and the board side by side, and a clean end.

One process for each store; a second one is turned away. What an end or a kill leaves undone waits in
the store for the next start.
"""

import asyncio
import logging
import os
import signal
import sqlite3
import sys
import time
from collections.abc import Awaitable, Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Final
from zoneinfo import ZoneInfo

from telegram import BotCommand
from telegram.error import TelegramError

from bot.batch import BatchResult, BoatCall
from bot.errors import TransportError
from bot.messages import Message
from bot.transcript import HearingResult
from bot.transports.pairing import GUESSES, LIFE, digest, new_code, spell_code
from bot.transports.telegram.api import HideToken, RawBot, raw_bot
from bot.transports.telegram.board import EVERY_S, Boards, BoardView
from bot.transports.telegram.collaborators import Collaborators
from bot.transports.telegram.commits import Commits
from bot.transports.telegram.crews import Crews
from bot.transports.telegram.ears import PATIENCE_S, Ears
from bot.transports.telegram.fetching import Fetcher
from bot.transports.telegram.gate import Gate
from bot.transports.telegram.handle import Handler
from bot.transports.telegram.lane import Lane, OpenAnswers
from bot.transports.telegram.notices import COMMANDS
from bot.transports.telegram.pace import Pace, Waits
from bot.transports.telegram.poll import Poller
from bot.transports.telegram.queues import Queues
from bot.transports.telegram.reminding import ReminderLoop
from bot.transports.telegram.send import Sender
from bot.transports.telegram.store import OutboxRow, Store
from bot.transports.unasked import EVERY_S as UNASKED_EVERY_S

DRAIN_S: Final = 3.0
"""How long the end waits for answers to leave; what has not left waits for the next start."""

FINISH_S: Final = 20.0
"""How long the end waits for recordings to be heard; the others are heard after the next start."""
TIDY_EVERY_S: Final = 3600.0
"""How often it is asked whether anything was kept for long enough."""

_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class TelegramConfig:
    """What the transport has to be told."""

    token: str = field(repr=False)
    api: str
    file: Path
    """The store: inbox and outbox."""
    gate: Gate
    zone: ZoneInfo
    """The time of the boat without a name."""
    max_bytes: int = 5_000_000
    max_sound_s: float = 60.0
    patience_s: float = PATIENCE_S
    """How long the calls of a boat wait for a recording before them."""
    acknowledge: str = "reply"
    board_every_s: float = EVERY_S
    waits: Waits = field(default_factory=Waits)
    boats: Mapping[int, str] = field(default_factory=dict)
    """Chat to the name of its boat; chats that are not here belong to the boat without a name."""
    zones: Mapping[str, ZoneInfo] = field(default_factory=dict)
    """The time of each boat that has another."""
    lanes: int = 1
    """How many workers share the boats; the calls of one boat stay in order in one of them."""


def run(config: TelegramConfig, open_answers: OpenAnswers) -> None:
    """Serve until SIGINT or SIGTERM; raises TransportError where the token is wrong.

    `open_answers` is called with the number of a lane, and used and closed in that lane's thread.
    """
    hide = HideToken(config.token)
    for handler in logging.getLogger().handlers:
        handler.addFilter(hide)
    lock = _lock(config.file)
    try:
        asyncio.run(_Running(config, open_answers).serve())
    except sqlite3.Error as exc:
        raise TransportError(
            f"{config.file} cannot be used ({exc}); free the disk or move it"
        ) from exc
    finally:
        lock.close()


def offer_code(file: Path) -> str:
    """Make the one-time code that lets a chat in, and give it as it is shown."""
    store = Store(file)
    try:
        code = new_code()
        until = _now() + LIFE
        store.together([lambda held: held.offer_code(digest(code), until, GUESSES)])
        return spell_code(code)
    finally:
        store.close()


def is_running(file: Path) -> bool:
    """Return whether a bot serves from this store already."""
    try:
        _lock(file).close()
    except AlreadyRunning:
        return True
    return False


def _lock(file: Path) -> sqlite3.Connection:
    """Hold the store for this process; the lock ends with it, however it ends."""
    path = file.with_suffix(".lock")
    lock: sqlite3.Connection | None = None
    try:
        lock = sqlite3.connect(path, timeout=1.0, isolation_level=None)
        lock.execute("BEGIN EXCLUSIVE")
    except sqlite3.OperationalError as exc:
        if lock is not None:
            lock.close()
        if "locked" in str(exc):
            raise AlreadyRunning(
                f"a bot is running here already (it holds {path}); end it first"
            ) from exc
        raise TransportError(
            f"{path} cannot be written ({exc}); make room on the disk, or check who owns the folder"
        ) from exc
    return lock


class AlreadyRunning(TransportError):
    """A bot serves from this store already."""


class _Running:
    def __init__(self, config: TelegramConfig, open_answers: OpenAnswers) -> None:
        self._config = config
        self._stop, self._answered, self._urgent = (asyncio.Event() for _ in range(3))
        self._board_due = asyncio.Event()
        self._lanes = tuple(Lane(number, open_answers) for number in range(config.lanes))
        self._boats = {boat: n for n, boat in enumerate(sorted({"", *config.boats.values()}))}
        self._bot: RawBot = raw_bot(config.token, config.api)
        self._commits, self._crews = Commits(config.file), Crews()
        waits, pace = config.waits, Pace(config.waits.window_s)
        outbox = (self._bot, self._commits, self._zone_of, _now, time.monotonic, pace)
        first = Sender(*outbox, waits.backoff())
        self._sender = Sender(*outbox, waits.backoff(), first)
        self._senders = (first, self._sender)
        self._boards = Boards(
            self._bot, self._commits, pace, self._view_of, time.monotonic,
            config.board_every_s, self._sender.has_waiting,
        )  # fmt: skip
        around = Collaborators(
            lambda: self._poller.gate, self._answer, self._only_asks, self._report, self._boat_of,
            self._bot_name, self._made, self._changed, lambda one: self._queues.put([one]), self._moved, _now,
        )  # fmt: skip
        self._ears = Ears(self._listen, config.patience_s)
        handler = Handler(
            self._bot, self._commits, self._crews, around, self._ears,
            Fetcher(self._bot, config.max_bytes, config.max_sound_s, waits), config.acknowledge,
            waits.edited_again_s,
        )  # fmt: skip
        self._queues = Queues(handler.step, self._stop, waits)
        self._poller = Poller(
            self._bot, self._commits, config.gate, self._queues.put, _now, self._boat_of, waits
        )
        self._name = ""

    async def serve(self) -> None:
        loop = asyncio.get_running_loop()
        for number in (signal.SIGINT, signal.SIGTERM):
            with suppress(NotImplementedError):
                loop.add_signal_handler(number, self._asked_to_stop)
        await self._commits.open()
        try:
            await asyncio.gather(*(lane.open() for lane in self._lanes))
            await self._serve()
        finally:
            await asyncio.gather(*(lane.close() for lane in self._lanes))
            await self._bot.hang_up()
            await self._commits.close()

    def _asked_to_stop(self) -> None:
        if self._stop.is_set():
            os._exit(1)  # asked twice: leave at once; what was committed is safe
        self._stop.set()

    async def _serve(self) -> None:
        await self._take_up()
        sending = [
            asyncio.create_task(self._forever(sender.step, wake))
            for sender, wake in zip(self._senders, (self._urgent, self._answered), strict=True)
        ]
        polling = asyncio.create_task(self._poller.run(self._stop))
        others = [
            asyncio.create_task(self._introduce()),
            asyncio.create_task(self._forever(self._boards.step, self._board_due)),
            asyncio.create_task(self._tidying()),
            asyncio.create_task(self._reminding()),
        ]
        stopping = asyncio.create_task(self._stop.wait())
        await asyncio.wait([stopping, polling], return_when=asyncio.FIRST_COMPLETED)
        self._stop.set()
        await self._queues.close()  # an answer under way is finished and kept
        await self._ears.settle(FINISH_S)
        self._answered.set()
        self._urgent.set()
        with suppress(TimeoutError):
            await asyncio.wait_for(self._drain(sending), DRAIN_S)
        with suppress(sqlite3.Error):
            for sender in self._senders:
                await sender.mark_gone()
        for task in [*others, stopping, *sending, polling]:
            task.cancel()
        found = await asyncio.gather(polling, *others, *sending, return_exceptions=True)
        if isinstance(found[0], TransportError):
            raise found[0]

    async def _take_up(self) -> None:
        """Take up what the end or the kill of the run before has left."""
        now = _now()
        await self._commits.do(lambda store: store.forget_old(now))
        names, places = await self._commits.do(lambda store: (store.names(), store.places()))
        self._crews.load(names, places)
        paired = await self._commits.do(lambda store: store.paired_chats())
        self._poller.gate = self._config.gate.with_crew(paired)
        self._sender.put(await self._commits.do(lambda store: store.unsent()))
        for chat in await self._commits.do(lambda store: store.boards()):
            if chat in self._poller.gate.crew:
                self._changed(chat)
        self._queues.put(await self._commits.do(lambda store: store.unhandled_updates()))

    async def _drain(self, sending: Sequence[asyncio.Task[None]]) -> None:
        async def empty(sender: Sender, before: asyncio.Task[None]) -> None:
            await before  # never two at once: an answer would leave twice
            while await sender.step() is not None:
                await asyncio.sleep(0.2)

        await asyncio.gather(*map(empty, self._senders, sending))

    def _boat_of(self, chat: int) -> str:
        return self._config.boats.get(chat, "")

    def _zone_of(self, chat: int) -> ZoneInfo:
        return self._config.zones.get(self._boat_of(chat), self._config.zone)

    def _lane_of(self, boat: str) -> Lane:
        return self._lanes[self._boats.get(boat, 0) % len(self._lanes)]

    async def _answer(self, boat: str, calls: Sequence[BoatCall]) -> BatchResult:
        return await self._lane_of(boat).answer(calls)

    async def _listen(self, boat: str, message: Message) -> HearingResult | None:
        return await self._lane_of(boat).listen(message)

    async def _only_asks(self, boat: str, text: str) -> bool:
        return await self._lane_of(boat).only_asks(text)

    async def _report(self, boat: str, trip: str) -> bytes | None:
        return await self._lane_of(boat).report(boat, trip)

    async def _view_of(self, chat: int) -> BoardView | None:
        boat = self._boat_of(chat)
        return await self._lane_of(boat).board(boat)

    def _made(self, rows: list[OutboxRow]) -> None:
        if rows:
            self._sender.put(rows)
            self._answered.set()
            self._urgent.set()

    def _changed(self, chat: int) -> None:
        """Have the boards of a boat brought up to date, in whichever of its chats it changed."""
        boat, crew = self._boat_of(chat), self._poller.gate.crew
        if not self._lane_of(boat).has_board:
            return
        others = {one for one in self._boards.chats & crew if self._boat_of(one) == boat}
        for one in {chat, *others}:
            if one < 0:  # a board is for a group; the wheelhouse can ask
                self._boards.mark_changed(one)
        self._board_due.set()

    def _moved(self, chat: int, to: int) -> None:
        self._sender.move(chat, to)
        self._boards.move(chat, to)

    async def _reminding(self) -> None:
        """Say what the boats have to say by themselves, also where nobody calls."""
        reminding = ReminderLoop(
            self._commits, lambda boat: self._lane_of(boat).claim_due(boat),
            self._crew_chats, self._made, _now,
        )  # fmt: skip
        while True:
            await reminding.step()
            await asyncio.sleep(UNASKED_EVERY_S)

    def _crew_chats(self) -> dict[str, list[int]]:
        gate = self._poller.gate
        found: dict[str, list[int]] = {}
        for chat in gate.crew - gate.guests:
            found.setdefault(self._boat_of(chat), []).append(chat)
        return found

    async def _tidying(self) -> None:
        """Let go what was kept for long enough, also where nothing is said for days."""
        while True:
            await asyncio.sleep(TIDY_EVERY_S)
            try:
                await self._commits.do(lambda store: store.forget_old(_now()))
                for lane in self._lanes:
                    await lane.tidy()
            except Exception:
                _log.exception("old recordings could not be removed; trying again later")

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

    async def _bot_name(self) -> str:
        if not self._name:
            self._name = (await self._bot.get_me()).username or ""
        return self._name

    async def _introduce(self) -> None:
        """Say who is listening and whether groups are heard, and set the command menu."""
        if not self._poller.gate.crew:
            print(
                "Nobody is let in yet: set DECKCALL_CREW to the ids of your chats.", file=sys.stderr
            )
        backoff = self._config.waits.backoff()
        while True:
            try:
                me = await self._bot.get_me()
                commands = [BotCommand(name, about) for name, (_, about) in COMMANDS.items()]
                await self._bot.set_my_commands(commands)
                break
            except TelegramError:
                await asyncio.sleep(backoff.count_failure())
        self._name = me.username or ""
        print(f"Listening as @{me.username}. Ctrl-C ends.", file=sys.stderr)
        if not me.can_read_all_group_messages:
            print(
                "Privacy mode is on: in a group the bot hears only commands and replies to it."
                " Tell BotFather: /setprivacy, Disable; then take the bot out of the group and add it again.",
                file=sys.stderr,
            )
        if not self._poller.gate.crew:
            print(
                "Nobody is let in yet: set DECKCALL_CREW to the ids of your chats.", file=sys.stderr
            )


def _now() -> datetime:
    return datetime.now(UTC)
