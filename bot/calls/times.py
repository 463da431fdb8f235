"""Times over a lattice of words: times of day as `HH:MM` of the boat's own time, and how long ago.

    ten forty -> 10:40   quarter to four in the afternoon -> 15:45   1410 -> 14:10   noon -> 12:00
    ten minutes   half an hour   an hour and a quarter

Without p.m. or an afternoon an hour from six to twelve is the morning's (or noon's), as the conventions
of the call language have it; earlier hours stay as said. A time said without its hour ("it was twenty to"),
or typed with a dot ("6.40 lines in"), is rewritten with the hour that is meant, the last at which the clock
showed it. Pure.
"""

import re
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from functools import lru_cache
from typing import Final, NamedTuple

from bot.calls.lattice import Lattice, plain
from bot.calls.numbers import Number, numbers_at
from bot.calls.tokens import tokenise

_HALVES: Final = {
    ("am",): 0, ("a", "m"): 0, ("in", "the", "morning"): 0, ("this", "morning"): 0,
    ("pm",): 12, ("p", "m"): 12, ("in", "the", "afternoon"): 12, ("this", "afternoon"): 12,
    ("in", "the", "evening"): 12, ("this", "evening"): 12, ("tonight",): 12, ("hours",): -1,
    ("hundred",): -1, ("hundred", "hours"): -1, ("hrs",): -1, ("oclock",): -2, ("o", "clock"): -2,
}  # fmt: skip
_AGO: Final = {
    "minutes": 1.0, "minute": 1.0, "hour": 60.0, "hours": 60.0, "m": 1.0, "h": 60.0,
}  # fmt: skip
_SPANS: Final = (
    ("half an hour", 30.0), ("half a hour", 30.0), ("a half hour", 30.0), ("half hour", 30.0),
    ("an hour", 60.0), ("a hour", 60.0), ("a minute", 1.0), ("a quarter of an hour", 15.0),
    ("quarter of an hour", 15.0), ("quarter hour", 15.0), ("a quarter hour", 15.0),
    ("a couple of minutes", 2.0), ("couple of minutes", 2.0), ("a couple minutes", 2.0),
    ("couple minutes", 2.0), ("three quarters of an hour", 45.0), ("a couple of hours", 120.0),
    ("couple of hours", 120.0), ("a few minutes", 0.0), ("few minutes", 0.0), ("a while", 0.0),
    ("a little while", 0.0), ("a moment", 0.0), ("a few", 0.0), ("a second", 0.0),
    ("a minute or two", 0.0), ("moments", 0.0), ("0.5 hour", 30.0), ("a bit", 0.0),
)  # fmt: skip
AGO_WORDS: Final = frozenset(_AGO) | {word for spoken, _ in _SPANS for word in spoken.split()}
"""Words for spans of time; a garbled word may be repaired to one of them."""
_A_DAY_MIN: Final = 24 * 60
_AHEAD_MIN: Final = 2
"""How far ahead a time may lie that is now by another clock."""


class Clock(NamedTuple):
    """One reading of a time of day."""

    clock: str
    end: int
    cost: float
    sure: bool
    """True where the form is a time and nothing else: 10:40, half past ten, noon, nine p.m."""
    hour: bool = False
    """True where it is a bare number that may be an hour: "ten"."""
    half: bool = False
    """True where the half of the day was said: "ten p.m.", "noon"."""


def clocks_at(lattice: Lattice, start: int, units: frozenset[str] = frozenset()) -> list[Clock]:
    """Return the times of day that begin at a node; "four to six" before one of `units` is a range."""
    found: dict[tuple[int, str], Clock] = {}
    for clock in _clocks(lattice, start, units):
        key = (clock.end, clock.clock)
        if key not in found or clock.cost < found[key].cost:
            found[key] = clock
    return list(found.values())


def _clocks(lattice: Lattice, start: int, units: frozenset[str]) -> Iterator[Clock]:
    for hour, minute, end, cost, sure in _faces(lattice, start, units):
        yield from _with_half(lattice, hour, minute, end, cost, sure)
    for word, end, cost in lattice.edges[start]:
        if word in ("noon", "midday"):
            yield Clock("12:00", end, cost, True, half=True)


