"""Questions for what lures are aboard: of a colour, a size or a head, others of it, or for a fish. Pure.

any other reds      another red one      what jets have we got      what have we got for wahoo
"""

from typing import Any, Final

from bot.calls.meant.bare_numbers import bare_numbers
from bot.calls.meant.reader import Line
from bot.calls.meant.signs import Sign
from bot.calls.meant.tray_lures import SIZES_IN, lures_in
from bot.trip.acts import ASK_READY
from bot.trip.call import Call

EARLY: Final = 4
"""Most words that may stand before the words that ask for others."""
KINDS: Final = ("colour", "colour_many", "head")


def aboard_calls(line: Line) -> tuple[Call, ...]:
    """Return the question for lures of a kind, or for a fish, that a line is; empty for any other line."""
    if (fish := _for_fish(line)) is not None:
        return (fish,)
    asked = line.first("another_of", "ask")
    if asked is not None and asked.start <= EARLY and (others := _others(line)):
        return others
    kind = asked_kind(line)
    return (Call(ASK_READY, **kind),) if kind else ()


def is_for_fish(line: Line) -> bool:
    """Return whether a line asks which lures aboard go for a fish."""
    return _for_fish(line) is not None


def asks_others(line: Line) -> bool:
    """Return whether a line asks for others than the one that was spoken of."""
    return line.has("another_of", "ask") or line.at(0, "aboard_kind", "another") is not None


def _others(line: Line) -> tuple[Call, ...]:
    """Return the question for others of a size or colour: "have we another purple", "any more tens"."""
    lures = lures_in(line, None)
    places = line.of("position")
    if not lures and places and line.has("tray_do", "spare"):
        return (Call(ASK_READY, position=places[0].name),)
    if not lures and (line.has("another_of", "size") or line.has("another_of", "colour")):
        return (Call(ASK_READY),)
    return tuple(Call(ASK_READY, **lure) for lure in lures[:1])


def asked_kind(line: Line) -> dict[str, Any]:
    """Return the colours, size and head that a line asks for and says nothing else about; empty for none."""
    size = line.lattice.size
    opens = max(
        (s for s in line.signs if s.table == "aboard_kind" and s.start == 0 and _opens(s)),
        key=lambda s: s.end,
        default=None,
    )
    if opens is None:
        return {}
    named = [s for s in line.of(*KINDS) if s.cost == 0.0]
    known = {n for s in named for n in range(s.start, s.end)}
    known |= set(range(opens.end))
    beside = [s for s in line.signs if s[:2] == ("aboard_kind", "beside") and s.cost == 0.0]
    sizes = []
    for at in range(opens.end, size):
        for value, end in bare_numbers(line, at):
            known |= set(range(at, end))
            sizes += [value] if SIZES_IN[0] <= value <= SIZES_IN[1] else []
    of_lures = [s for s in line.signs if s[:2] == ("aboard_kind", "lures") and s.cost == 0.0]
    known |= {n for s in (*beside, *of_lures) for n in range(s.start, s.end)}
    if not {*range(size)} <= known or not (named or (sizes and of_lures)):
        return {}
    fishy = line.of("species", "about_species")
    fish = {n for s in fishy if s.cost == 0.0 for n in range(s.start, s.end)}
    if not of_lures and all(s.start in fish for s in named) and not sizes:
        return {}  # "any blues" are fish
    if len({*sizes}) > 1:
        return {}
    colours = tuple(dict.fromkeys(s.name for s in named if s.table != "head"))
    head = next((s.name for s in named if s.table == "head"), None)
    found = {"colours": colours or None, "size_in": sizes[0] if sizes else None, "head": head}
    return {name: value for name, value in found.items() if value is not None}


def _opens(sign: Sign) -> bool:
    return sign.name in ("opens", "another") and sign.cost == 0.0


def _for_fish(line: Line) -> Call | None:
    """Return the question which lures go for a fish, "what have we got for wahoo"; None for another line."""
    size = line.lattice.size
    for sign in line.signs:
        if sign[:2] != ("aboard_for", "asks") or sign.start > 1 or sign.cost > 0.0:
            continue
        if sign.start == 1 and line.at(0, "aboard_for", "before") is None:
            continue
        at = sign.end
        while at < size and line.at(at, "aboard_for", "article") is not None:
            at += 1
        if at == size:
            continue
        fish = max(
            (s for s in line.of("species") if s.start == at and s.cost == 0.0),
            key=lambda s: s.end,
            default=None,
        )
        them = line.at(at, "aboard_for", "them")
        end = fish.end if fish is not None else them.end if them is not None else size + 1
        rest = range(end, size)
        if end <= size and all(line.at(n, "aboard_for", "ends") for n in rest):
            return Call(ASK_READY, species=fish.name if fish is not None else None)
    return None
