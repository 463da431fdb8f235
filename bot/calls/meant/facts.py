"""What the log has to know of a call beyond its slots: where weed hangs, where a lure runs, which is lost.

lost the hat, prop cut us off        the hat is gone with him
chewed the hat clean off             the hat is not lost, I have it here

Pure.
"""

from collections.abc import Collection, Iterable
from typing import Final

from bot.calls.meant.reader import Line, only_with
from bot.calls.meant.signs import Sign
from bot.calls.numbers import numbers_at
from bot.calls.times import clocks_at
from bot.trip.acts import REWORK
from bot.trip.call import Call
from bot.trip.meant import (
    Cares,
    Concerns,
    FoundLure,
    NothingOn,
    OfLure,
    OnWave,
    OutSince,
    SidedKind,
    Weedy,
)
from bot.units import PER

BACK_M: Final = (3.0, 200.0)
"""Range in metres in which a distance can be that of a lure."""
MOST_WAVES: Final = 15
_WEED: Final = "weed"
_GONE = "lure_gone"
LOSS = "lost"
"""What the log says is the matter with such a lure."""


def on_wave(line: Line) -> OnWave | None:
    """Return the distance and the wave that a line tells, e.g. `fourteen metres back on the second wave`."""
    back_m, wave = distance_m(line), wave_number(line)
    if back_m is None or wave is None or not BACK_M[0] <= back_m <= BACK_M[1]:
        return None
    return OnWave(back_m, wave, positions_in(line)) if 1 <= wave <= MOST_WAVES else None


@only_with("needs_none")
def needs_none(line: Line) -> OfLure | None:
    """Return the only lure named in a line that says of it that it needs no work after all."""
    names = {sign.name for sign in line.of("name") if sign.cost == 0.0}
    if len(names) != 1 or not line.has("needs_none") or line.text.rstrip().endswith("?"):
        return None
    if line.has("orders_too"):
        return None
    return OfLure(names.pop())


def distance_m(line: Line) -> float | None:
    """Return the first length that is said, in metres; a number without a unit counts before "back"."""
    for start in range(line.lattice.size):
        for figure in numbers_at(line.lattice, start):
            unit = _unit(line, figure.end)
            if unit is not None:
                return round(figure.value * unit, 1)
    return None


def _unit(line: Line, at: int) -> float | None:
    unit = next((s for s in line.signs if s.table == "length" and s.start == at), None)
    if unit is not None:
        return PER["depth_m"][unit.name]
    return 1.0 if line.at(at, "wave", "astern") else None


def wave_number(line: Line) -> int | None:
    """Return the number of the wave: `wave two`, `the 2nd wave`, `the second wave`."""
    for wave in line.of("wave"):
        if wave.name != "wave":
            continue
        before = next((s for s in line.of("ordinal") if s.end == wave.start), None)
        if before is not None:
            return int(before.name)
        figure = line.tokens[wave.start - 2].text if wave.start > 1 else ""
        if figure.isdigit() and line.at(wave.start - 1, "wave", "ordinal_end"):
            return int(figure)
        after = (
            [f.value for f in numbers_at(line.lattice, wave.end)]
            if wave.end < line.lattice.size
            else []
        )
        if after:
            return int(after[0]) if after[0] == int(after[0]) else None
    return None


def weedy(line: Line, others: Collection[str]) -> Weedy | None:
    """Return the lines on which weed is said to hang; None where it only drifts by.

    `others` are the positions of the other calls of the same breath, which are not meant.
    """
    within = _clause(line)
    positions = _positions(s for s in line.of("position", "both") if s.start in within)
    kinds = (s for s in line.of("position", "kind") if s.table == "kind" and s.start in within)
    found = Weedy(
        tuple(p for p in positions if p not in others) or positions,
        tuple(dict.fromkeys(sign.name for sign in kinds)),
        line.has("everywhere"),
    )
    return found if found != Weedy() else None


def _clause(line: Line) -> range:
    """Return the part of the line between the stops around the word for weed."""
    seen = line.first("what", _WEED)
    if seen is None:
        return range(line.lattice.size)
    stops = [n for n, token in enumerate(line.tokens) if token.stop]
    return range(
        max((n for n in stops if n <= seen.start), default=0),
        min((n for n in stops if n >= seen.end), default=line.lattice.size),
    )


def positions_in(line: Line) -> tuple[str, ...]:
    """Return the positions that a line names, those of pairs included."""
    return _positions(line.of("position", "both"))


def _positions(signs: Iterable[Sign]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(name for sign in signs for name in sign.name.split(", ")))


@only_with("nothing_on")
def nothing_on(line: Line) -> NothingOn | None:
    """Return that no fish is on, where that is all that a line says; else None."""
    size = line.lattice.size
    whole = {s.name for s in line.of("nothing_on") if s[2:4] == (0, size) and s.cost == 0}
    return NothingOn(just_now="fish" not in whole) if whole else None


def is_asked(line: Line) -> bool:
    """Return whether a line has a question mark."""
    return "?" in line.text


@only_with("care")
def cares(line: Line) -> Cares | None:
    """Return what a line speaks of that wants a caution, and whether it asks about it; else None."""
    found = line.first("care")
    if found is None:
        return None
    topic = "billfish" if line.has("care", "billfish") else found.name
    asks = line.at(0, "care_asked", "opens") is not None or line.text.rstrip().endswith("?")
    return Cares(topic, asks)


