"""A note to what somebody wants to be reminded of, and when. Pure.

    remind me to check for weed in twenty minutes       tell me when the long rigger has been out two hours
    remind us at half past ten to swap the shotgun      remind me to check the lines every half hour
    remind me of the sunset

The note itself is the log's: whoever undoes it takes the reminder back.
"""

import re
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, tzinfo
from typing import Final

from bot.calls.ago import ago_at
from bot.calls.clock import clocks_at
from bot.calls.lattice import Lattice, plain
from bot.calls.numbers import numbers_at
from bot.calls.tokens import Token, tokenise

_ASKS: Final = re.compile(
    r"\s*(?:please )?(?:remind (?:me|us)|(?:tell|warn) (?:me|us) when|let (?:me|us) know when)\b",
    re.I,
)
_JOINS: Final = re.compile(r"^\s*(?:to|of|about|that|when)\b|[\s,.;]+$", re.I)
_SPANS: Final = frozenset({"in", "after"})
_CLOCKS: Final = frozenset({"at", "by", "around", "about", "before"})
_OUT: Final = re.compile(r"\b(?:been|(?:has|have|is) (?:out|in|fishing|swimming|running))\b", re.I)
_SPELT: Final = {
    "min": ("minutes",), "mins": ("minutes",), "hr": ("hours",), "hrs": ("hours",),
}  # fmt: skip
LEAST_EVERY: Final = timedelta(minutes=1)


@dataclass(frozen=True, slots=True)
class Wish:
    """What somebody wants to be reminded of; where none of the last five says when, nobody knows."""

    about: str
    at: datetime | None = None
    every: timedelta | None = None
    position: str | None = None
    """With `out_for`: the line whose lure is meant."""
    out_for: timedelta | None = None
    sunset: bool = False

    @property
    def is_clear(self) -> bool:
        """Say whether it says when."""
        timed = self.at is not None or self.every is not None or self.sunset
        return timed or (self.out_for is not None and self.position is not None)


def wish(
    text: str, said_at: datetime, tz: tzinfo = UTC, lines: Collection[str] = ()
) -> Wish | None:
    """Read a note that was said at a time; None where it asks for no reminder. `lines` are the boat's."""
    asks = _ASKS.match(text)
    if asks is None:
        return None
    rest = text[asks.end() :]
    tokens = tokenise(rest, _SPELT)
    lattice = plain(tokens)
    words = [token.text for token in tokens]
    position = _position(words, lines)
    out_for = _out_for(lattice, words) if _OUT.search(rest) else None
    if position is not None and out_for is not None:
        return Wish(_bare(rest), position=position, out_for=out_for)
    for start, word in enumerate(words):
        timed = _timed(word, lattice, start, said_at, tz)
        if timed is not None:
            at, every, end = timed
            return Wish(_bare(_without(rest, tokens, start, end)), at, every)
    return Wish(_bare(rest), sunset="sunset" in words or "sundown" in words)


def _timed(
    word: str, lattice: Lattice, start: int, said_at: datetime, tz: tzinfo
) -> tuple[datetime | None, timedelta | None, int] | None:
    """Give time or interval, and where its words end; None where none begins here."""
    if word in _SPANS and (span := _span(lattice, start + 1)) is not None:
        return said_at + span[0], None, span[1]
    if word == "every" and (span := _span(lattice, start + 1)) is not None:
        return None, max(span[0], LEAST_EVERY), span[1]
    if word in _CLOCKS and start + 1 < lattice.size:
        clocks = sorted(clocks_at(lattice, start + 1), key=lambda c: (-c.end, c.cost))
        if clocks and (at := _next(clocks[0].clock, said_at, tz)) is not None:
            return at, None, clocks[0].end
    return None


def _span(lattice: Lattice, start: int) -> tuple[timedelta, int] | None:
    """Give how long the words from here say, the longest reading, and where they end."""
    if start >= lattice.size:
        return None
    if lattice.tokens[start].text == "hour":  # "every hour"
        return timedelta(hours=1), start + 1
    found = [
        (end, minutes) for minutes, end, _ in ago_at(lattice, start, numbers_at(lattice, start))
        if minutes
    ]  # fmt: skip
    if not found:
        return None
    end, minutes = max(found)
    return timedelta(minutes=minutes), end


def _out_for(lattice: Lattice, words: list[str]) -> timedelta | None:
    """Give how long a lure is to have been out: the longest span that is said."""
    spans = [span[0] for start in range(len(words)) if (span := _span(lattice, start)) is not None]
    return max(spans, default=None)


def _next(clock: str, said_at: datetime, tz: tzinfo) -> datetime | None:
    """Give when the boat's clock shows this next; "at two" said at one in the afternoon is 14:00."""
    hour, minute = (int(part) for part in clock.split(":"))
    day = said_at.astimezone(tz)
    for ahead in _ahead(hour):
        at = day.replace(minute=minute, second=0, microsecond=0, hour=0) + ahead
        if at > day:
            return at.astimezone(UTC)
    return None


def _ahead(hour: int) -> Iterator[timedelta]:
    yield timedelta(hours=hour)
    if 1 <= hour < 12:
        yield timedelta(hours=hour + 12)
    yield timedelta(days=1, hours=hour)


def _position(words: list[str], lines: Collection[str]) -> str | None:
    said = f" {' '.join(words)} "
    found = [line for line in lines if f" {line} " in said]
    return max(found, key=len, default=None)


def _without(text: str, tokens: tuple[Token, ...], start: int, end: int) -> str:
    return f"{text[: tokens[start].start]} {text[tokens[end - 1].end :]}"


def _bare(text: str) -> str:
    text = " ".join(text.split())
    before = ""
    while before != text:
        before, text = text, _JOINS.sub("", text).strip()
    return text
