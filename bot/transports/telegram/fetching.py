"""Recordings from Telegram's server: what need not be fetched, and what is tried until it comes.

A download that fails holds up nobody: it goes on beside the calls of its boat, in `ears`.
"""

import asyncio
import logging
from dataclasses import dataclass, field

from telegram.error import TelegramError

from bot.recording import is_recording
from bot.transports.telegram import notices
from bot.transports.telegram.api import FileGone, TooLarge
from bot.transports.telegram.collaborators import Api
from bot.transports.telegram.pace import Waits
from bot.transports.telegram.updates import Attachment

_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Fetcher:
    """Fetches recordings, of at most so many bytes and seconds."""

    api: Api
    max_bytes: int
    max_s: float
    waits: Waits = field(default_factory=Waits)

    def refusal(self, file: Attachment) -> str | None:
        """Return why a file is not even fetched, empty for what is no recording; None where it is."""
        if not is_recording(file.name, file.media_type):
            return ""
        if file.bytes > self.max_bytes:
            return notices.too_large(self.max_bytes)
        if file.seconds > self.max_s:
            return notices.too_long(self.max_s)
        return None

    async def fetch(self, file: Attachment) -> bytes | str:
        """Return a recording, however long the network is away, or the sentence why it cannot be had."""
        backoff = self.waits.backoff()
        while True:
            try:
                return await self.api.fetch(file.file_id, self.max_bytes, self.waits.refused_s)
            except TooLarge:
                return notices.too_large(self.max_bytes)
            except FileGone:
                return notices.NO_RECORDING
            except TelegramError as exc:
                wait_s = backoff.count_failure()
                _log.warning(
                    "a recording waits (%s); trying again in %.0f s", type(exc).__name__, wait_s
                )
                await asyncio.sleep(wait_s)
