"""From the inbox to an answer: one update after the other, each handled until it is done.

A log that cannot be written (disk full, locked) is waited for: the update stays. An update that makes
the program fail three times is set aside and its sender told. The answers come from one worker
thread, in which the Desk lives.
"""

import errno
import logging
import sqlite3
from collections.abc import Awaitable, Callable
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from typing import Final, Protocol

from telegram.error import RetryAfter, TelegramError

from bot.errors import DeckcallError, LogbookError
from bot.messages import Button, Message, Reply
from bot.transcript import Heard
from bot.transports.isolated import Broken
from bot.transports.telegram.api import FileGone, TooLarge
from bot.transports.telegram.ears import Ears, UnderWay
from bot.transports.telegram.gate import Gate
from bot.transports.telegram.pace import Backoff
from bot.transports.telegram.send import cut
from bot.transports.telegram.store import Send, Store, StoredButton, Waiting
from bot.transports.telegram.updates import (
    Attachment,
    Moved,
    Place,
    Pressed,
    Said,
    Unreadable,
    read,
)

TRIES: Final = 2
"""So often is an update tried that makes the program fail."""
PLACE_LASTS: Final = timedelta(minutes=5)
"""A call belongs to the place that was shared this little before or after it; at 8 kn 0.7 nm."""
SOUND_SUFFIXES: Final = (".wav", ".flac", ".ogg", ".oga", ".opus")
COMMANDS: Final = {
    "tally": ("tally", "strikes, hours and rates so far"),
    "spread": ("what's out", "what is in the water"),
    "next": ("what next", "the next change worth making"),
    "why": ("why", "the numbers behind it"),
    "undo": ("undo", "the last entry is void"),
    "help": ("help", "what can be called"),
}
"""The command menu: what a command says, and what the menu says of it."""
GUEST: Final = "Guests may ask, in typed words: tally, what's out, what next. Nothing was logged."
STALE: Final = "That was answered, or other calls came since. Call it out instead."
QUESTIONS: Final = frozenset({"why", "tally", "what's out", "what next", "help"})
"""What a button may say at any time: it changes nothing."""

_PASSING: Final = (errno.ENOSPC, errno.EDQUOT, errno.EROFS, errno.EIO, errno.EMFILE, errno.ENOMEM)

_log = logging.getLogger(__name__)
Answer = Callable[[Message, Heard | None], Awaitable[Reply]]


async def _nothing(_text: str) -> bool:
    return False


async def _nameless() -> str:
    return ""


class Api(Protocol):
    """What of the Bot API is needed here."""

    async def fetch(self, file_id: str, max_bytes: int) -> bytes:
        """Fetch a file; raises TooLarge."""
        ...

    async def answer_callback_query(
        self, callback_query_id: str, text: str | None = None, show_alert: bool | None = None
    ) -> bool:
        """Stop the waiting sign on a button."""
        ...


