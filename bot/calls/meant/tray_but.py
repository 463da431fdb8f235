"""A tray that goes out with something else in it, said in one breath. Pure.

run the red tray, and snow globe on the shotgun      run tray two without the hat
swap to the slow tray but keep the corners           fish tray two, nail instead of the hat
"""

from itertools import pairwise
from typing import Any, Final

from bot.calls.meant.bare_numbers import bare_numbers
from bot.calls.meant.reader import Line
from bot.calls.meant.signs import Sign
from bot.calls.meant.tray_lures import LURE, Mention, ends_before, lure_within

ASIDE: Final = (("wish", "without"), ("wish", "instead"), ("wish", "keep"))
"""Signs before a lure or a line of the tray that does not go out, or stays as it is."""
PLACES: Final = (*LURE, "both", "species")
"""Tables of what may be said of a tray and of a lure that goes out with it."""
SIGNS_AROUND: Final = (
    *ASIDE, *(("wish", name) for name in ("kept", "aside", "only", "please")),
    *(("tray_word", name) for name in ("ends", "joins", "but", "article")),
    *(("tray_do", name) for name in ("run", "away", "with_it", "spare", "spares")),
)  # fmt: skip
"""Words around these."""


def goes_out_with(line: Line, tray: Mention) -> bool:
    """Return whether a line orders a tray out and names lures behind it: "run tray two, nail on the gun"."""
    behind = [s for s in line.of(*LURE[:3]) if s.start >= tray.end and s.cost == 0.0]
    if not (
        behind or sent_with(line, tray) or spares_at(line, tray)
    ) or line.text.rstrip().endswith("?"):
        return False
    if not _only_places(line, tray):
        return False
    ordered = any(s[:2] == ("tray_do", "sends") and s.end == tray.start for s in line.signs)
    return ordered or is_away(line, tray)


def _only_places(line: Line, tray: Mention) -> bool:
    """Return whether the words behind a tray say where lures go and nothing that befell them."""
    beside = [
        s for s in line.signs if s.cost == 0.0 and (s.table in PLACES or s[:2] in SIGNS_AROUND)
    ]
    known = {n for s in beside for n in range(s.start, s.end)}
    for at in range(tray.end, line.lattice.size):
        known |= {n for _, end in bare_numbers(line, at) for n in range(at, end)}
    return {*range(tray.end, line.lattice.size)} <= known


def is_away(line: Line, tray: Mention) -> bool:
    """Return whether a line puts a tray out with a word behind it: "put tray two out with the nail"."""
    away = line.at(tray.end, "tray_do", "away") is not None
    return away and (tray.start <= 1 or ends_before(line, "run", tray))


def sent_with(line: Line, tray: Mention) -> tuple[dict[str, Any], ...]:
    """Return the lures that go out besides, each with its line where one is said."""
    found = []
    aside = _aside(line, tray)
    for start, end in _parts(line, tray, aside):
        if any(s.start == start for s in aside) or _is_left(line, tray, start, end):
            continue
        slots = lure_within(line, tray, start, end)
        if slots and not _stays(line, start, end):
            found.append(slots)
    return tuple(found)


def spares_at(line: Line, tray: Mention) -> tuple[str, ...]:
    """Return the lines on which a spare of the tray goes, which is not named; empty where no line is said.

    "Run tray two with the spare on the long rigger", "run tray two, spare instead of the hat".
    """
    found = []
    aside = _aside(line, tray)
    for start, end in _parts(line, tray, aside):
        spare = any(s[:2] == ("tray_do", "spare") and start <= s.start < end for s in line.signs)
        if not spare or any(s.start == start for s in aside) or lure_within(line, tray, start, end):
            continue
        places = [s.name for s in line.of("position", "both") if start <= s.start < end]
        found += [name.strip() for place in places for name in place.split(",")] or [""]
    return tuple(found)


def left_lures(line: Line, tray: Mention) -> tuple[str, ...]:
    """Return the lures behind a bare "but", which do not go out: "everything in tray two but the hat"."""
    parts = [part for part in _parts(line, tray, _aside(line, tray)) if _is_left(line, tray, *part)]
    kinds = ("name", "colour", "head")
    return tuple(
        s.name
        for start, end in parts
        for s in line.of(*kinds)
        if start <= s.start < end and s.cost == 0.0
    )


def _is_left(line: Line, tray: Mention, start: int, end: int) -> bool:
    """Return whether a part is "but" and a lure, without a line on which it goes."""
    but = line.at(start, "tray_word", "but")
    if but is None or "position" in lure_within(line, tray, start, end):
        return False
    at = but.end
    while at < end and line.at(at, "wish", "aside") is not None:
        at += 1
    return any(s.start == at for s in line.of("name", "colour", "head"))


def _aside(line: Line, tray: Mention) -> list[Sign]:
    """Return the signs behind a tray that begin a part about what does not go out."""
    names = line.of("name")
    found = [s for s in line.signs if s[:2] in ASIDE and s.start >= tray.end and s.cost == 0.0]
    return [s for s in found if not any(n.start <= s.start < n.end for n in names)]


def _parts(line: Line, tray: Mention, aside: list[Sign]) -> list[tuple[int, int]]:
    """Return the parts of a line behind a tray, by its stops, "and", and what begins a new one."""
    size = line.lattice.size
    joins = {s.end for s in line.signs if s[:2] == ("tray_word", "joins")}
    joins |= {s.start for s in line.signs if s[:2] == ("tray_word", "but")}
    stops = {n for n in range(tray.end, size) if line.tokens[n].stop}
    cuts = {n for n in joins | stops | {s.start for s in aside} if tray.end < n < size}
    named = line.of("name")
    cuts = {n for n in cuts if not any(s.start < n < s.end for s in named)}
    return list(pairwise([tray.end, *sorted(cuts), size]))


def _stays(line: Line, start: int, end: int) -> bool:
    """Return whether a part says that its line stays: "the hat stays on the shotgun"."""
    return any(s[:2] == ("wish", "kept") and start <= s.start < end for s in line.signs)
