"""Numbers that cannot be meant: the caller is told so, and nothing is logged.

A typing slip (a figure too many, a minus) is not treated as talk. Pure.
"""

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Final

from bot.calls.weighed import WeighedReading
from bot.trip.call import Call
from bot.trip.corrections import is_number_alone

LIMITS: Final[Mapping[str, tuple[float, float, str]]] = {
    "weight_kg": (0.01, 1500, "kg is no weight of a fish"),
    "length_cm": (1, 1200, "cm is no length of a fish"),
    "speed_kn": (0, 60, "kn is no speed of a boat"),
    "water_c": (-3, 45, "°C is no temperature of the sea"),
    "depth_m": (0, 11_100, "m is no depth of the sea"),
    "size_in": (0.5, 40, "in is no size of a lure"),
    "drag_kg": (0, 1000, "kg is no drag of a reel"),
    "wind_kn": (0, 200, "kn is no wind"),
    "sea_m": (0, 35, "m is no sea"),
    "count": (1, 1000, "at once cannot be counted"),
}
"""Least and greatest value of a slot, and what is said beyond. Common practice, no source, but for the
largest fish ever landed on a rod (some 1200 kg) and the deepest sea (some 11 000 m), from memory."""
LEAST_LEFT: Final = 0.5
"""Least that is left to the other readings when an impossible one goes; smaller believes them more."""
LONGEST: Final = 9
"""The most digits of a number that anybody would log."""

_LONG: Final = re.compile(r"(?<![\w#.,-])(\d{10,}(?:[.,]\d+)?)(?![\w-])")
_UNIT: Final = (
    r"(?:kg|kgs|kilos?|kilograms?|lbs?|pounds?|cm|centimet(?:er|re)s?|m|met(?:er|re)s?|ft|foot|feet|"
    r"in|inch|inches|kn|kts?|knots?|°|deg|degrees?|fathoms?)"
)
_LARGE: Final = re.compile(rf"(?<![\w#.,-])(\d{{3,}}(?:[.,]\d+)?)\s*{_UNIT}(?!\w)", re.I)
_MINUS: Final = re.compile(rf"(?<!\S)[-\u2212\u2013]\d+(?:[.,]\d+)?\s*{_UNIT}(?!\w)", re.I)


def with_numbers_that_can_be(ways: Sequence[WeighedReading]) -> tuple[WeighedReading, ...]:
    """Return the readings without those whose number cannot be meant, where another one's can."""
    can = [not any(_beyond(call) for call in way.calls) for way in ways]
    if all(can) or not any(way.calls for way, fits in zip(ways, can, strict=True) if fits):
        return tuple(ways)
    gone = sum(way.probability for way, fits in zip(ways, can, strict=True) if not fits)
    share = 1.0 / max(1.0 - gone, ways[0].probability, LEAST_LEFT)
    kept = [way for way, fits in zip(ways, can, strict=True) if fits]
    return tuple(replace(way, probability=min(1.0, way.probability * share)) for way in kept)


def _beyond(call: Call) -> str:
    if is_number_alone(call):
        return ""  # the last entry says of what it is a number
    for name, (low, high, what) in LIMITS.items():
        value = getattr(call, name, None)
        if value is not None and not low <= value <= high:
            return f"{value:.10g} {what}"
    return ""


def impossible(text: str, calls: Iterable[Call]) -> str:
    """Return a sentence about a number that cannot be meant; empty where all numbers can."""
    found = tuple(calls)
    if found and (minus := _MINUS.search(text)):
        said = " ".join(minus[0].split())
        return f'Not logged: "{said}" is less than nothing. Say it again without the minus.'
    what = next(filter(None, map(_beyond, found)), "")
    return f"Not logged: {what}. Say it again." if what else ""


def replace_long_numbers(text: str) -> Iterator[tuple[str, str]]:
    """Yield numbers of a line that no grammar takes, too long or too large for their unit, and the line with
    a five for each: where that is a call, the number is what is wrong.
    """
    for pattern in (_LONG, _LARGE):
        found = pattern.search(text)
        if found is not None:
            yield found[1], f"{text[: found.start(1)]}5{text[found.end(1) :]}"


def no_such_number(number: str) -> str:
    """Return the sentence that says that a number cannot be meant."""
    figures = sum(letter.isdigit() for letter in number)
    said = number if figures <= LONGEST else f"a number of {figures} figures"
    return f"Not logged: {said} cannot be meant. Say it again."