@dataclass(slots=True)
class Handler:
    """Empties the inbox."""

    api: Api
    store: Store
    gate: Callable[[], Gate]
    answer: Answer
    clock: Callable[[], datetime]
    ears: Ears
    max_bytes: int
    max_s: float = 60.0
    """Longer recordings are not fetched."""
    acknowledge: str = "reply"
    boat_of: Callable[[int], str] = lambda _chat: ""
    is_mine: Callable[[str], bool] = lambda _boat: True
    """Which boats are handled here."""
    bot_name: Callable[[], Awaitable[str]] = _nameless
    """The bot's own user name; asked for only where a command names a bot."""
    changed: Callable[[int], None] = lambda _chat: None
    """Told the chat after each update that changed or asked something."""
    only_asks: Callable[[str], Awaitable[bool]] = _nothing
    """Whether a text changes nothing in the log: all that a guest may say."""
    backoff: Backoff = field(default_factory=Backoff)

    async def step(self) -> float | None:
        """Handle one update; None where none waits, else seconds until the next attempt."""
        if (heard := self.ears.take_heard()) is not None:
            return await self._tried(heard.waiting, self._heard(heard))
        waiting = self.store.next_waiting(
            lambda number, boat: self.is_mine(boat) and self.ears.may_take(number, boat)
        )
        if waiting is None:
            return self.ears.wait_s()
        return await self._tried(waiting, self._handle(waiting))

    async def finish(self, seconds: float) -> None:
        """Handle what is being heard, as far as it is heard in this time; the rest stays for next time."""
        await self.ears.settle(seconds)
        while (heard := self.ears.take_heard()) is not None:
            await self._tried(heard.waiting, self._heard(heard))
        self.ears.drop()

    async def _tried(self, waiting: Waiting, handling: Awaitable[None]) -> float:
        """Take a step with an update; gives seconds until the next."""
        try:
            await handling
        except Exception as exc:
            if not _will_pass(exc):
                _log.exception("update %d could not be handled", waiting.update_id)
                self._failed(waiting)
                return 0.1
            wait_s = self.backoff.failed()
            if isinstance(exc, RetryAfter):
                wait_s = max(wait_s, 1.0)
            _log.warning(
                "a call waits (%s: %s); trying again in %.0f s", type(exc).__name__, exc, wait_s
            )
            return wait_s
        self.backoff.worked()
        return 0.0

    async def _handle(self, waiting: Waiting) -> None:
        try:
            update = read(waiting.raw)
        except Unreadable as exc:
            self.store.quarantine(waiting.update_id, str(exc))
            return
        match update:
            case Said() if self._admitted(update.chat, update.user, update.private):
                await self._said(waiting, update)
            case Pressed() if self._admitted(update.chat, update.user, update.private):
                await self._pressed(waiting.update_id, update)
            case Moved():
                if update.chat in self.gate().crew:
                    self.store.move(update.chat, update.to, self.clock())
                self.store.finish(waiting.update_id)
            case _:
                self.store.finish(waiting.update_id)

    def _admitted(self, chat: int, user: int, private: bool) -> bool:
        return self.gate().role(chat, user, private) is not None

    async def _said(self, waiting: Waiting, said: Said) -> None:
        update_id = waiting.update_id
        text = await self._plain(said.text) if said.text is not None else None
        if said.place is not None and not self._is_guest(said):
            self._keep_place(said.chat, said.place, said.edited_at or said.at)
        if not text and (said.file is None or said.edited_at is not None):
            self.store.finish(update_id)
            return
        if not await self._may_say(said, text):
            self.store.finish(update_id, [Send(said.chat, GUEST, said.at, said.message)])
            return
        message = replace(
            self._message(said, said.at), text=text, ref=said.ref, edited_at=said.edited_at
        )
        if said.file is not None and text is None:
            sound = await self._sound(said.file)
            if isinstance(sound, str):
                told = [Send(said.chat, sound, said.at, said.message)] if sound else []
                self.store.finish(update_id, told)
                return
            message = replace(message, sound=sound, name=said.file.name)
            self.ears.begin(waiting, said, message, self.boat_of(said.chat))
            return
        reply = await self._answer(message)
        self._finish(
            update_id, reply, said.chat, said.message, said.at, edited=said.edited_at is not None
        )

    async def _heard(self, one: UnderWay) -> None:
        """Answer a recording that has been heard."""
        reply = await self._answer(one.message, await one.heard)
        said = one.said
        self._finish(one.waiting.update_id, reply, said.chat, said.message, said.at)

    def _message(self, one: Said | Pressed, at: datetime) -> Message:
        """Give a message without its words: who, when, where, and what he may do."""
        place = self.store.place(self.boat_of(one.chat))
        latitude, longitude = None, None
        if place is not None and abs(at - place[2]) <= PLACE_LASTS:
            latitude, longitude = place[0], place[1]
        role = self.gate().role(one.chat, one.user, one.private)
        return Message(
            one.name, at, "telegram", private=one.private, latitude=latitude, longitude=longitude,
            skipper=role == "skipper",
        )  # fmt: skip

    def _keep_place(self, chat: int, place: Place, at: datetime) -> None:
        self.store.set_place(self.boat_of(chat), place.latitude_deg, place.longitude_deg, at)

    async def _answer(self, message: Message, heard: Heard | None = None) -> Reply:
        try:
            return await self.answer(message, heard)
        except (LogbookError, Broken):
            raise
        except DeckcallError as exc:  # an engine that is missing, a recording that is broken
            return Reply(f"Not logged: {exc}")

    async def _may_say(self, said: Said, text: str | None) -> bool:
        if not self._is_guest(said):
            return True
        return said.file is None and text is not None and await self.only_asks(text)

    def _is_guest(self, one: Said | Pressed) -> bool:
        return self.gate().role(one.chat, one.user, one.private) == "guest"

    async def _sound(self, file: Attachment) -> bytes | str:
        """Fetch a recording; gives a sentence where it cannot be used, empty for what is no recording."""
        if not _is_sound(file):
            return ""
        if file.bytes > self.max_bytes:
            return _too_large(self.max_bytes)
        if file.seconds > self.max_s:
            return (
                f"Not logged: that recording is longer than {self.max_s:g} s. "
                "Say one call in one recording."
            )
        try:
            return await self.api.fetch(file.file_id, self.max_bytes)
        except TooLarge:
            return _too_large(self.max_bytes)
        except FileGone:
            return "Telegram no longer has that recording. Please call it again."

    async def _pressed(self, update_id: int, pressed: Pressed) -> None:
        number = int(pressed.data[1:]) if pressed.data[1:].isdecimal() else -1
        boat = self.boat_of(pressed.chat)
        button = self.store.button(number, pressed.chat, boat)
        if button is None or not _is_fresh(button):
            await self._stop_waiting(pressed.query, STALE)
            self.store.finish(update_id)
            return
        if self._is_guest(pressed) and not await self.only_asks(button.say):
            await self._stop_waiting(pressed.query, GUEST)
            self.store.finish(update_id)
            return
        ref = f"telegram:{pressed.chat}:{pressed.message}:b{number}"
        now = self.clock()
        message = replace(self._message(pressed, now), text=button.say, ref=ref)
        reply = await self._answer(message)
        await self._stop_waiting(pressed.query, None)
        answered = None if button.say in QUESTIONS else number
        self._finish(update_id, reply, pressed.chat, pressed.message, now, answered)

    async def _stop_waiting(self, query: str, text: str | None) -> None:
        try:
            await self.api.answer_callback_query(query, text=text, show_alert=text is not None)
        except TelegramError:
            _log.debug("a button's waiting sign could not be stopped", exc_info=True)

    def _finish(
        self,
        update_id: int,
        reply: Reply,
        chat: int,
        message: int,
        at: datetime,
        pressed: int | None = None,
        edited: bool = False,
    ) -> None:
        undone = any(call["act"] == "undo" for call in reply.calls)
        turn = bool(reply.logged or reply.ask or reply.buttons or undone)
        turn = turn or (edited and bool(reply.text))
        sends = sends_of(reply, chat, message, at, self.acknowledge)
        boat = self.boat_of(chat) if turn else None
        self.store.finish(update_id, sends, boat=boat, pressed=pressed)
        if turn:
            self.changed(chat)

    def _failed(self, waiting: Waiting) -> None:
        if waiting.tries + 1 < TRIES:
            self.store.tried(waiting.update_id)
            return
        told: list[Send] = []
        try:
            update = read(waiting.raw)
        except Unreadable:
            update = None
        if isinstance(update, Said):
            text = "That call makes me fail, so it is not logged. Please say it another way."
            told.append(Send(update.chat, text, update.at, update.message))
        self.store.quarantine(waiting.update_id, "the program failed on it", told)

    async def _plain(self, text: str) -> str:
        """Turn a command of the menu into what it says."""
        if not text.startswith("/"):
            return text
        word, _, rest = text[1:].partition(" ")
        name, _, meant = word.partition("@")
        if meant and meant.lower() != (await self.bot_name()).lower():
            return ""  # for another bot of the group
        if name == "start":
            return "help"
        known = COMMANDS.get(name.lower())
        return f"{known[0] if known else name} {rest}".strip()


