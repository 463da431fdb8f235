"""The Bot API over the library's `Bot`, with updates as they came: raw.

The library reads a whole batch of updates at once and fails for all where one has a shape that it
does not know; here each is handed on as JSON. Every error stays the library's own.
"""

import asyncio
import logging
from contextlib import suppress
from typing import Any, Final

from telegram import Bot, File
from telegram.error import (
    BadRequest,
    Forbidden,
    NetworkError,
    RetryAfter,
    TelegramError,
    TimedOut,
)  # fmt: skip

from bot.transports.telegram.http import READ_S, Wire

SEND_SLOTS: Final = 16
"""Requests under way at once; more answers many groups sooner."""
UPDATE_KINDS: Final = ("message", "edited_message", "callback_query")
DOWNLOADS: Final = 3
"""Attempts at a download before asking whether the file or the network is at fault."""


class TooLarge(Exception):
    """A file is larger than what a call may be."""


class FileGone(Exception):
    """Telegram answers, but this file cannot be had (any more)."""


class RawBot(Bot):
    """The library's Bot, which also gives updates unread."""

    async def raw_updates(self, offset: int | None, wait_s: int) -> list[Any]:
        """Wait for updates; `offset` confirms all that came before it."""
        data: dict[str, Any] = {
            "timeout": wait_s,
            "allowed_updates": list(UPDATE_KINDS),
            "limit": 100,
        }
        if offset is not None:
            data["offset"] = offset
        found = await self._post("getUpdates", data, read_timeout=wait_s + READ_S)
        return found if isinstance(found, list) else []

    async def fetch(self, file_id: str, max_bytes: int, again_s: float) -> bytes:
        """Fetch a file; raises TooLarge (before the download where its size is known) or FileGone.

        `again_s` is how long to wait before a file that is refused is asked for again.
        """
        file = await self._file(file_id, again_s)
        if (file.file_size or 0) > max_bytes:
            raise TooLarge
        if not file.file_path or not file.file_path.startswith(("http://", "https://")):
            raise FileGone  # a path of the server's own disk, or none
        for _ in range(DOWNLOADS):
            try:
                data = await self.request.retrieve(file.file_path, read_timeout=READ_S)
                break
            except RetryAfter:
                raise
            except TelegramError as exc:  # 404 comes as InvalidToken
                if type(exc) in (NetworkError, TimedOut):  # 5xx, or no answer: that will pass
                    raise
                failed = exc
                await asyncio.sleep(again_s)
        else:
            await self.get_me()  # raises where it is the network and not the file
            raise FileGone from failed
        if len(data) > max_bytes:
            raise TooLarge
        return data

    async def _file(self, file_id: str, again_s: float) -> File:
        """Ask where a file lies; "temporarily unavailable" is a 400 too, so that is asked again."""
        for _ in range(DOWNLOADS):
            try:
                return await self.get_file(file_id)
            except Forbidden as exc:
                raise FileGone from exc
            except BadRequest as exc:
                failed = exc
                await asyncio.sleep(again_s)
        raise FileGone from failed

    async def hang_up(self) -> None:
        """Close the connections; `shutdown` of the library does so only after its `initialize`."""
        for request in self._request:
            with suppress(Exception):
                await request.shutdown()


def raw_bot(token: str, api: str) -> RawBot:
    """Make the bot for a base address such as `https://api.telegram.org`."""
    return RawBot(
        token,
        base_url=f"{api}/bot",
        base_file_url=f"{api}/file/bot",
        request=Wire(SEND_SLOTS),
        get_updates_request=Wire(1),
    )


class HideToken(logging.Filter):
    """Keeps the token out of everything that is logged, tracebacks included."""

    def __init__(self, token: str) -> None:
        super().__init__()
        self._token = token

    def filter(self, record: logging.LogRecord) -> bool:
        """Put stars for the token; every record passes."""
        record.msg, record.args = self._hidden(record.getMessage()), ()
        if record.exc_info and not record.exc_text:
            record.exc_text = logging.Formatter().formatException(record.exc_info)
        if record.exc_text:
            record.exc_text = self._hidden(record.exc_text)
        return True

    def _hidden(self, text: str) -> str:
        return text.replace(self._token, "***")
