"""Which lures a line names beside a tray, in the order said. Pure."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any, Final

from bot.calls.meant.bare_numbers import bare_numbers, is_unit
from bot.calls.meant.reader import Line
from bot.calls.meant.signs import Sign
from bot.trip.call import Call

SIZES_IN: Final = (3.0, 24.0)
"""Range of a lure's length in inches; a number outside it is something else."""
LURE: Final = ("name", "colour", "head", "position")
"""Tables of signs that say which lure, and where."""
TABLES_AS_HEARD: Final = ("tray_do", "tray_word", "tray_talk", "wish")
"""Tables whose words are believed as heard."""


@dataclass(frozen=True, slots=True)
class Mention:
    """A tray that is named in a line."""

    name: str
    """Empty for "the tray"."""
    start: int
    end: int
    is_tray: bool
    """False where only a spread was said: "the slow spread"; true for "the slow lot"."""


@dataclass(frozen=True, slots=True)
class Part:
    """A lure that is named in a part of a line."""

    at: int
    """Its first word."""
    slots: dict[str, Any]

    @property
    def is_named(self) -> bool:
        """Return whether it has its name or its length, and not only a colour."""
        return "size_in" in self.slots or "lure" in self.slots


def lures_in(line: Line, tray: Mention | None) -> list[dict[str, Any]]:
    """Return the slots of each lure that is named beside the tray."""
    return [part.slots for part in parts_in(line, tray)]


def parts_in(line: Line, tray: Mention | None, between: str = "joins") -> list[Part]:
    """Return each lure that is named beside the tray, those between two "and" together.

    Commas part them too, where each is a lure by itself; `between` names the signs of [tray_word] that do.
    """
    size = line.lattice.size
    joins = {s.start for s in line.signs if s.table == "tray_word" and s.name in ("joins", between)}
    stops = {n for n in range(1, size) if line.tokens[n].stop and not _is_in(n, tray)}
    ends = {tray.end} & {*range(1, size)} if tray is not None else set()
    listed = _parts(line, tray, joins | stops | ends)
    if listed and all(part.is_named for part in listed):
        return listed
    parts = _parts(line, tray, joins)
    if len(parts) > 1 and sum(part.is_named for part in parts) < 2:
        return _parts(line, tray, set())
    return parts


def _parts(line: Line, tray: Mention | None, cuts: set[int]) -> list[Part]:
    """Return the lure of each part of a line; a position alone belongs to the lure before it."""
    found: list[Part] = []
    for start, end in pairwise([0, *sorted(cuts - {0}), line.lattice.size]):
        slots = lure_within(line, tray, start, end)
        if slots:
            found.append(Part(start, slots))
            continue
        places = [
            s for s in line.of("position") if start <= s.start < end and not is_within(s, tray)
        ]
        if places and found and "position" not in found[-1].slots:
            last = found.pop()
            found.append(Part(last.at, last.slots | {"position": places[0].name}))
    return found


def is_list(line: Line, tray: Mention) -> bool:
    """Return whether a line is a tray and then its lures: "tray two: hat short corner, nail way back"."""
    lures = [part for part in parts_in(line, tray) if part.at >= tray.end]
    led = tray.start == 0 or (tray.start == 1 and line.at(0, "tray_word", "ends") is not None)
    if not led or not lures or line.text.rstrip().endswith("?"):
        return False
    beside = (*LURE, "side", "species")
    known = {n for s in line.of(*beside) for n in range(s.start, s.end)}
    aside = [s for s in line.signs if s.table == "tray_word" and s.name in ("ends", "joins")]
    known |= {n for s in aside for n in range(s.start, s.end)}
    known |= {n for s in line.signs if s[:2] == ("tray_do", "spare") for n in range(s.start, s.end)}
    for at in range(line.lattice.size):
        known |= {n for _, end in bare_numbers(line, at) for n in range(at, end)}
    return {*range(tray.end, line.lattice.size)} <= known


def is_spare(call: Call, line: Line, tray: Mention | None) -> bool:
    """Return whether a lure is called a spare: all that are listed with the word, else the one beside it."""
    said = next((s for s in line.signs if s[:2] == ("tray_do", "spare")), None)
    if said is None:
        return False
    parts = parts_in(line, tray)
    lures = line.of(*LURE[:3])
    before = [part for part in parts if part.at <= said.start]
    all_of = line.has("tray_do", "spares") or (
        tray is not None and tray.end <= said.start and tray.start > 1
    )
    if all_of or len(parts) < 2 or not before or not any(s.start < said.start for s in lures):
        return True
    return is_of(call, before[-1].slots)


