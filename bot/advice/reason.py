"""Why one lure rather than another, in the numbers of the record: one sentence, and what speaks against.

Takes the outlook and the cells that it was made of; gives words and plain values. No decision here.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from bot.advice.data import WORDS_FOR_COLOURS, Exposure, Kind, full_words
from bot.advice.season import Outlook
from bot.advice.tally import StrikeTally, add_cells, deviance

TRIED_H = 0.05
"""Lure-hours from which something counts as tried at all."""
ENOUGH_H = 1.0
"""Lure-hours from which today alone is quoted; below, earlier trips are quoted with it."""
ITSELF_H = 0.5
"""Lure-hours from which what a lure has done itself is told beside its size, colour and head."""

NOTHING = StrikeTally()


@dataclass(frozen=True, slots=True)
class Contrast:
    """One thing in which two lures differ, and what the record says of both."""

    what: str
    """`size`, `colour`, `head` or `lure`."""
    new: str
    old: str
    push: float
    """How much it moves the log rate, as believed; above 0 speaks for the new one."""
    new_seen: StrikeTally
    old_seen: StrikeTally
    today: bool
    """True where only today is counted."""
    usual: StrikeTally = NOTHING
    """All lures of that time together: what an untried one is held against."""

    @property
    def weight(self) -> float:
        """Return how much the counts speak for the new one, below 0 against it: a deviance, 1 is a hint."""
        if self.new_seen.hours < TRIED_H:
            return -deviance(self.old_seen, self.usual)
        if self.old_seen.hours < TRIED_H:
            return deviance(self.new_seen, self.usual)
        return deviance(self.new_seen, self.old_seen)

    @property
    def speaks_for(self) -> bool:
        """Return whether the belief speaks for the new lure and no count against it."""
        return self.push > 0 and self.weight >= 0

    def is_said_by(self, words: str) -> bool:
        """Return whether a sentence of before gave this ground, whatever its numbers were."""
        new = self.new[:1].upper() + self.new[1:]
        return words.startswith((f"{new}: ", f"{new} has not been tried"))

    @property
    def sentence(self) -> str:
        """Return its numbers in a sentence, e.g. `Purple: 3 strikes in 4.1 lure-hours, black: 0 in 3.8.`."""
        ending = "." if self.today else ", all trips."
        if (
            self.what == "size"
            and self.push > 0
            and not any(one.strikes or one.raises for one in (self.new_seen, self.old_seen))
        ):
            ending = f"; {self.new} is nearer to what was bitten{ending}"
        new = self.new[:1].upper() + self.new[1:]
        if self.new_seen.hours < TRIED_H:
            return f"{new} has not been tried, {self.old}: {self.old_seen.words}{ending}"
        if self.old_seen.hours < TRIED_H:
            return f"{new}: {self.new_seen.words}{ending}"
        return f"{new}: {self.new_seen.words}, {self.old}: {self.old_seen.figures}{ending}"


def contrasts(
    outlook: Outlook, today: Sequence[Exposure], earlier: Sequence[Exposure], old: Kind, new: Kind
) -> tuple[Contrast, ...]:
    """Return all in which two lures differ, what speaks most for the new one first."""
    found: list[Contrast] = []
    mean = outlook.gauss.mean

    def add(what: str, words: tuple[str, str], sides: tuple[Kind, Kind], test: _Tests) -> None:
        rows = outlook.layout.term_rows(sides, what)
        push = float((rows[0] - rows[1]) @ mean)
        cells = [cell for cell in today if test[0](cell) or test[1](cell)]
        only_today = add_cells(cells).hours >= ENOUGH_H or not earlier
        pool = today if only_today else (*earlier, *today)
        one = add_cells(cell for cell in pool if test[0](cell))
        other = add_cells(cell for cell in pool if test[1](cell))
        found.append(Contrast(what, *words, push, one, other, only_today, add_cells(pool)))

    sides = (new, old)
    if new.size_in is not None and old.size_in is not None and new.size_in != old.size_in:
        words = (f"{new.size_in:g}-inch", f"{old.size_in:g}-inch")
        add("size", words, sides, (_of_size(new.size_in), _of_size(old.size_in)))
    mine, theirs = _only(new.colours, old.colours), _only(old.colours, new.colours)
    if mine != theirs and mine and theirs:
        mine, theirs = (_tried(one, (*earlier, *today)) for one in (mine, theirs))
        words = (WORDS_FOR_COLOURS.join(mine), WORDS_FOR_COLOURS.join(theirs))
        add("colour", words, sides, (_of_colour(mine), _of_colour(theirs)))
    if new.head and old.head and new.head != old.head:
        add("head", (new.head, old.head), sides, (_of_head(new.head), _of_head(old.head)))
    if not found:
        add("lure", (new.label, old.label), sides, (_of_kind(new), _of_kind(old)))
    return tuple(sorted(found, key=lambda one: -one.push))


def grounds(
    outlook: Outlook, today: Sequence[Exposure], earlier: Sequence[Exposure], old: Kind, new: Kind
) -> tuple[Contrast, ...]:
    """Return what may be said for the new lure, the strongest first; empty where the counts deny all of it.

    How strong it is: what the counts say, as far as the belief is moved by it.
    """
    found = list(contrasts(outlook, today, earlier, old, new))
    if not any(one.what == "lure" for one in found):
        found += _themselves(outlook, today, earlier, old, new)
    true = [one for one in found if one.speaks_for]
    return tuple(sorted(true, key=lambda one: (-one.weight * one.push, -one.push)))


def _themselves(
    outlook: Outlook, today: Sequence[Exposure], earlier: Sequence[Exposure], old: Kind, new: Kind
) -> list[Contrast]:
    """Return what both lures have done themselves, where both have been out for long enough."""
    pool = (*earlier, *today)
    mine, theirs = (add_cells(c for c in pool if c.kind == kind) for kind in (new, old))
    if min(mine.hours, theirs.hours) < ITSELF_H:
        return []
    rows = outlook.layout.kind_rows([new, old])
    push = float((rows[0] - rows[1]) @ outlook.gauss.mean)
    words = (full_words(new.name, new), full_words(old.name, old))
    return [Contrast("lure", *words, push, mine, theirs, not earlier, add_cells(pool))]


_Test = Callable[[Exposure], bool]
_Tests = tuple[_Test, _Test]


def _only(mine: tuple[str, ...], theirs: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(colour for colour in mine if colour not in theirs) or mine


def _tried(colours: tuple[str, ...], cells: Sequence[Exposure]) -> tuple[str, ...]:
    """Return the colours where they have been out together, else the one of them that was out most."""
    if len(colours) < 2 or add_cells(c for c in cells if _of_colour(colours)(c)).hours >= TRIED_H:
        return colours
    hours = {one: add_cells(c for c in cells if one in c.kind.colours).hours for one in colours}
    most = max(colours, key=lambda one: hours[one])
    return (most,) if hours[most] >= TRIED_H else colours


def _of_size(size_in: float) -> _Test:
    return lambda cell: cell.kind.size_in == size_in


def _of_colour(colours: tuple[str, ...]) -> _Test:
    """Count a lure that has all of these colours, whatever else it has: so does the tally."""
    return lambda cell: set(colours) <= set(cell.kind.colours)


def _of_head(head: str) -> _Test:
    return lambda cell: cell.kind.head == head


def _of_kind(kind: Kind) -> _Test:
    return lambda cell: cell.kind == kind