def _with_half(
    lattice: Lattice, hour: int, minute: int, end: int, cost: float, sure: bool
) -> Iterator[Clock]:
    if sure or minute >= 0:
        yield Clock(_written(hour, max(minute, 0)), end, cost, sure)
    elif 1 <= hour <= 12:
        yield Clock(_written(hour, 0), end, cost, sure, hour=True)
    for half, stop, extra in _halves(lattice, end):
        if half == -2:
            yield Clock(_written(hour, max(minute, 0)), stop, cost + extra, True)
            for second, last, more in _halves(lattice, stop):
                if second >= 0:
                    yield _halved(hour, max(minute, 0), second, last, cost + extra + more)
        elif half >= 0:
            yield _halved(hour, max(minute, 0), half, stop, cost + extra)
        elif 0 <= hour < 24:
            yield Clock(_written(hour, max(minute, 0)), stop, cost + extra, True)


def _halved(hour: int, minute: int, half: int, end: int, cost: float) -> Clock:
    if hour <= 12:
        hour = hour % 12 + half
    return Clock(_written(hour, minute), end, cost, True, half=True)


def _halves(lattice: Lattice, at: int) -> Iterator[tuple[int, int, float]]:
    for words, half in _HALVES.items():
        for end, cost in lattice.follow(at, words):
            yield half, end, cost


def _faces(
    lattice: Lattice, start: int, units: frozenset[str]
) -> Iterator[tuple[int, int, int, float, bool]]:
    for word, end, cost in lattice.edges[start]:
        hour, colon, minute = word.partition(":")
        if colon and hour.isdigit() and minute.isdigit() and int(hour) < 24 and int(minute) < 60:
            yield int(hour), int(minute), end, cost, True
        if word.isdigit() and len(word) == 4 and int(word[:2]) < 24 and int(word[2:]) < 60:
            yield int(word[:2]), int(word[2:]), end, cost, False
        if word.isdigit() and len(word) == 3 and int(word[1:]) < 60:
            yield int(word[:1]), int(word[1:]), end, cost, False
        if word in ("half", "quarter"):
            yield from _past_or_to(lattice, 30 if word == "half" else 15, end, cost, units)
        if word == "a":
            for part, stop, extra in lattice.edges[end]:
                if part == "quarter":
                    yield from _past_or_to(lattice, 15, stop, cost + extra, units)
    for first in numbers_at(lattice, start):
        yield from _from_number(lattice, first, units)


def _from_number(
    lattice: Lattice, first: Number, units: frozenset[str]
) -> Iterator[tuple[int, int, int, float, bool]]:
    value = first.value
    if value != int(value) or value < 0:
        return
    if value < 60:
        yield from _past_or_to(lattice, int(value), first.end, first.cost, units)
    if value < 24:
        yield int(value), -1, first.end, first.cost, False
        yield from _minutes(lattice, int(value), first)
    elif (first.digits == "" and 600 <= value < 2400 and value % 100 < 60) or (
        len(first.digits) == 4 and value < 2400 and value % 100 < 60
    ):
        yield int(value) // 100, int(value) % 100, first.end, first.cost, False
    if first.digits.startswith("0") and len(first.digits) == 2:
        yield from _minutes(lattice, int(value), first)


def _minutes(
    lattice: Lattice, hour: int, first: Number
) -> Iterator[tuple[int, int, int, float, bool]]:
    for minute in numbers_at(lattice, first.end):
        oh = minute.digits.startswith("0") and len(minute.digits) == 2
        if (10 <= minute.value < 60 or oh) and minute.value == int(minute.value):
            yield hour, int(minute.value), minute.end, first.cost + minute.cost, False


def _past_or_to(
    lattice: Lattice, minutes: int, at: int, spent: float, units: frozenset[str]
) -> Iterator[tuple[int, int, int, float, bool]]:
    for word, end, cost in lattice.edges[at]:
        if word in ("minutes", "minute"):
            yield from _past_or_to(lattice, minutes, end, spent + cost, units)
        if word not in ("past", "to", "after", "till", "before", "of"):
            continue
        for hour in numbers_at(lattice, end):
            measured = any(unit in units for unit, _, _ in lattice.edges[hour.end])
            if 1 <= hour.value <= 23 and hour.value == int(hour.value) and not measured:
                back = word in ("to", "till", "before", "of")
                at_hour = (int(hour.value) - 1 or 12) if back else int(hour.value)
                face = 60 - minutes if back else minutes
                yield at_hour % 24, face % 60, hour.end, spent + cost + hour.cost, True


