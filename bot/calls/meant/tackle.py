"""Questions about tackle, and what is said of the outfits that stand by. Pure.

A question that is no call names lure, position, class, metres, wave. A line about a standby outfit, or about
fish on top, for which one of them stands by, is a call.
"""

from typing import Final

from bot.calls.meant.bare_numbers import SPEEDS_KN, bare_numbers, speeds_at
from bot.calls.meant.reader import Line, only_with
from bot.calls.meant.signs import Sign
from bot.calls.meant.trays import first
from bot.calls.numbers import numbers_at
from bot.tackle.line_classes import LINE_CLASSES, class_of, class_of_label
from bot.tackle.trays import STANDBY
from bot.trip.acts import ASK_READY, READY, SIGHTING, TRAY
from bot.trip.call import Call
from bot.trip.meant import SpreadWish, TackleQuestion

SIZES_IN: Final = (3.0, 24.0)
"""Range of a lure's length in inches; a number outside it is something else."""
OF_SPEEDS: Final = frozenset({"runs_at", "fine_at", "speed_of"})
"""Kinds of question in which a number is a speed."""
TRAY_OF: Final = {"casting outfit": "casting", "deep diver": "deep"}
"""Outfit that stands by -> the tray of its lures."""
ON_TOP: Final = "jumping fish"
"""The contract's word for fish seen on top."""


def tackle_question(line: Line) -> TackleQuestion | None:
    """Return what a line asks about tackle, or None where it asks for none of it."""
    kinds = line.chained
    if not kinds:
        return None
    taken: set[int] = set()
    class_kg = _class_kg(line, taken)
    metres = _before(line, "length", "metre", taken)
    wave = _wave(line, taken)
    position = max(line.of("position"), key=lambda sign: sign.end - sign.start, default=None)
    lure = max(line.of("name"), key=lambda sign: len(sign.name), default=None)
    return TackleQuestion(
        kinds,
        position.name if position else None,
        lure.name if lure else None,
        tuple(sign.name for sign in line.of("colour")),
        _size_in(line, taken) if OF_SPEEDS.isdisjoint(kinds) else None,
        class_kg,
        metres,
        wave,
        _speed_kn(line) if not OF_SPEEDS.isdisjoint(kinds) else None,
    )


def _speed_kn(line: Line) -> float | None:
    """Return the speed that is asked about, behind "at" without its unit too."""
    said = next((value for value, _, _ in speeds_at(line)), None)
    led = (s.end for s in line.signs if s[:2] == ("pace", "at") and s.end < line.lattice.size)
    low, high = SPEEDS_KN
    bare = (value for at in led for value, _ in bare_numbers(line, at) if low <= value <= high)
    return said if said is not None else next(bare, None)


def _class_kg(line: Line, taken: set[int]) -> float | None:
    label = line.first("line_class")
    if label is not None:
        taken.update(range(label.start, label.end))
        return float(label.name)
    kilos = _before(line, "mass", "kilo", taken)
    if kilos is not None:
        return class_of(kilos).kg if kilos <= LINE_CLASSES[-1].kg else None
    pounds = _before(line, "mass", "pound", taken)
    known = class_of_label(pounds) if pounds is not None else None
    return known.kg if known else None


def _before(line: Line, table: str, unit: str, taken: set[int]) -> float | None:
    """Return the longest number that stands before a unit."""
    lattice = line.lattice
    for start in range(lattice.size):
        ends = [
            (f, after) for f in numbers_at(lattice, start) if (after := line.at(f.end, table, unit))
        ]
        if ends:
            best, after = max(ends, key=lambda one: one[0].end)
            taken.update(range(start, after.end))
            return best.value
    return None


def _wave(line: Line, taken: set[int]) -> int | None:
    for sign in line.of("wave"):
        if sign.name != "wave":
            continue
        nth = next((s for s in line.of("ordinal") if s.end == sign.start), None)
        if nth is not None:
            return int(nth.name)
        after = list(numbers_at(line.lattice, sign.end)) if sign.end < line.lattice.size else []
        if after:
            taken.update(range(sign.end, after[0].end))
            return int(after[0].value)
    return None


