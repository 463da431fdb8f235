"""What comes of messages that are answered together, boat by boat."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from bot.messages import Message, Reply
from bot.transcript import Heard


@dataclass(frozen=True, slots=True)
class Call:
    """A message, and what was heard in its recording where that was asked elsewhere."""

    message: Message
    heard: Heard | None = None


@dataclass(frozen=True, slots=True)
class Answered:
    """What came of messages of one boat, in their order."""

    replies: tuple[Reply, ...]
    failed: Exception | None = None
    """Why the message after these could not be answered; those after it were not tried."""


Said = Sequence[Sequence[Call]]
"""Calls of several boats, each boat's in order."""


def one_by_one(
    answer: Callable[[Message, Heard | None], Reply],
) -> Callable[[Said], Sequence[Answered]]:
    """Make what answers the messages of several boats from what answers one."""

    def each(said: Said) -> Sequence[Answered]:
        return [_one_boat(answer, calls) for calls in said]

    return each


def _one_boat(answer: Callable[[Message, Heard | None], Reply], calls: Sequence[Call]) -> Answered:
    replies: list[Reply] = []
    for call in calls:
        try:
            replies.append(answer(call.message, call.heard))
        except Exception as exc:
            return Answered(tuple(replies), exc)
    return Answered(tuple(replies))
