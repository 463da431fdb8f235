"""Latitude and longitude as people write them: degrees, degrees and minutes, or seconds besides. Pure.

-35.2 174.3      35.21S 174.36E      35°46.7'N 75°31.8'W
N 35 46 42, W 75 31 48              35-46.7N 075-31.8W
"""

import re
from typing import Final

_SIDE: Final = r"north|south|east|west|[nsew]"
_NUMBER: Final = r"\d+(?:\.\d+)?"
_PART: Final = re.compile(
    rf"(?:(?P<before>{_SIDE})\s*)?(?P<sign>[-+])?(?P<degrees>{_NUMBER})"
    rf"(?:[\s°º:-]+(?P<minutes>{_NUMBER}))?(?:[\s'′’:-]+(?P<seconds>{_NUMBER}))?"
    rf"[\s°º'′’\"″”]*(?P<after>{_SIDE})?"
)
_WORDS: Final = re.compile(r"\b(?:latitude|longitude|lat|lon|long|degrees|deg|minutes|min)\b[:=.]?")
_BETWEEN: Final = " ,;/"


def coordinates(said: str) -> tuple[float, float] | None:
    """Return latitude and longitude in degrees, north and east positive; None where they are no place."""
    text = _WORDS.sub(" ", said.casefold().replace("''", '"')).strip()
    for split in _halves(text):
        found = [_angle(part.strip(_BETWEEN)) for part in split]
        if all(found) and (place := _place([one for one in found if one])):
            return place
    return None


def _halves(text: str) -> list[tuple[str, str]]:
    """Return the ways to part a text in two, the likeliest first: at a comma, after a side, in the middle."""
    marks = [m.start() for m in re.finditer(r"[,;/]", text)]
    sides = [m.end() for m in re.finditer(rf"(?<=[\d°º'′’\"″”\s])(?:{_SIDE})\b", text)]
    starts = [m.start() for m in re.finditer(rf"\b(?:{_SIDE})(?=\s*\d)", text)]
    gaps = [m.start() for m in re.finditer(r"\s", text)]
    middle = sorted(gaps, key=lambda at: abs(at - len(text) / 2))
    cuts = dict.fromkeys((*marks, *sides, *starts, *middle))
    return [(text[:at], text[at:]) for at in cuts if 0 < at < len(text)]


_Angle = tuple[float, str]


def _angle(text: str) -> _Angle | None:
    found = _PART.fullmatch(text)
    if found is None or (found["before"] and found["after"]):
        return None
    whole = (found["degrees"], found["minutes"]) if found["seconds"] else (found["degrees"],)
    if found["minutes"] and any("." in part for part in whole):
        return None
    minutes, seconds = (float(found[name] or 0) for name in ("minutes", "seconds"))
    if minutes >= 60 or seconds >= 60:
        return None
    side = (found["before"] or found["after"] or "")[:1]
    if found["sign"] and side:
        return None
    degrees = float(found["degrees"]) + minutes / 60 + seconds / 3600
    minus = found["sign"] == "-" or side in ("s", "w")
    return (-degrees if minus else degrees), side


def _place(angles: list[_Angle]) -> tuple[float, float] | None:
    (first, one), (second, other) = angles
    if one in ("e", "w") or other in ("n", "s"):
        (first, one), (second, other) = (second, other), (first, one)
    if one in ("e", "w") or other in ("n", "s"):
        return None
    if abs(first) > 90 or abs(second) > 180:
        return None
    return round(first, 5), round(second, 5)