@only_with("out_since")
def out_since(line: Line) -> OutSince | None:
    """Return the time from which a lure has been out, where a line says nothing else; else None."""
    size = line.lattice.size
    opens = line.at(0, "out_since", "opens")
    begins = opens.end if opens is not None else 0
    places = [s for s in line.of("position", "name") if s.start == begins]
    for since in [s for s in line.signs if s[:2] == ("out_since", "since") and places]:
        if since.start != places[0].end:
            continue
        times = [one for one in clocks_at(line.lattice, since.end) if one.end == size]
        if times and places[0].table == "name":
            return OutSince("", times[0].clock, places[0].name)
        if times:
            return OutSince(places[0].name, times[0].clock)
    return None


@only_with("one_of_kind")
def sided_kind(line: Line) -> SidedKind | None:
    """Return the only kind of line that is named with its side and without a name: "the port rigger"."""
    sides = {sign.end for sign in line.of("side") if sign.cost == 0.0}
    kinds = {s.name for s in line.of("one_of_kind") if s.start in sides and s.cost == 0.0}
    told = line.of("position", "both", "told_apart")
    return SidedKind(kinds.pop()) if len(kinds) == 1 and not told else None


def concerns(line: Line) -> Concerns | None:
    """Return the tackle that a line speaks of, or None."""
    topics = tuple(dict.fromkeys(sign.name for sign in line.of("concerns")))
    return Concerns(topics) if topics else None


@only_with(_GONE, otherwise=())
def lost_calls(line: Line) -> tuple[Call, ...]:
    """Return the call that a lure is lost, where a line says so; else none."""
    if line.text.rstrip().endswith("?") or found_lure(line) is not None:
        return ()
    for name in _names(line):
        if _before(line, name) or _around(line, name) or _behind(line, name):
            return (Call(REWORK, lure=name.name, text=LOSS),)
    return ()


@only_with(_GONE)
def found_lure(line: Line) -> FoundLure | None:
    """Return the lure that a line says is not lost after all, or was found; else None."""
    if line.text.rstrip().endswith("?"):
        return None
    for name in _names(line):
        kept = line.at(name.end, _GONE, "kept") if name.end < line.lattice.size else None
        opened = any(
            s[:2] == (_GONE, "found") and s.end == _article(line, name) for s in line.signs
        )
        if kept is not None or opened:
            return FoundLure(name.name, line.has(_GONE, "here"))
    return None


def _names(line: Line) -> list[Sign]:
    return [sign for sign in line.of("name") if sign.cost == 0.0]


def _article(line: Line, name: Sign) -> int:
    """Return where a name begins, with "the" before it."""
    before = [s for s in line.signs if s[:2] == (_GONE, "opens") and s.end == name.start]
    words = [s for s in before if s.start == name.start - 1 and not line.tokens[name.start].stop]
    return name.start - 1 if words else name.start


def _opens(line: Line, at: int) -> bool:
    """Return whether a part of a line begins at a word: at its start, behind a stop, or behind a cry."""
    while at > 0 and not line.tokens[at].stop:
        cry = [s.start for s in line.signs if s[:2] == (_GONE, "opens") and s.end == at]
        if not cry:
            return False
        at = min(cry)
    return True


def _ends(line: Line, at: int) -> bool:
    """Return whether a part of a line ends before a word."""
    while at < line.lattice.size and not line.tokens[at].stop:
        tail = line.at(at, _GONE, "ends")
        if tail is None:
            return False
        at = tail.end
    return True


def _before(line: Line, name: Sign) -> bool:
    at = _article(line, name)
    said = (s for s in line.signs if s[:2] == (_GONE, "before") and s.end == at and s.cost == 0.0)
    behind = name.end if not _behind_sign(line, name) else line.lattice.size
    return any(_opens(line, s.start) for s in said) and _ends(line, behind)


def _around(line: Line, name: Sign) -> bool:
    at = _article(line, name)
    bit = (s for s in line.signs if s[:2] == (_GONE, "bit") and s.end in (at, name.start))
    off = line.at(name.end, _GONE, "off") if name.end < line.lattice.size else None
    return off is not None and _ends(line, off.end) and any(_opens(line, s.start) for s in bit)


def _behind(line: Line, name: Sign) -> bool:
    gone = _behind_sign(line, name)
    return gone is not None and _opens(line, name.start)


def _behind_sign(line: Line, name: Sign) -> Sign | None:
    """Return the words behind a name that say that it is lost, with nothing behind them; else None."""
    ends = (
        s
        for s in line.signs
        if s[:2] == (_GONE, "behind") and s.start == name.end and s.cost == 0.0
    )
    return next((s for s in ends if _ends(line, s.end)), None)


def any_one(call: Call, line: Line) -> bool:
    """Return whether any lure of the colours said may be meant, "a red one", and no more is said of it."""
    if not call.colours or call.lure or call.head or call.size_in is not None:
        return False
    said = [s for s in line.of("colour") if s.name in call.colours and s.cost == 0.0]
    befores = {s.end for s in line.of("any_one") if s.name == "before"}
    afters = {s.start for s in line.of("any_one") if s.name == "after"}
    return any(s.start in befores for s in said) and any(s.end in afters for s in said)
