"""What comes of messages that are answered together, boat by boat."""

from collections.abc import Sequence
from dataclasses import dataclass

from bot.messages import Message, Reply
from bot.transcript import HearingResult


@dataclass(frozen=True, slots=True)
class BoatCall:
    """A message, and what was heard in its recording where that was asked elsewhere."""

    message: Message
    heard: HearingResult | None = None


@dataclass(frozen=True, slots=True)
class BatchResult:
    """What came of messages of one boat, in their order."""

    replies: tuple[Reply, ...]
    failed: Exception | None = None
    """Why the message after these could not be answered; those after it were not tried."""


BatchCalls = Sequence[Sequence[BoatCall]]
"""Calls of several boats, each boat's in order."""
