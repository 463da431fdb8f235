"""How fast may be sent, and how long to wait after a failure. Pure: the time is an argument."""

from collections import Counter, deque
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import timedelta
from typing import Final

GROUP_PER_MIN: Final = 20
"""Telegram's limit for one group, from its FAQ for bots."""
PRIVATE_PER_MIN: Final = 60
ALL_PER_S: Final = 30
"""Its limit for all chats together, from the same place."""
WINDOW_S: Final = 60.0
BOARDS_PER_MIN: Final = 2
"""Of a chat's limit so much is left for its board, if it has one: an edit in half a minute."""
FREE_SHARE: Final = 0.5
"""Share of a chat's limit that is used at once; what is left is spread over the minute, and answers
share a message. Higher answers longer one by one, and then waits longer."""
EVEN_SHARE: Final = 0.9
"""Answers may come so evenly that the limit is used up in this share of a minute; what is left of it is the
longest silence after them. Less lets busy groups go on at once for longer, and then be silent for longer."""
FIRST_WAIT_S: Final = 0.5
LONGEST_WAIT_S: Final = 15.0
"""Where the signal comes back after hours, it is used this soon."""
REFUSED_S: Final = 1.0
"""A file that Telegram refuses may be had a moment later."""
CONFLICT_S: Final = 5.0
"""Where another program polls with the same token, it is left alone for at least this long."""
EDITED_AGAIN_S: Final = 2.0
"""How long an edit waits for the next one of the same message; more makes fewer answers."""


@dataclass(slots=True)
class Backoff:
    """Waiting that doubles with each failure in a row."""

    longest_s: float = LONGEST_WAIT_S
    failures: int = 0
    first_s: float = FIRST_WAIT_S

    def count_failure(self) -> float:
        """Count a failure; return the seconds to wait before the next attempt."""
        self.failures += 1
        return min(self.longest_s, self.first_s * 2.0 ** min(self.failures - 1, 16))

    def start_anew(self) -> None:
        """Begin anew."""
        self.failures = 0


@dataclass(frozen=True, slots=True)
class Waits:
    """How long the bot waits for what may pass or come."""

    first_s: float = FIRST_WAIT_S
    """Before the second attempt."""
    longest_s: float = LONGEST_WAIT_S
    """Before any later one."""
    refused_s: float = REFUSED_S
    conflict_s: float = CONFLICT_S
    edited_again_s: float = EDITED_AGAIN_S
    window_s: float = WINDOW_S
    """The time that the limits of a chat are counted in."""

    def backoff(self) -> Backoff:
        """Return the waits between attempts at one thing, from the first."""
        return Backoff(self.longest_s, first_s=self.first_s)


@dataclass(slots=True)
class Pace:
    """What was sent to each chat in the last minute, and to all in the last second."""

    window_s: float = WINDOW_S
    _sent_s: dict[int, deque[float]] = field(default_factory=dict)
    _boards_s: dict[int, deque[float]] = field(default_factory=dict)
    _paused_until_s: dict[int, float] = field(default_factory=dict)
    _all_s: deque[float] = field(default_factory=deque)

    def wait_s(self, chat: int, now_s: float) -> float:
        """Return how long an answer to this chat has to wait; 0 where it may go now.

        Where answers came close together, what is left of the minute is spread over it; where they came
        so evenly that the limit lasts the minute out, none waits. Boards take from the limit alone.
        """
        full_s = self.full_s(chat, now_s)
        boards = self._lately(self._boards_s.get(chat, deque()), now_s)
        kept = BOARDS_PER_MIN if chat in self._boards_s else 0
        most = _per_min(chat) - max(len(boards), kept)
        answers = _without(self._window(chat, now_s), boards)
        if full_s > 0 or len(answers) < most * FREE_SHARE:
            return full_s
        if len(answers) >= most:
            return max(self.refused_s(chat, now_s), answers[0] + self.window_s - now_s)
        gap_s = (answers[0] + self.window_s - now_s) / (most - len(answers))
        spread_s = answers[-1] + gap_s - now_s
        even_s = answers[0] + self.window_s * EVEN_SHARE * (len(answers) + 1) / most - now_s
        return max(self.refused_s(chat, now_s), min(spread_s, even_s))

    def full_s(self, chat: int, now_s: float) -> float:
        """Return how long this chat has to wait where the share that is kept back is used too."""
        sent = self._window(chat, now_s)
        until_more_s = sent[0] + self.window_s - now_s if len(sent) >= _per_min(chat) else 0.0
        return max(self.refused_s(chat, now_s), until_more_s)

    def refused_s(self, chat: int, now_s: float) -> float:
        """Return how long Telegram itself has asked to send nothing to this chat."""
        return max(0.0, self._paused_until_s.get(chat, 0.0) - now_s)

    def scarce(self, chat: int, now_s: float) -> bool:
        """Return whether several answers should share a message."""
        low = len(self._window(chat, now_s)) >= _per_min(chat) * FREE_SHARE
        return low or self.room(now_s) < ALL_PER_S * FREE_SHARE

    def room(self, now_s: float) -> int:
        """Return how many messages may go now, to whatever chats."""
        while self._all_s and now_s - self._all_s[0] >= 1.0:
            self._all_s.popleft()
        return ALL_PER_S - len(self._all_s)

    def room_in_s(self, now_s: float) -> float:
        """Return the seconds until there is room again."""
        return max(0.01, self._all_s[0] + 1.0 - now_s) if self._all_s else 0.01

    def spend(self, chat: int, now_s: float, *, answer: bool = True) -> None:
        """Count one message: an answer, or a board that is shown or edited."""
        if not answer:
            self._boards_s.setdefault(chat, deque()).append(now_s)
        self._window(chat, now_s).append(now_s)
        self._all_s.append(now_s)

    def pause(self, chat: int, for_s: float, now_s: float) -> None:
        """Send nothing to this chat for a while, as Telegram asked."""
        self._paused_until_s[chat] = now_s + for_s

    def _window(self, chat: int, now_s: float) -> deque[float]:
        return self._lately(self._sent_s.setdefault(chat, deque()), now_s)

    def _lately(self, sent_s: deque[float], now_s: float) -> deque[float]:
        while sent_s and now_s - sent_s[0] >= self.window_s:
            sent_s.popleft()
        return sent_s


def _without(sent_s: Iterable[float], boards_s: Iterable[float]) -> list[float]:
    """Return when answers were sent: all that was sent, without the boards."""
    left = Counter(sent_s)
    left.subtract(boards_s)
    return sorted(left.elements())


def seconds(said: int | timedelta) -> float:
    """Return the seconds that Telegram asks to wait; the library gives one form or the other."""
    return said.total_seconds() if isinstance(said, timedelta) else float(said)


def _per_min(chat: int) -> int:
    return GROUP_PER_MIN if chat < 0 else PRIVATE_PER_MIN