def _size_in(line: Line, taken: set[int]) -> float | None:
    low, high = SIZES_IN
    for start in range(line.lattice.size):
        for figure in sorted(numbers_at(line.lattice, start), key=lambda one: -one.end):
            free = taken.isdisjoint(range(start, figure.end))
            if free and low <= figure.value <= high:
                return figure.value
    return None


@only_with("concerns", "all_ready", "on_top", otherwise=())
def standby_calls(line: Line) -> tuple[Call, ...]:
    """Return the calls of a line about an outfit that stands by, or about fish on top; else none."""
    outfit = line.first("concerns", *STANDBY)
    if outfit is not None and (calls := _ready_with(line, outfit)):
        return calls
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
    """Return whether a line reports on an outfit ("the deep diver is ready") and asks nothing of it."""
    stops = [n for n, token in enumerate(line.tokens) if token.stop]
    start = max((n for n in stops if n <= outfit.start), default=0)
    end = min((n for n in stops if n >= outfit.end), default=line.lattice.size)
    said = [s for s in line.signs if s[:2] == ("tray_do", "shown") and start <= s.start < end]
    return bool(said) and all(s.start == outfit.end for s in said)


@only_with("standby")
def told_ready(line: Line) -> str | None:
    """Return the outfit that stands by and is said to be ready, else None."""
    outfit = line.first("concerns", *STANDBY)
    ready = None if outfit is None else line.at(outfit.end, "standby", "ready")
    return outfit.name if outfit is not None and ready and _told(line, outfit) else None


def _ready_with(line: Line, outfit: Sign) -> tuple[Call, ...]:
    """Return that an outfit is ready and which lure lies in its tray, where a line says both, else none."""
    ready = line.at(outfit.end, "standby", "ready")
    opens = line.at(ready.end, "standby", "lure") if ready is not None else None
    if ready is None or opens is None or ready.cost + opens.cost > 0.0 or _is_more(line, opens):
        return ()
    if any(s[:2] == ("tray_do", "shown") and s.start < outfit.start for s in line.signs):
        return ()
    called = Call(READY, lure=outfit.name)
    name = line.at_any(opens.end, "name")
    ends = name is not None and (
        name.end == line.lattice.size or line.at(name.end, "standby", "after") is not None
    )
    if name is None or not ends:
        return (called,) if name is None else ()
    return (called, Call(TRAY, tray=TRAY_OF[outfit.name], lure=name.name))


def _is_more(line: Line, opens: Sign) -> bool:
    """Return whether a line goes on after it says what lure is on an outfit, or asks."""
    stops = any(token.stop for token in line.tokens[opens.start + 1 :])
    return stops or line.text.rstrip().endswith("?")


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


def sighting_on_top(line: Line, seen: Call) -> tuple[Call, ...]:
    """Return the sighting of fish on top that a line says after something else that was seen, else none."""
    for where in (s for s in line.signs if s[:2] == ("on_top", "where") and s.cost == 0.0):
        fish = next((s for s in _kinds(line) if s.end == where.start), None)
        if fish is not None and _is_joined(line, fish):
            species = fish.name if fish.table == "species" else None
            return (Call(SIGHTING, side=seen.side, species=species, what=ON_TOP),)
    return ()


def _is_joined(line: Line, fish: Sign) -> bool:
    """Return whether fish are told at the start, behind a stop, or as something seen with the rest."""
    if fish.start == 0 or line.tokens[fish.start].stop:
        return True
    before = [s for s in line.signs if s.table == "on_top" and s.end == fish.start]
    return any(
        s.name == "joins" or (s.name == "opens" and line.tokens[s.start].stop) for s in before
    )


def _kinds(line: Line) -> list[Sign]:
    """Return the words for fish, or for a kind of them, as they were said."""
    fish = [s for s in line.signs if s[:2] == ("on_top", "fish") and s.cost == 0.0]
    return [*(s for s in line.signs if s.table == "species" and s.cost == 0.0), *fish]
