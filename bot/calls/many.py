"""Many calls in one typed message, each part read by itself where the whole is not sure. Pure."""

import re
from collections.abc import Callable, Sequence
from typing import Final

from bot.trip.acts import LOGGED, TAKES
from bot.trip.call import Call

FEWEST: Final = 6
"""Number of parts from which a message is read in parts; fewer are read as one line."""
MOST: Final = 40
"""Most parts that are read; a message with more is refused as a whole."""
_BETWEEN: Final = re.compile(r"[\n;,]|\.(?=\s)|\bthen\b", re.I)
_AND: Final = re.compile(rf"{_BETWEEN.pattern}|\band\b", re.I)

ReadPart = Callable[[str], tuple[tuple[Call, ...], float]]
"""Reads one part: its calls, and how sure they are; no calls where it would be asked about."""

_TIMED: Final = re.compile(r"(?:^|[,;.\n]\s*|\band\s+)(\d{1,2}):(\d\d)\s+", re.I)
"""A clock time at the beginning of a message or of a part of it."""
_SENTENCE: Final = re.compile(r"(?<=[.!])\s+")
_ASKED: Final = re.compile(r"(?:^|(?<=[.!?])\s+)[^.!?]*\?+(?=\s|$)")
"""A sentence that asks something."""
OATH: Final = 2
"""Most words of a sentence that says nothing and is left out between others."""
_HOURS, _MINUTES = 24, 60


def parts_of(text: str) -> tuple[str, ...]:
    """Return the parts of a message, empty where it has too few to be more than one line."""
    for between in (_BETWEEN, _AND):
        found = tuple(part.strip() for part in between.split(text) if part.strip(" .!"))
        if len(found) >= FEWEST:
            return found
    return ()


def read_parts(parts: Sequence[str], read: ReadPart) -> tuple[tuple[Call, ...], float]:
    """Return the calls of all parts and the lowest confidence, where every part is to be logged.

    One part that is not leaves it at that: a list of calls has no talk in it.
    """
    return (
        read_with_times([(None, part) for part in parts], read) if len(parts) <= MOST else ((), 0.0)
    )


def timed_parts(text: str) -> tuple[tuple[str | None, str], ...]:
    """Return the parts of a message that each begin with a clock time, with it; empty where none does.

    "06:10 set the red, 06:11 lost the blue" has two, "set the red, 06:11 lost the blue" one without a time.
    """
    times = [t for t in _TIMED.finditer(text) if int(t[1]) < _HOURS and int(t[2]) < _MINUTES]
    if not times:
        return ()
    found: list[tuple[str | None, str]] = []
    if times[0].start():
        found.append((None, text[: times[0].start()]))
    ends = [*(t.start() for t in times[1:]), len(text)]
    found += [
        (f"{int(t[1]):02d}:{t[2]}", text[t.end() : end]) for t, end in zip(times, ends, strict=True)
    ]
    return tuple((clock, part.strip(" ,;.")) for clock, part in found)


def read_with_times(
    parts: Sequence[tuple[str | None, str]], read: ReadPart
) -> tuple[tuple[Call, ...], float]:
    """Return the calls of parts with their times, where every part is sure; else none."""
    calls: list[Call] = []
    least = 1.0
    for clock, part in parts:
        found, sure = read(part) if part else ((), 0.0)
        if not found or any(call.act not in LOGGED for call in found):
            return (), 0.0
        timed = [c.clock is None and c.ago_min is None and "clock" in TAKES[c.act] for c in found]
        calls += [
            c.with_slots(clock=clock) if wants and clock else c
            for c, wants in zip(found, timed, strict=True)
        ]
        least = min(least, sure)
    return tuple(calls), least


def read_separate_parts(
    text: str, read: ReadPart, *, sentences: bool
) -> tuple[tuple[Call, ...], float]:
    """Return the calls of a message whose parts have times of their own, or of its `sentences`; else none."""
    calls, sure = read_with_times(timed_parts(text), read)
    return (calls, sure) if calls or not sentences else _read_sentences(text, read)


def _read_sentences(text: str, read: ReadPart) -> tuple[tuple[Call, ...], float]:
    """Return the calls of sentences that were said in one message, where every one is sure; else none.

    An oath between them ("damn.") is left out.
    """
    said = [one for one in _SENTENCE.split(text) if one.strip(" .!")]
    told = [one for one in said if len(one.split()) > OATH or read(one)[0]]
    return read_parts(told, read) if len(told) > 1 else ((), 0.0)


def without_questions(text: str) -> str:
    """Return what a message says beside the sentences that ask; empty where all of it does, or nothing.

    Where it ends with a question only a shout before it is said: "tied up. trip over?" asks both.
    """
    whole = text.strip()
    left = _ASKED.sub("", whole).strip()
    says = bool(left.strip(" .!")) and left != whole
    return left if says and (left.endswith("!") or not whole.endswith("?")) else ""


def looks_like_calls(parts: Sequence[str], read: ReadPart) -> bool:
    """Return whether most of the first parts are calls, so that the sender expects an answer."""
    looked_at = parts[:8]
    good = sum(any(call.act in LOGGED for call in read(part)[0]) for part in looked_at)
    return good * 2 > len(looked_at)


def too_many(parts: Sequence[str]) -> str:
    """Return the sentence that says that a message holds too many calls."""
    return (
        f"Not logged: {len(parts)} calls in one message, and not all of them are clear."
        " Send a few at a time."
    )
