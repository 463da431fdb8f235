"""Send the outbox to Telegram: in order for each chat, tried until it has left or is refused for good.

No answer is lost to a 429, a dead network or hours without signal. A send that broke off may have
arrived all the same: it is tried again, so an answer can be seen twice, but no call is logged twice.
Where a group calls faster than Telegram lets the bot answer, answers share a message. The answer to an
emergency has a sender of its own, which waits for nothing but Telegram's own refusal.
"""

import asyncio
import logging
import sqlite3
from collections import deque
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from telegram import Bot, InlineKeyboardButton, InlineKeyboardMarkup
from telegram.error import BadRequest, ChatMigrated, Forbidden, RetryAfter, TelegramError

from bot.transports.telegram.commits import Commits
from bot.transports.telegram.cut import MOST_CAPTION, cut, units
from bot.transports.telegram.pace import Backoff, Pace, seconds
from bot.transports.telegram.store import OutboxRow, Send, Store

LATE: Final = timedelta(minutes=3)
"""An answer that comes later than this says when the call was made."""
SUM_AT_MOST: Final = 40
SUM_LETTERS: Final = 3500
"""Answers that share a message stay below this together; must stay below what a message holds."""
AT_ONCE: Final = 8
"""Most chats that are sent to at the same time; more is quicker where the way to Telegram is long."""
THUMB: Final = "👍"

YIELD_S: Final = 0.1
"""How soon it is looked again whether the answer to an emergency has left."""

_log = logging.getLogger(__name__)


def sum_up(rows: Sequence[OutboxRow]) -> str:
    """Put several answers into one: the first line of each, the last one whole."""
    heads = [f"• {row.send.text.splitlines()[0]}" for row in rows[:-1]]
    return cut("\n".join([*heads, f"• {rows[-1].send.text}"]))[0]


