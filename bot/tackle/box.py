"""The tackle box as a file: CSV text to lures and back, and the look-up of a lure by what was said.

The form is the contract's, section 5. Takes text or bytes, never a path. A bad line is a value with
its number and what to do about it, not an exception: the caller decides whether to import the rest.
"""

import csv
import io
import re
import unicodedata
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from functools import lru_cache
from typing import Final, TypeVar, cast

from bot.tackle.cells import guard, unguard
from bot.tackle.colour_words import PLAIN_WORDS, ColourWords, read_colours
from bot.tackle.items import HEADS, LIMITS, Head, Lure
from bot.tackle.line_classes import GAUGES, Gauge
from bot.tackle.with_units import with_unit, without_inch_marks

COLUMNS: Final = (
    "name", "head", "size_in", "colours", "hook_gauge", "hooks", "leader_kg", "leader_m",
    "ready", "speed_min_kn", "speed_max_kn",
)  # fmt: skip
TEMPLATE: Final = """\
name,head,size_in,colours,hook_gauge,hooks,leader_kg,leader_m,ready,speed_min_kn,speed_max_kn
Paper Lantern,cupped,12,black purple,heavy,2,270,4.5,yes,6.5,9
Wet Slate,blunt,10,blue white,heavy,2,220,4.5,yes,6.5,9.5
Rain Gutter,slanted,9,green over yellow,medium,1,180,4,no,6.5,9.5
Wind Vane,slim,7.5,dark red,medium,1,150,4,yes,7,10
Soap Dish,,6,pink,,,,,,,
"""
"""An example of such a file."""
MUST_HAVE: Final = ("name", "size_in", "colours")
OTHER_COLUMNS: Final[Mapping[str, str]] = {
    "length": "size_in", "inches": "size_in", "inch": "size_in", "color": "colours", "colors": "colours",
    "lure": "name", "label": "name", "shape": "head", "head shape": "head", "leader": "leader_kg",
    "leader length": "leader_m", "rigged": "ready", "gauge": "hook_gauge", "min speed": "speed_min_kn",
    "max speed": "speed_max_kn", "speed": "speed_min_kn",
}  # fmt: skip
"""What else people write over a column."""
MOST_LINES: Final = 20_000
"""Lines of a file; no box of lures has as many."""
MAX_NAME: Final = 60
SIZE_STEP_IN: Final = 0.13
"""Sizes that differ by less are the same size said differently."""

_T = TypeVar("_T")
_YES = frozenset({"yes", "y", "true", "1"})
_NO = frozenset({"", "no", "n", "false", "0"})


@dataclass(frozen=True, slots=True)
class BoxFile:
    """What a file of lures gave."""

    lures: tuple[Lure, ...]
    refused: tuple[tuple[int, str], ...]
    """Line number (from 1) and what is wrong with it and what to do; a line may stand several times."""
    taken_for: tuple[tuple[int, str], ...] = ()
    """Line number and what was read as something that it does not quite say."""


class _BadCell(Exception):  # carries the reason out of the reading of one line
    line = 1
    """Where the reading of a whole file came to grief."""


def parse(
    data: str | bytes, extra_colours: Iterable[str] = (), words: ColourWords = PLAIN_WORDS
) -> BoxFile:
    """Read a file of lures; `extra_colours` are the boat's own, `words` how colours may be written."""
    try:
        text = data if isinstance(data, str) else _decoded(data)
    except _BadCell as bad:
        return BoxFile((), ((bad.line, str(bad)),))
    lines = re.split(r"\r\n|\r|\n", text.removeprefix("\ufeff"))
    if len(lines) > MOST_LINES:
        return BoxFile((), ((MOST_LINES, "the file has more lines than a box has lures: cut it"),))
    head = next((n for n, line in enumerate(lines) if line.strip()), None)
    if head is None:
        return BoxFile((), ((1, f"the file is empty: give a first line with {_names(MUST_HAVE)}"),))
    separator = _separator(lines[head])
    columns, refused = _columns(lines[head], head + 1, separator)
    if not set(MUST_HAVE) <= set(columns):
        return BoxFile((), refused)
    return _rows(lines, head, separator, columns, words.with_own(extra_colours), refused)