def sends_of(
    reply: Reply, chat: int, message: int, at: datetime, acknowledge: str = "reply"
) -> list[Send]:
    """Give what a reply puts into the outbox: nothing for an empty one."""
    if not reply.text and not reply.pictures:
        return []
    plain = reply.logged and not (reply.ask or reply.advice or reply.pictures)
    if acknowledge == "reaction" and plain:
        return [Send(chat, reply.text, at, message, kind="reaction")]
    sends = [Send(chat, part, at, message) for part in cut(reply.text) if part]
    if sends and reply.buttons:
        sends[-1] = Send(chat, sends[-1].text, at, message, _few(reply.buttons))
    sends += [
        Send(chat, picture.caption, at, message, picture=picture.data, kind="picture")
        for picture in reply.pictures
    ]
    return sends


def _few(buttons: tuple[Button, ...]) -> tuple[Button, ...]:
    return buttons[:4]


def _will_pass(exc: Exception) -> bool:
    """Say whether waiting may help: no network, a full disk, a log that another program holds."""
    if isinstance(exc, OSError) and not isinstance(exc, LogbookError):
        return exc.errno in _PASSING
    return isinstance(exc, LogbookError | sqlite3.OperationalError | TelegramError)


def _is_fresh(button: StoredButton) -> bool:
    return button.say in QUESTIONS or (button.latest and not button.pressed)


def _is_sound(file: Attachment) -> bool:
    kind = file.media_type.lower()
    return (
        kind.startswith("audio/")
        or kind == "application/ogg"
        or file.name.lower().endswith(SOUND_SUFFIXES)
    )


def _too_large(max_bytes: int) -> str:
    return f"That recording is over {max_bytes / 1e6:g} MB. A call takes a few seconds."
