"""From the outbox to Telegram: in order for each chat, tried until it has left or is refused for good.

No answer is lost to a 429, a dead network or hours without signal. A send that broke off may have
arrived all the same: it is tried again, so an answer can be seen twice, but no call is logged twice.
Where a group calls faster than Telegram lets the bot answer, answers share a message.
"""

import logging
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from telegram import Bot, InlineKeyboardButton, InlineKeyboardMarkup
from telegram.error import BadRequest, ChatMigrated, Forbidden, RetryAfter, TelegramError

from bot.transports.telegram.pace import Backoff, Pace, seconds
from bot.transports.telegram.store import Outgoing, Send, Store

LATE: Final = timedelta(minutes=3)
"""An answer that comes later than this says when the call was made."""
MOST_LETTERS: Final = 4096
"""Of one message, by the Bot API."""
MOST_CAPTION: Final = 1024
SUM_AT_MOST: Final = 40
SUM_LETTERS: Final = 3500
"""Answers that share a message stay below this together; must stay below `MOST_LETTERS`."""
THUMB: Final = "👍"

_log = logging.getLogger(__name__)


def cut(text: str, most: int = MOST_LETTERS) -> tuple[str, ...]:
    """Cut a long text into messages, at line ends where there are any."""
    parts: list[str] = []
    rest = text
    while _units(rest) > most:
        head = _first_units(rest, most)
        end = head.rfind("\n")
        head = head[:end] if end > 0 else head
        parts.append(head)
        rest = rest[len(head) :].lstrip("\n")
    return (*parts, rest) if rest or not parts else tuple(parts)


def summed(rows: Sequence[Outgoing]) -> str:
    """Put several answers into one: the first line of each, the last one whole."""
    heads = [f"• {row.send.text.splitlines()[0]}" for row in rows[:-1]]
    return cut("\n".join([*heads, f"• {rows[-1].send.text}"]))[0]


@dataclass(slots=True)
class Sender:
    """Empties the outbox."""

    bot: Bot
    store: Store
    zone: ZoneInfo
    clock: Callable[[], datetime]
    monotonic_s: Callable[[], float]
    pace: Pace = field(default_factory=Pace)
    backoff: Backoff = field(default_factory=Backoff)
    _gone: dict[int, int | None] = field(default_factory=dict)
    """Rows that have left, and as which message, but could not be marked: the disk is full, say."""

    async def step(self) -> float | None:
        """Send what may go now; gives seconds until more may go, None where nothing waits."""
        if self._gone:
            self._mark_gone()  # raises as long as it cannot be done; nothing is sent twice meanwhile
        waits: list[float] = []
        chats: dict[int, list[Outgoing]] = {}
        for row in self.store.waiting():
            chats.setdefault(row.send.chat, []).append(row)
        for chat, rows in chats.items():
            while rows:
                wait_s = self.pace.wait_s(chat, self.monotonic_s())
                if wait_s > 0:
                    waits.append(wait_s)
                    break
                batch = self._batch(rows)
                retry_s = await self._try(batch)
                if retry_s is not None:
                    waits.append(retry_s)
                    if self.backoff.failures:
                        return retry_s  # the network is down for every chat
                    break
                del rows[: len(batch)]
        return min(waits) if waits else None

    def _batch(self, rows: Sequence[Outgoing]) -> Sequence[Outgoing]:
        """Give the rows that share the next message: one, unless the chat's budget runs low."""
        if not self.pace.scarce(rows[0].send.chat, self.monotonic_s()):
            return rows[:1]
        plain, letters = 0, 0
        for row in rows[:SUM_AT_MOST]:
            letters += _units(row.send.text) + 3
            if row.send.kind != "text" or row.send.buttons or row.tries or letters > SUM_LETTERS:
                break
            plain += 1
        return rows[: max(1, plain)]

    async def _try(self, batch: Sequence[Outgoing]) -> float | None:
        """Send a batch; None where it is dealt with, else the seconds after which to try again."""
        chat, now_s = batch[0].send.chat, self.monotonic_s()
        try:
            message = await self._send(batch)
        except RetryAfter as exc:
            wait_s = seconds(exc.retry_after) + 0.5
            self.pace.pause(chat, wait_s, now_s)
            return wait_s
        except ChatMigrated as exc:
            self.store.move(chat, exc.new_chat_id, self.clock())
            return 0.0
        except (BadRequest, Forbidden) as exc:
            self._refused(batch, exc)
            return 0.0
        except TelegramError as exc:
            wait_s = self.backoff.failed()
            _log.warning("cannot send (%s); trying again in %.0f s", type(exc).__name__, wait_s)
            return wait_s
        self.backoff.worked()
        self.pace.spend(chat, now_s)
        self._gone |= dict.fromkeys((row.id for row in batch), message)
        self._mark_gone()
        return None

    def _mark_gone(self) -> None:
        self.store.sent(self._gone)
        self._gone.clear()

    def _refused(self, batch: Sequence[Outgoing], exc: TelegramError) -> None:
        """Try once more, alone and without anything that Telegram may dislike, then give up."""
        for row in batch:
            if row.tries == 0 and (len(batch) > 1 or isinstance(exc, BadRequest)):
                self.store.make_plain(row.id, str(exc))
            else:
                self.store.give_up(row.id, str(exc))
                _log.warning("an answer was refused for good: %s", exc)

    async def _send(self, batch: Sequence[Outgoing]) -> int | None:
        row = batch[-1]
        send = row.send
        if len(batch) > 1:
            return (await self.bot.send_message(send.chat, summed(batch))).message_id
        if send.kind == "reaction" and send.reply_to is not None:
            await self.bot.set_message_reaction(send.chat, send.reply_to, THUMB)
            return None
        text = self._late(send) + send.text
        if send.kind == "picture" and send.picture is not None:
            sent = await self.bot.send_photo(
                send.chat,
                send.picture,
                caption=cut(text, MOST_CAPTION)[0],
                reply_to_message_id=send.reply_to,
                allow_sending_without_reply=True,
            )
            return sent.message_id
        sent = await self.bot.send_message(
            send.chat,
            cut(text)[0],
            reply_to_message_id=send.reply_to,
            allow_sending_without_reply=True,
            reply_markup=_keyboard(row),
            disable_web_page_preview=True,
        )
        return sent.message_id

    def _late(self, send: Send) -> str:
        if self.clock() - send.called <= LATE:
            return ""
        return f"(to the call of {send.called.astimezone(self.zone):%H:%M})\n"


def _keyboard(row: Outgoing) -> InlineKeyboardMarkup | None:
    """Make the buttons, two in a row: large enough for a wet thumb."""
    made = [
        InlineKeyboardButton(button.label, callback_data=f"b{number}")
        for number, button in zip(row.button_ids, row.send.buttons, strict=True)
    ]
    return InlineKeyboardMarkup([made[i : i + 2] for i in range(0, len(made), 2)]) if made else None


def _units(text: str) -> int:
    """Count as Telegram does: in UTF-16 code units."""
    return len(text.encode("utf-16-le", "surrogatepass")) // 2


def _first_units(text: str, most: int) -> str:
    taken, used = 0, 0
    for letter in text:
        used += 2 if ord(letter) > 0xFFFF else 1
        if used > most:
            break
        taken += 1
    return text[:taken]
