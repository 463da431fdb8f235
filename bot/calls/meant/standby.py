"""What is said of the outfits that stand by, and of fish on top, for which one of them stands by. Pure."""

from typing import Final

from bot.calls.meant.reader import Line
from bot.calls.meant.signs import Sign
from bot.calls.meant.trays import first
from bot.tackle.trays import STANDBY
from bot.trip.acts import ASK_READY, READY, SIGHTING
from bot.trip.call import Call
from bot.trip.meant import SpreadWish

ON_TOP: Final = "jumping fish"
"""The contract's word for fish seen on top."""


def standby_calls(line: Line) -> tuple[Call, ...]:
    """Return the calls of a line about an outfit that stands by, or about fish on top; else none."""
    outfit = line.first("concerns", *STANDBY)
    if outfit is not None and first(line, "shown") and not _told(line, outfit):
        return (Call(ASK_READY, lure=outfit.name),)
    return _all_ready(line) or _on_top(line)


def _all_ready(line: Line) -> tuple[Call, ...]:
    """Return that all slow lures are ready, or all fast ones, where the line says nothing else."""
    asks = line.text.rstrip().endswith("?")
    return (Call(READY, meant=(wish,)),) if (wish := all_ready(line)) and not asks else ()


def all_ready(line: Line) -> SpreadWish | None:
    """Return which lures are ready together, where a line says so and nothing else."""
    said = (s for s in line.signs if s.table == "all_ready" and s.cost == 0.0)
    whole = next((s for s in said if (s.start, s.end) == (0, line.lattice.size)), None)
    return None if whole is None else SpreadWish(from_tray=whole.name)


def _told(line: Line, outfit: Sign) -> bool:
    """Return whether a line reports on an outfit ("the deep diver is ready") and asks nothing."""
    said = [s for s in line.signs if s[:2] == ("tray_do", "shown")]
    return bool(said) and all(s.start == outfit.end for s in said)


def _on_top(line: Line) -> tuple[Call, ...]:
    """Return the sighting of fish on top, where the line says at most the side besides."""
    where = line.first("on_top", "where")
    if where is None or where.cost > 0.0:
        return ()
    fish = [s for s in line.signs if s.table == "on_top" and s.name == "fish" and s.cost == 0.0]
    species = line.of("species")
    sides = line.of("side")
    known = {n for s in (where, *fish, *species, *sides) for n in range(s.start, s.end)}
    besides = (("on_top", "beside"), ("unwilling", "fish"))
    beside = [n for s in line.signs if s[:2] in besides for n in range(s.start, s.end)]
    if len(known | set(beside)) < line.lattice.size or not (fish or species):
        return ()
    before = where.start - 1
    if line.tokens[where.start].stop and before not in known and before in {s.end for s in fish}:
        return ()  # "fish on, on top": it was on before the stop
    side = sides[0].name if sides else None
    return (Call(SIGHTING, side=side, species=species[0].name if species else None, what=ON_TOP),)
