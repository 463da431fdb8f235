"""What is to be left out of advice and plans: "leave the hat out of it", "no, not the hat". Pure."""

from typing import Final

from bot.calls.meant.reader import Line
from bot.calls.meant.signs import Sign
from bot.trip.meant import LeavesOut

TABLE: Final = "leaves_out"
WITHIN: Final = 2
"""Words between a lure and those that leave it out."""
EARLY: Final = 2
"""Words before the "not" of an answer to a proposal: "no, not the hat"."""


def leaves_out(line: Line) -> LeavesOut | None:
    """Return what a line leaves out, or takes in again; None for any other line, and for a question."""
    named = _named(line)
    if not named or line.text.rstrip().endswith("?") or line.has(TABLE, "asked"):
        return None
    what = tuple(dict.fromkeys(sign.name for sign in named))
    if line.has(TABLE, "again") and line.has(TABLE, "advice"):
        return LeavesOut(what, back=True)
    of_it = line.has(TABLE, "of_it")
    if _ordered(line, named) and (of_it or not line.has(TABLE, "there")):
        return LeavesOut(what, of_it=of_it)
    return LeavesOut(what, of_offer=True) if _refused(line, named) else None


def _named(line: Line) -> list[Sign]:
    """Return the lures of the box and the outfits that are named; without any, colours and heads."""
    lures = [sign for sign in line.of("name") if sign.cost == 0.0]
    return [*lures, *line.of("standing")] or [
        sign for sign in line.of("colour", "head") if sign.cost == 0.0
    ]


def _ordered(line: Line, named: list[Sign]) -> bool:
    """Return whether it is said to leave them out, before them, around them, or of "it"."""
    if line.has(TABLE, "it"):
        return True
    first, end = named[0], named[-1].end
    while end < line.lattice.size and line.at(end, "wish", "aside"):
        end += 1
    for sign in line.of(TABLE):
        if sign.name == "order" and 0 <= first.start - sign.end <= WITHIN:
            return True
        if sign.name in ("leave", "keep") and 0 <= first.start - sign.end <= WITHIN:
            behind = line.at(end, TABLE, "of_it") or (
                line.at(end, TABLE, "out") if sign.name == "leave" else None
            )
            if behind is not None:
                return True
    return False


def _refused(line: Line, named: list[Sign]) -> bool:
    """Return whether a line begins with "not" and the lure: an answer to what was proposed."""
    refused = (s for s in line.signs if s[:2] == (TABLE, "refuse") and s.start <= EARLY)
    return any(
        all(line.at(n, "wish", "aside") for n in range(sign.end, named[0].start))
        for sign in refused
        if sign.end <= named[0].start
    )