def _written(hour: int, minute: int) -> str:
    return f"{hour % 24:02d}:{minute:02d}"


def ago_at(
    lattice: Lattice, start: int, numbers: Iterable[Number]
) -> Iterator[tuple[float, int, float]]:
    """Yield minutes, end and cost of every span of time that begins at a node; 0 where it has no number."""
    for number in numbers:
        for word, end, extra in lattice.edges[number.end]:
            if word in _AGO and end <= lattice.size:
                minutes = number.value * _AGO[word]
                yield minutes, end, number.cost + extra
                if _AGO[word] == 60:
                    yield from _hour_and(lattice, end, minutes, number.cost + extra)
    for minutes, end, cost in _spoken_ago(lattice, start):
        if end <= lattice.size:
            yield minutes, end, cost
            if minutes == 60:
                yield from _hour_and(lattice, end, minutes, cost)


def _hour_and(
    lattice: Lattice, at: int, minutes: float, cost: float
) -> Iterator[tuple[float, int, float]]:
    for words, more in ((("and", "a", "half"), 30.0), (("and", "a", "quarter"), 15.0)):
        for end, extra in lattice.follow(at, words):
            if end <= lattice.size:
                yield minutes + more, end, cost + extra


def _by_first_word() -> dict[str, list[tuple[tuple[str, ...], float]]]:
    found: dict[str, list[tuple[tuple[str, ...], float]]] = {}
    for words, minutes in _SPANS:
        first, *rest = words.split()
        found.setdefault(first, []).append((tuple(rest), minutes))
    return found


_SPOKEN_AGO: Final = _by_first_word()


def _spoken_ago(lattice: Lattice, start: int) -> Iterator[tuple[float, int, float]]:
    for word, end, cost in lattice.edges[start]:
        for rest, minutes in _SPOKEN_AGO.get(word, ()):
            for last, more in lattice.follow(end, rest):
                yield minutes, last, cost + more


def with_hour(low: str, pointing: Mapping[str, Sequence[str]], now: str) -> str | None:
    """Return a line (lower case) with the hour of a time that has none; None where there is no such time.

    `now` is the boat's own time as `HH:MM`; `pointing` the lists of words of the grammar.
    """
    if not now or "hourless" not in pointing:
        return None
    found = _hourless(tuple(pointing["before_hourless"]), tuple(pointing["hourless"])).search(low)
    if found is None:
        return None
    said = found["minutes"]
    hour = int(now[:2])
    times = {
        clock for each in (hour - 1, hour, hour + 1) for clock in _clocks_of(f"{said} {each % 24}")
    }
    ages = {(_minute(now) + _AHEAD_MIN - _minute(clock)) % _A_DAY_MIN: clock for clock in times}
    if not ages:
        return None
    return low[: found.start("minutes")] + ages[min(ages)] + low[found.end() :]


def with_colon(line: str, timed: Collection[str]) -> str:
    """Return a line whose time at the start was typed with a dot as others type it: "6:40 lines in".

    `timed` are the words before which such a number is a time.
    """
    return _dotted(tuple(sorted(timed))).sub(r"\1:", line) if timed else line


@lru_cache(maxsize=4)
def _dotted(timed: tuple[str, ...]) -> re.Pattern[str]:
    words = "|".join(map(re.escape, timed))
    return re.compile(rf"^(\s*(?:at )?(?:[01]?\d|2[0-3]))\.(?=[0-5]\d,? (?:{words})\b)", re.I)


@lru_cache(maxsize=4)
def _hourless(before: tuple[str, ...], turns: tuple[str, ...]) -> re.Pattern[str]:
    led, turned = ("|".join(map(re.escape, words)) for words in (before, turns))
    return re.compile(
        rf"(?:^|\b(?:{led}) )(?P<minutes>(?:a )?[\w-]+(?: [\w-]+)? (?:{turned}))(?=\s*(?:[,.!?;]|$))"
    )


def _clocks_of(text: str) -> set[str]:
    """Return the times of day that a text is as a whole."""
    lattice = plain(tokenise(text, {}))
    return {
        found.clock for found in clocks_at(lattice, 0) if found.sure and found.end == lattice.size
    }


def _minute(clock: str) -> int:
    hours, minutes = clock.split(":")
    return int(hours) * 60 + int(minutes)