def is_of(call: Call, slots: dict[str, Any]) -> bool:
    """Return whether a call is about a lure that was named in a line."""
    return all(getattr(call, name) == value for name, value in slots.items())


def lure_within(line: Line, tray: Mention | None, start: int, end: int) -> dict[str, Any]:
    """Return the slots of the lure that is named between two words, with its position; empty for none."""

    def there(table: str) -> list[str]:
        signs = (s for s in line.of(table) if start <= s.start < end and not is_within(s, tray))
        said = (s for s in signs if not _is_slip(line, s) and not is_of_fish(line, s))
        return list(dict.fromkeys(s.name for s in said))

    name, colours, head, position = (there(table) for table in LURE)
    sizes = [v for at, v in _sizes(line) if start <= at < end and not _is_in(at, tray)]
    slots: dict[str, Any] = {"lure": name[0]} if name else {}
    emptied = {s.start for s in line.signs if s[:2] == ("tray_do", "emptied")}
    if not name:
        colours = [
            c for c in colours if not any(s.name == c and s.start in emptied for s in line.signs)
        ]
        slots |= {"colours": tuple(colours)} if colours else {}
        slots |= {"size_in": sizes[0]} if sizes else {}
        slots |= {"head": head[0]} if head else {}
    return slots | ({"position": position[0]} if position else {}) if slots else {}


def _is_slip(line: Line, sign: Sign) -> bool:
    """Return whether a repaired word is itself a word of such a line: "go" is not "glow"."""
    believed = (s for s in line.signs if s.table in TABLES_AS_HEARD and s.cost == 0.0)
    return sign.cost > 0.0 and any(s.start < sign.end and sign.start < s.end for s in believed)


def is_of_fish(line: Line, sign: Sign) -> bool:
    """Return whether a sign is a part of the name of a fish: "for blue marlin" names no blue lure."""
    fish = (s for s in line.of("species") if s.cost == 0.0)
    return any(
        s.start <= sign.start and sign.end <= s.end and s.end - s.start > sign.end - sign.start
        for s in fish
    )


def is_within(sign: Sign, tray: Mention | None) -> bool:
    """Return whether a sign is a part of what names the tray."""
    return tray is not None and sign.start < tray.end and tray.start < sign.end


def _is_in(at: int, tray: Mention | None) -> bool:
    return tray is not None and tray.start <= at < tray.end


def moved_between(line: Line, trays: Sequence[Mention]) -> list[tuple[dict[str, Any], str, bool]]:
    """Return the lures that go from one tray into another: each with the tray, and whether it comes out.

    "Move the hat from the slow tray to tray two", "take the hat out of the slow tray and put it in tray two".
    """
    if len(trays) != 2 or trays[0].name == trays[1].name or not all(x.is_tray for x in trays):
        return []
    first, second = sorted(trays, key=lambda one: one.start)
    out = ends_before(line, "from", first) and ends_before(line, "into", second)
    lures = [part.slots for part in _parts(line, first, set()) if part.at < first.start]
    if not out or line.text.rstrip().endswith("?"):
        return []
    return [(x, tray.name, tray is first) for x in lures for tray in (first, second)]


def ends_before(line: Line, name: str, tray: Mention, table: str = "tray_do") -> bool:
    """Return whether a wording ends right before a tray, or before its article."""
    ends = (tray.start - 1, tray.start)
    return any(s[:2] == (table, name) and s.end in ends for s in line.signs)


def _runs_on(line: Line, start: int, end: int) -> bool:
    """Return whether a number takes in a word that joins: "a red one to the tray" is no twelve."""
    return end - start > 1 and line.at(end - 1, "tray_word", "ends") is not None


def _sizes(line: Line) -> Iterator[tuple[int, float]]:
    (low, high), at = SIZES_IN, 0
    while at < line.lattice.size:
        said = bare_numbers(line, at)
        numbers = [(value, end) for value, end in said if not _runs_on(line, at, end)]
        measured = next((end for _, end in numbers if is_unit(line, end)), None)
        fit = next(((value, end) for value, end in numbers if low <= value <= high), None)
        if measured is None and fit is not None:
            yield at, fit[0]
        at = measured or (fit[1] if fit else at + 1)
