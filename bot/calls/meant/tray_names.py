"""Trays that get another name, are copied, or are asked about as a whole. Pure.

rename the red tray to night       copy the red tray to tray three       which lures are in no tray
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from bot.calls.meant.reader import Line
from bot.calls.meant.tray_lures import Mention, ends_before

TABLE: Final = "tray_named"
EVERY: Final = "all"
"""Name under which all trays are called."""
MOST_NAME: Final = 3
"""Most words of a tray's name."""
EARLY: Final = 3
"""Most words that may stand before the verb."""


@dataclass(frozen=True, slots=True)
class TrayCopy:
    """A tray that gets what lies in another one."""

    name: str
    like: str
    """The tray whose lures it gets; empty where no other name was said."""
    renames: bool
    """True where the other one is then no more."""


def tray_copy(line: Line, trays: Sequence[Mention]) -> TrayCopy | None:
    """Return the tray that gets a new name or what another one holds; None for any other line."""
    named = sorted((one for one in trays if one.is_tray and one.name), key=lambda one: one.start)
    if not named or line.text.rstrip().endswith("?"):
        return None
    first, *others = named
    if ends_before(line, "unnamed", first, TABLE) and _is_polite(
        line, first.end, line.lattice.size
    ):
        return TrayCopy(first.name, "", renames=True)
    for does in ("renames", "copies"):
        if _begins(line, does) and ends_before(line, does, first, TABLE):
            name = _name_behind(line, first.end)
            return TrayCopy(name, first.name, does == "renames") if name else None
    if line.at(first.end, TABLE, "is_called") is not None:
        name = _name_behind(line, first.end)
        return TrayCopy(name, first.name, renames=True) if name else None
    if others and ends_before(line, "like", others[0], TABLE) and line.at(first.end, TABLE, "like"):
        return TrayCopy(first.name, others[0].name, renames=False)
    return None


def asks_loose(line: Line) -> bool:
    """Return whether a line asks, as a whole, which lures lie in no tray."""
    return _is_all(line, "loose")


def gives_up_all(line: Line) -> bool:
    """Return whether a line, as a whole, gives up all trays."""
    return _is_all(line, "every") and not line.text.rstrip().endswith("?")


def _is_all(line: Line, name: str) -> bool:
    there = (s for s in line.signs if s[:2] == (TABLE, name) and s.cost == 0.0 and s.start <= 1)
    return any(_is_polite(line, s.end, line.lattice.size) for s in there)


def _begins(line: Line, name: str) -> bool:
    return any(s[:2] == (TABLE, name) and s.start <= EARLY and s.cost == 0.0 for s in line.signs)


def _name_behind(line: Line, start: int) -> str:
    """Return the name of a tray in the words from here to the end; empty where they are more than that."""
    size, at = line.lattice.size, start
    while at < size and (step := line.at(at, TABLE, "leads") or line.at(at, TABLE, "is_called")):
        at = step.end
    at += at < size and line.at(at, "tray_word", "tray") is not None
    end = at
    while end < size and not _ends(line, end):
        end += 1
    rest = end + (end < size and line.at(end, "tray_word", "tray") is not None)
    if not 0 < end - at <= MOST_NAME or not _is_polite(line, rest, size):
        return ""
    known = (s for s in line.signs if s.table == "tray_name" and (s.start, s.end) == (at, end))
    words = " ".join(token.text for token in line.tokens[at:end])
    return next((s.name for s in known), words)


def _ends(line: Line, at: int) -> bool:
    """Return whether a word is no part of a name."""
    ends = any(line.at(at, "tray_word", name) is not None for name in ("ends", "tray"))
    return ends or line.tokens[at].stop or line.at(at, TABLE, "polite") is not None


def _is_polite(line: Line, start: int, end: int) -> bool:
    """Return whether the words of a part of a line add nothing: "please", "from now on"."""
    while start < end and (sign := line.at(start, TABLE, "polite")) is not None:
        start = sign.end
    return start >= end
