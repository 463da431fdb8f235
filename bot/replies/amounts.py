"""How a number, a time, a length is written. Pure; the boat's time zone is an argument."""

from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta, tzinfo
from typing import Final

_PLURALS: Final = {"fish": "fish", "entry": "entries", "name of a recording": "names of recordings"}


def number(value: float, places: int = 1) -> str:
    """Write a number without needless noughts."""
    text = f"{value:.{places}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def count(many: int, what: str) -> str:
    """Write a count with its noun: `1 strike`, `3 strikes`."""
    return f"{many} {what if many == 1 else _PLURALS.get(what, what + 's')}"


def span_words(time: timedelta) -> str:
    """Write how long: `31 min`, `2 h 05 min`; under half a minute is `under a minute`."""
    minutes = round(time.total_seconds() / 60)
    if minutes < 1:
        return "under a minute"
    hours, rest = divmod(minutes, 60)
    return f"{hours} h {rest:02d} min" if hours else f"{rest} min"


def hours_words(hours: float) -> str:
    """Write hours: minutes below one hour, else one decimal."""
    return f"{hours:.1f} h" if hours >= 0.995 else f"{round(hours * 60)} min"


def lure_hours(hours: float) -> str:
    """Write lure-hours to one decimal; empty where there are none to speak of."""
    return f"{hours:.1f} lure-hours" if hours >= 0.05 else ""


def clock(at: datetime, tz: tzinfo) -> str:
    """Write the boat's own time: `09:40`."""
    return f"{at.astimezone(tz):%H:%M}"


def percent(share: float) -> str:
    """Write a probability in whole per cent, never 0 or 100: nothing is certain here."""
    return f"{min(99, max(1, round(share * 100)))} %"


def rate(value: float | None) -> str:
    """Write a rate to one decimal; `-` where there is none."""
    return "-" if value is None else f"{value:.1f}"


def ratio(value: float, low: float, high: float, what: str = "") -> str:
    """Write a ratio with its interval, as finely as that asks for: `1.8 times (1.1 to 2.9)`."""
    places = 1 if high - low >= 0.25 else 2
    words = f" {what}" if what else ""
    return f"{value:.{places}f}{words} ({low:.{places}f} to {high:.{places}f})"


def sentence(text: str) -> str:
    """Begin with a capital and end with a full stop, unless it ends like a sentence already."""
    text = text.strip()
    if not text:
        return ""
    return text[0].upper() + text[1:] + ("" if text[-1] in ".?!" else ".")


def first_few(names: Sequence[str], most: int) -> str:
    """List names, at most so many and then how many more; a single one more is named too."""
    if len(names) <= most + 1:
        return ", ".join(names)
    return f"{', '.join(names[:most])} and {len(names) - most} more"


def joined_or(names: Sequence[str], word: str = "or") -> str:
    """List names with a word before the last: `one, two or three`."""
    return f" {word} ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)


def join_parts(parts: Iterable[str]) -> str:
    """Join what is not empty with commas."""
    return ", ".join(part for part in parts if part)


def place_words(latitude: float, longitude: float) -> str:
    """Write a place in degrees and decimal minutes, as charts have it: `35°12.34' S 174°18.00' E`."""
    return f"{_angle(latitude, 'N', 'S')} {_angle(longitude, 'E', 'W')}"


def _angle(degrees: float, plus: str, minus: str) -> str:
    hundredths = round(abs(degrees) * 60 * 100)
    whole, rest = divmod(hundredths, 6000)
    return f"{whole}°{rest / 100:05.2f}' {plus if degrees >= 0 else minus}"
