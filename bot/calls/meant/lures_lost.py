"""What is said of a lure that is lost, or that is not lost after all: its name between few other words. Pure.

lost the hat, prop cut us off        the hat is gone with him
chewed the hat clean off             the hat is not lost, I have it here
"""

from bot.calls.meant.reader import Line
from bot.calls.meant.signs import Sign
from bot.trip.acts import REWORK
from bot.trip.call import Call
from bot.trip.meant import FoundLure

_TABLE = "lure_gone"
GONE = "lost"
"""What the log says is the matter with such a lure."""


def lost_calls(line: Line) -> tuple[Call, ...]:
    """Return the call that a lure is lost, where a line says so; else none."""
    if line.text.rstrip().endswith("?") or found_lure(line) is not None:
        return ()
    for name in _names(line):
        if _before(line, name) or _around(line, name) or _behind(line, name):
            return (Call(REWORK, lure=name.name, text=GONE),)
    return ()


def found_lure(line: Line) -> FoundLure | None:
    """Return the lure that a line says is not lost after all, or was found; else None."""
    if line.text.rstrip().endswith("?"):
        return None
    for name in _names(line):
        kept = line.at(name.end, _TABLE, "kept") if name.end < line.lattice.size else None
        opened = any(
            s[:2] == (_TABLE, "found") and s.end == _article(line, name) for s in line.signs
        )
        if kept is not None or opened:
            return FoundLure(name.name, line.has(_TABLE, "here"))
    return None


def _names(line: Line) -> list[Sign]:
    return [sign for sign in line.of("name") if sign.cost == 0.0]


def _article(line: Line, name: Sign) -> int:
    """Return where a name begins, with "the" before it."""
    before = [s for s in line.signs if s[:2] == (_TABLE, "opens") and s.end == name.start]
    words = [s for s in before if s.start == name.start - 1 and not line.tokens[name.start].stop]
    return name.start - 1 if words else name.start


def _opens(line: Line, at: int) -> bool:
    """Return whether a part of a line begins at a word: at its start, behind a stop, or behind a cry."""
    while at > 0 and not line.tokens[at].stop:
        cry = [s.start for s in line.signs if s[:2] == (_TABLE, "opens") and s.end == at]
        if not cry:
            return False
        at = min(cry)
    return True


def _ends(line: Line, at: int) -> bool:
    """Return whether a part of a line ends before a word."""
    while at < line.lattice.size and not line.tokens[at].stop:
        tail = line.at(at, _TABLE, "ends")
        if tail is None:
            return False
        at = tail.end
    return True


def _before(line: Line, name: Sign) -> bool:
    at = _article(line, name)
    said = (s for s in line.signs if s[:2] == (_TABLE, "before") and s.end == at and s.cost == 0.0)
    behind = name.end if not _behind_sign(line, name) else line.lattice.size
    return any(_opens(line, s.start) for s in said) and _ends(line, behind)


def _around(line: Line, name: Sign) -> bool:
    at = _article(line, name)
    bit = (s for s in line.signs if s[:2] == (_TABLE, "bit") and s.end in (at, name.start))
    off = line.at(name.end, _TABLE, "off") if name.end < line.lattice.size else None
    return off is not None and _ends(line, off.end) and any(_opens(line, s.start) for s in bit)


def _behind(line: Line, name: Sign) -> bool:
    gone = _behind_sign(line, name)
    return gone is not None and _opens(line, name.start)


def _behind_sign(line: Line, name: Sign) -> Sign | None:
    """Return the words behind a name that say that it is lost, with nothing behind them; else None."""
    ends = (
        s
        for s in line.signs
        if s[:2] == (_TABLE, "behind") and s.start == name.end and s.cost == 0.0
    )
    return next((s for s in ends if _ends(line, s.end)), None)