@dataclass(slots=True)
class Sender:
    """Empties the outbox, of which it holds a copy in memory."""

    bot: Bot
    commits: Commits
    zone_of: Callable[[int], ZoneInfo]
    """The time of the boat of a chat, as its answers have it."""
    clock: Callable[[], datetime]
    monotonic_s: Callable[[], float]
    pace: Pace = field(default_factory=Pace)
    backoff: Backoff = field(default_factory=Backoff)
    first: "Sender | None" = None
    """Who sends the urgent rows, before any other of the same chat; None where all are urgent."""
    _rows: dict[int, deque[OutboxRow]] = field(default_factory=dict)
    _gone: dict[int, int | None] = field(default_factory=dict)
    """Rows that have left, and as which message, but are not marked yet."""

    def put(self, rows: Iterable[OutboxRow]) -> None:
        """Take up rows of the outbox, in their order."""
        for row in rows:
            if self.first is not None and row.send.urgent:
                self.first.put([row])
            else:
                self._rows.setdefault(row.send.chat, deque()).append(row)

    def has_waiting(self, chat: int) -> bool:
        """Return whether an answer to a chat waits to leave."""
        return bool(self._rows.get(chat)) or (
            self.first is not None and self.first.has_waiting(chat)
        )

    def move(self, chat: int, to: int) -> None:
        """Send what waits for a group to the id that it has been given."""
        if self.first is not None:
            self.first.move(chat, to)
        self.put(replace(row, send=replace(row.send, chat=to)) for row in self._rows.pop(chat, ()))

    async def step(self) -> float | None:
        """Send what may go now; return seconds until more may go, None where nothing waits."""
        while True:
            if self._gone:
                await self.mark_gone()  # raises as long as it cannot be done; nothing goes twice
            batches, wait_s = self._due()
            if not batches:
                return wait_s
            waits = await asyncio.gather(
                *(self._try(batch) for batch in batches), return_exceptions=True
            )
            if self.backoff.failures:  # the network is down for every chat
                await self.mark_gone()
                return max((wait_s for wait_s in waits if isinstance(wait_s, float)), default=1.0)
            for failed in waits:
                if isinstance(failed, BaseException):
                    raise failed

    async def mark_gone(self) -> None:
        """Mark what has left; raises where the store cannot be written."""
        gone = dict(self._gone)
        await self.commits.do(lambda store: store.mark_sent(gone))
        for row in gone:
            self._gone.pop(row, None)

    def _due(self) -> tuple[list[Sequence[OutboxRow]], float | None]:
        """Return what may go now, the longest waiting first, else the seconds until something may."""
        now_s = self.monotonic_s()
        waiting = [(self._wait_s(chat, now_s), rows) for chat, rows in self._rows.items() if rows]
        due = sorted((rows for wait_s, rows in waiting if wait_s <= 0), key=lambda rows: rows[0].id)
        later = min((wait_s for wait_s, _ in waiting if wait_s > 0), default=None)
        room = self.pace.room(now_s) if self.first is not None else AT_ONCE
        if due and room <= 0:
            return [], self.pace.room_in_s(now_s)
        return [self._batch(rows) for rows in due[: min(AT_ONCE, room)]], later

    def _wait_s(self, chat: int, now_s: float) -> float:
        if self.first is None:
            return self.pace.refused_s(chat, now_s)
        if self.first._rows.get(chat):
            return max(YIELD_S, self.pace.wait_s(chat, now_s))
        return self.pace.wait_s(chat, now_s)

    def _batch(self, rows: Sequence[OutboxRow]) -> Sequence[OutboxRow]:
        """Return the rows that share the next message: one, unless the budget runs low."""
        if self.first is None or not self.pace.scarce(rows[0].send.chat, self.monotonic_s()):
            return [rows[0]]
        plain: list[OutboxRow] = []
        letters = 0
        for row in rows:
            letters += units(row.send.text) + 3
            is_plain = row.send.kind == "text" and not row.send.buttons and not row.tries
            is_plain = is_plain and row.send.thread == rows[0].send.thread
            if not is_plain or letters > SUM_LETTERS or len(plain) == SUM_AT_MOST:
                break
            plain.append(row)
        return plain or [rows[0]]

    async def _try(self, batch: Sequence[OutboxRow]) -> float:
        """Send a batch; return the seconds after which to try again where it has not left."""
        chat, now_s = batch[0].send.chat, self.monotonic_s()
        self.pace.spend(chat, now_s)
        try:
            message = await self._send(batch)
        except RetryAfter as exc:
            wait_s = seconds(exc.retry_after) + 0.5
            self.pace.pause(chat, wait_s, now_s)
            return wait_s
        except ChatMigrated as exc:
            to, now = exc.new_chat_id, self.clock()
            await self.commits.do(lambda store: store.move(chat, to, now))
            self.move(chat, to)
            return 0.0
        except (BadRequest, Forbidden) as exc:
            await self._refused(batch, exc)
            return 0.0
        except TelegramError as exc:
            wait_s = self.backoff.count_failure()
            _log.warning("cannot send (%s); trying again in %.0f s", type(exc).__name__, wait_s)
            return wait_s
        except sqlite3.Error:
            raise
        except Exception:  # an answer that cannot even be made into a message blocks no others
            _log.exception("an answer cannot be sent")
            await self._refused(batch, BadRequest("it cannot be made into a message"))
            return 0.0
        self.backoff.start_anew()
        self._gone |= dict.fromkeys((row.id for row in batch), message)
        self._take_off(batch)
        return 0.0

    async def _refused(self, batch: Sequence[OutboxRow], exc: TelegramError) -> None:
        """Try once more, alone and without anything that Telegram may dislike, then give up."""
        again = {
            row.id
            for row in batch
            if row.tries == 0 and (len(batch) > 1 or isinstance(exc, BadRequest))
        }
        note = str(exc)

        def write(store: Store) -> None:
            for row in batch:
                (store.make_plain if row.id in again else store.give_up)(row.id, note)

        await self.commits.do(write)
        kept = [
            replace(
                row,
                send=replace(row.send, kind="text", reply_to=None, buttons=()),
                button_ids=(),
                tries=row.tries + 1,
            )
            for row in batch
            if row.id in again
        ]
        if len(kept) < len(batch):
            _log.warning("an answer was refused for good: %s", exc)
        self._take_off(batch)
        self._rows.setdefault(batch[0].send.chat, deque()).extendleft(reversed(kept))

    def _take_off(self, batch: Sequence[OutboxRow]) -> None:
        rows = self._rows.get(batch[0].send.chat, deque())
        gone = {row.id for row in batch}
        while rows and rows[0].id in gone:
            rows.popleft()

    async def _send(self, batch: Sequence[OutboxRow]) -> int | None:
        row = batch[-1]
        send = row.send
        if len(batch) > 1:
            text = self._summed(batch)
            sent = await self.bot.send_message(send.chat, text, message_thread_id=send.thread)
            return sent.message_id
        if send.kind == "reaction" and send.reply_to is not None:
            await self.bot.set_message_reaction(send.chat, send.reply_to, THUMB)
            return None
        text = self._late(send) + send.text
        if send.kind == "picture":
            picture = await self.commits.do(lambda store: store.picture(row.id))
            if picture is not None:
                sent = await self.bot.send_photo(
                    send.chat,
                    picture,
                    caption=cut(text, MOST_CAPTION)[0],
                    reply_to_message_id=send.reply_to,
                    allow_sending_without_reply=True,
                    message_thread_id=send.thread,
                )
                return sent.message_id
        if send.kind == "file" and (data := await self.commits.do(lambda s: s.picture(row.id))):
            sent = await self.bot.send_document(
                send.chat,
                data,
                filename=send.text,
                reply_to_message_id=send.reply_to,
                allow_sending_without_reply=True,
                message_thread_id=send.thread,
            )
            return sent.message_id
        sent = await self.bot.send_message(
            send.chat,
            cut(text)[0],
            reply_to_message_id=send.reply_to,
            allow_sending_without_reply=True,
            message_thread_id=send.thread,
            reply_markup=_keyboard(row),
            disable_web_page_preview=True,
        )
        return sent.message_id

    def _summed(self, batch: Sequence[OutboxRow]) -> str:
        """Put answers into one, each with the time of its call where it comes late."""
        return sum_up([
            replace(row, send=replace(row.send, text=self._late_short(row.send) + row.send.text))
            for row in batch
        ])  # fmt: skip

    def _late(self, send: Send) -> str:
        clock = self._late_clock(send)
        return f"(to the call of {clock})\n" if clock else ""

    def _late_short(self, send: Send) -> str:
        clock = self._late_clock(send)
        return f"{clock} " if clock else ""

    def _late_clock(self, send: Send) -> str:
        """Return when the call was made, with its day where that was another; empty where it is fresh."""
        now = self.clock()
        if now - send.called <= LATE:
            return ""
        zone = self.zone_of(send.chat)
        called = send.called.astimezone(zone)
        same_day = called.date() == now.astimezone(zone).date()
        return f"{called:%H:%M}" if same_day else f"{called:%H:%M} on {called.day} {called:%B}"


def _keyboard(row: OutboxRow) -> InlineKeyboardMarkup | None:
    """Make the buttons, two in a row: large enough for a wet thumb."""
    made = [
        InlineKeyboardButton(button.label, callback_data=f"b{number}")
        for number, button in zip(row.button_ids, row.send.buttons, strict=True)
    ]
    return InlineKeyboardMarkup([made[i : i + 2] for i in range(0, len(made), 2)]) if made else None