def format(lures: Iterable[Lure]) -> str:
    """Write lures as a file that `parse` reads back to the same lures."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    for lure in lures:
        writer.writerow([_cell(lure, column) for column in COLUMNS])
    return out.getvalue()


def find(
    lures: Sequence[Lure],
    *,
    lure: str | None = None,
    colours: Sequence[str] = (),
    size_in: float | None = None,
    head: str | None = None,
) -> tuple[Lure, ...]:
    """Return the lures that fit all that was said, the closest fit in colours only; empty for none.

    A lure whose colours are just those said, in that order, beats one that has them in another order,
    and this one beats a lure that has more colours. Without anything said nothing is found.
    """
    if lure is None and not colours and size_in is None and head is None:
        return ()
    said = tuple(colours)
    fits = [
        item
        for item in lures
        if (lure is None or same_name(item.name, lure))
        and (size_in is None or abs(item.size_in - size_in) < SIZE_STEP_IN)
        and (head is None or item.head == head)
        and set(said) <= set(item.colours)
    ]
    for closest in (
        [i for i in fits if i.colours == said],
        [i for i in fits if set(i.colours) == set(said)],
        fits,
    ):
        if closest:
            return tuple(closest)
    return ()


def spares(lure: Lure, lures: Iterable[Lure]) -> tuple[Lure, ...]:
    """Return the others of its size that lead with its colour or have its colours."""
    return tuple(
        other
        for other in lures
        if name_key(other.name) != name_key(lure.name)
        and abs(other.size_in - lure.size_in) < SIZE_STEP_IN
        and (other.colours[0] == lure.colours[0] or set(other.colours) == set(lure.colours))
    )


def same_name(one: str, other: str) -> bool:
    """Return whether two names are the same but for capitals, blanks and an article."""
    return name_key(one) == name_key(other)


@lru_cache(maxsize=4096)
def name_key(name: str) -> str:
    """Return the form of a name under which a box holds it once."""
    words = unicodedata.normalize("NFC", name).casefold().split()
    return " ".join(words[1:] if len(words) > 1 and words[0] in ("the", "a", "an") else words)


def merge(held: Sequence[Lure], new: Sequence[Lure]) -> tuple[Lure, ...]:
    """Return the box after an import: a lure of the same name is replaced in its place, others added."""
    coming = {name_key(lure.name): lure for lure in new}
    kept = tuple(coming.pop(name_key(lure.name), lure) for lure in held)
    return kept + tuple(coming.values())


def _decoded(data: bytes) -> str:
    wide = data.startswith((b"\xff\xfe", b"\xfe\xff"))
    try:
        return data.decode("utf-16" if wide else "utf-8-sig")
    except UnicodeDecodeError as bad:
        reason = _BadCell("this line is not UTF-8 text: save the file as CSV UTF-8")
        reason.line = 1 + data[: bad.start].count(b"\n")
        raise reason from None


def _separator(header: str) -> str:
    return max(",;\t", key=header.count)


def _columns(
    line: str, number: int, separator: str
) -> tuple[list[str], tuple[tuple[int, str], ...]]:
    """Return the column names and what is wrong with them."""
    try:
        columns = [cell.strip().casefold() for cell in _cells(line, separator)]
    except _BadCell as bad:
        return [], ((number, str(bad)),)
    wrong, guessed = [], set()
    for name in dict.fromkeys(columns):
        if name not in COLUMNS:
            meant = _column_meant(name, columns)
            guessed.add(meant)
            what = f"did you mean {meant}?" if meant else f"leave it out or use {_names(COLUMNS)}"
            wrong.append(f"column {_quoted(name)} is not known: {what}")
        elif columns.count(name) > 1:
            wrong.append(f"column {name} stands twice: keep one")
    for name in MUST_HAVE:
        if name not in columns and name not in guessed:
            wrong.append(
                f"column {name} is missing: the first line names the columns, of {_names(COLUMNS)};"
                " deckcall box template shows an example"
            )
    return columns, tuple((number, reason) for reason in wrong)


def _column_meant(name: str, columns: Sequence[str]) -> str | None:
    """Return the column that a head nearly names and that is not there, None where there is none."""
    plain = name.replace("_", " ").replace("(", " ").replace(")", " ")
    near = get_close_matches(name.replace(" ", "_"), COLUMNS, 1, 0.7)
    meant = OTHER_COLUMNS.get(" ".join(plain.split()), near[0] if near else None)
    return None if meant in columns else meant


def _rows(
    lines: Sequence[str],
    head: int,
    separator: str,
    columns: Sequence[str],
    known: ColourWords,
    refused: tuple[tuple[int, str], ...],
) -> BoxFile:
    lures: list[Lure] = []
    wrong = list(refused)
    taken: list[tuple[int, str]] = []
    first_line: dict[str, int] = {}
    for number, line in enumerate(lines[head + 1 :], head + 2):
        if not line.strip(f"{separator} \t"):
            continue
        row = _Row({}, known)
        try:
            row = _Row(_row(line, separator, columns), known)
            lure = row.lure()
        except (_BadCell, ValueError) as bad:
            wrong += [(number, reason) for reason in (*row.wrong, str(bad)) if reason]
            continue
        taken += [(number, said) for said in row.taken_for]
        key = name_key(lure.name)
        if key in first_line:
            wrong.append(
                (number, f"{lure.name} stands on line {first_line[key]} already: rename one")
            )
            continue
        first_line[key] = number
        lures.append(lure)
    if not lures and not wrong:
        wrong.append((head + 1, "no lure follows the line of column names: add one line a lure"))
    return BoxFile(tuple(lures), tuple(wrong), tuple(taken))


def _row(line: str, separator: str, columns: Sequence[str]) -> dict[str, str]:
    cells = _cells(line, separator)
    if any(cell.strip() for cell in cells[len(columns) :]):
        raise _BadCell(
            f"{len(cells)} cells but {len(columns)} columns: put quotes round a cell that holds {separator!r}"
        )
    return dict(zip(columns, (cell.strip() for cell in cells), strict=False))


class _Row:
    """One line while it is read; holds everything that is wrong with it."""

    def __init__(self, cells: Mapping[str, str], words: ColourWords) -> None:
        self._cells, self._words = cells, words
        self.wrong: list[str] = []
        self.taken_for: tuple[str, ...] = ()

    def lure(self) -> Lure:
        """Return the lure; raise where a cell is bad, after all of them were read."""
        cells = self._cells
        size_in, hooks = self._number("size_in"), self._number("hooks")
        values = (
            self._read(lambda: _name(cells.get("name", "")), ""),
            self._colours(),
            self._read(lambda: _one_of(cells, "head", HEADS, **self._words.heads), None),
            self._read(lambda: _one_of(cells, "hook_gauge", GAUGES), None),
            self._number("leader_kg"),
            self._number("leader_m"),
            self._read(lambda: _ready(cells.get("ready", "")), False),
            self._number("speed_min_kn"),
            self._number("speed_max_kn"),
        )
        if size_in is None and not cells.get("size_in"):
            self.wrong.append("size_in is empty: give the length in inches")
        if hooks is not None and hooks != int(hooks):
            self.wrong.append(f"hooks {_quoted(cells['hooks'])} is no whole number")
        if self.wrong or size_in is None:
            raise _BadCell("")
        name, colours, head, gauge, leader_kg, leader_m, ready, low, high = values
        return Lure(
            name=name,
            size_in=size_in,
            colours=colours,
            head=cast(Head | None, head),
            hook_gauge=cast(Gauge | None, gauge),
            hooks=None if hooks is None else int(hooks),
            leader_kg=leader_kg,
            leader_m=leader_m,
            ready=ready,
            speed_min_kn=low,
            speed_max_kn=high,
        )

    def _colours(self) -> tuple[str, ...]:
        cell = self._cells.get("colours", "")
        if not cell:
            self.wrong.append("colours is empty: give at least one")
            return ()
        found = read_colours(cell, self._words)
        self.wrong += found.unknown or (
            () if found.colours else ("colours names no colour: give at least one",)
        )
        self.taken_for = found.taken_for
        return found.colours

    def _number(self, column: str) -> float | None:
        return self._read(lambda: _number(self._cells, column), None)

    def _read(self, read: Callable[[], _T], default: _T) -> _T:
        try:
            return read()
        except _BadCell as bad:
            self.wrong.append(str(bad))
            return default


def _cells(line: str, separator: str) -> list[str]:
    if line.count('"') % 2:  # an inch mark in a cell without quotes: 14"
        line = without_inch_marks(line, separator)
    try:
        if line.count('"') % 2 == 0:  # each line is one lure, so a quote closes where it was opened
            return next(csv.reader([line], delimiter=separator, strict=True))
    except csv.Error:
        pass
    raise _BadCell('a quote (") is opened and not closed, or text follows it: mend the quotes')


def _name(cell: str) -> str:
    name = unicodedata.normalize("NFC", " ".join(unguard(cell).split()))
    if not name:
        raise _BadCell("name is empty: give the lure a name")
    if not name.isprintable():
        raise _BadCell("name holds a character that cannot be printed: type it anew")
    if len(name) > MAX_NAME:
        raise _BadCell(f"name is longer than {MAX_NAME} letters: shorten it")
    return name


def _number(row: Mapping[str, str], column: str) -> float | None:
    cell = row.get(column, "")
    if not cell:
        return None
    low, high = LIMITS[column]
    value = with_unit(cell, column)
    if value is None:
        raise _BadCell(f"{column} {_quoted(cell)} is no number: write it like 7 or 7.5")
    if not low <= value <= high:
        raise _BadCell(
            f"{column} {cell[:40]} is not between {low:g} and {high:g}: check number and unit"
        )
    return value


def _one_of(
    row: Mapping[str, str], column: str, allowed: Sequence[str], **forms: str
) -> str | None:
    cell = " ".join(row.get(column, "").casefold().replace("-", " ").split())
    cell = forms.get(cell, cell)
    if not cell:
        return None
    if cell not in allowed:
        near = get_close_matches(cell, allowed, 1, 0.6)
        meant = f"did you mean {near[0]}?" if near else f"use {_names(allowed)}, or leave it empty"
        raise _BadCell(f"{column} {_quoted(cell)} is not known: {meant}")
    return cell


def _ready(cell: str) -> bool:
    word = cell.casefold()
    if word not in _YES | _NO:
        raise _BadCell(f"ready {_quoted(cell)} is not known: use yes or no")
    return word in _YES


def _quoted(cell: str) -> str:
    return repr(cell if len(cell) <= MAX_NAME else f"{cell[:MAX_NAME]}…")


def _names(names: Iterable[str]) -> str:
    return ", ".join(names)


def _cell(lure: Lure, column: str) -> str:
    value = getattr(lure, column)
    if value is None:
        return ""
    if isinstance(value, tuple):
        return " ".join(value)
    if isinstance(value, bool):
        return "yes" if value else "no"
    return guard(value) if isinstance(value, str) else str(value).removesuffix(".0")
