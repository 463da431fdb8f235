"""Times of day said without their hour: "it was twenty to", "at ten past"; and "6.40 lines in". Pure.

They are rewritten with the hour that is meant, the last time at which the clock showed them.
"""

import re
from collections.abc import Collection, Mapping, Sequence
from functools import lru_cache
from typing import Final

from bot.calls.clock import clocks_at
from bot.calls.lattice import plain
from bot.calls.tokens import tokenise

_A_DAY_MIN: Final = 24 * 60
_AHEAD_MIN: Final = 2
"""How far ahead a time may lie that is now by another clock."""


def with_hour(low: str, pointing: Mapping[str, Sequence[str]], now: str) -> str | None:
    """Return a line (lower case) with the hour of a time that has none; None where there is no such time.

    `now` is the boat's own time as `HH:MM`; `pointing` the lists of words of the grammar.
    """
    if not now or "hourless" not in pointing:
        return None
    found = _pattern(tuple(pointing["before_hourless"]), tuple(pointing["hourless"])).search(low)
    if found is None:
        return None
    said = found["minutes"]
    hour = int(now[:2])
    times = {
        clock for each in (hour - 1, hour, hour + 1) for clock in _clocks(f"{said} {each % 24}")
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
def _pattern(before: tuple[str, ...], turns: tuple[str, ...]) -> re.Pattern[str]:
    led, turned = ("|".join(map(re.escape, words)) for words in (before, turns))
    return re.compile(
        rf"(?:^|\b(?:{led}) )(?P<minutes>(?:a )?[\w-]+(?: [\w-]+)? (?:{turned}))(?=\s*(?:[,.!?;]|$))"
    )


def _clocks(text: str) -> set[str]:
    """Return the times of day that a text is as a whole."""
    lattice = plain(tokenise(text, {}))
    return {
        found.clock for found in clocks_at(lattice, 0) if found.sure and found.end == lattice.size
    }


def _minute(clock: str) -> int:
    hours, minutes = clock.split(":")
    return int(hours) * 60 + int(minutes)
