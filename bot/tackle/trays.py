"""Trays: the spreads that a crew makes ready ashore, each by its name, and the same as a CSV file.

A tray holds lures for positions, spares, and for which tackle and speed it is. Two of its kind stand by
themselves: the casting outfit and the deep diver (`STANDBY`). Takes text or bytes, never a path.
"""

import csv
import io
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from bot.tackle.box import find, name_key
from bot.tackle.cells import guard, unguard
from bot.tackle.items import Lure, check_number
from bot.tackle.line_classes import CLASS_OF_WORD, tackle_class_kg

STANDBY: Final[Mapping[str, str]] = {
    "casting outfit": "for fish seen on top",
    "deep diver": "for fish marked deep",
}
"""What else stands ready when lines go in (common practice)."""
COLUMNS: Final = ("tray", "lure", "position", "spare", "tackle", "speed_kn")
TEMPLATE: Final = """\
tray,lure,position,spare,tackle,speed_kn
heavy,Paper Lantern,short corner,,heavy,8
heavy,Wet Slate,long corner,,heavy,8
heavy,Rain Gutter,,yes,heavy,8
slow,Soap Dish,short rigger,,24,5.5
"""
"""An example of such a file."""
MOST_NAME: Final = 40
MOST_LURES: Final = 200
"""Lures of one tray; more is no tray."""
_NUMBERS: Final = {
    word: str(number)
    for number, word in enumerate("one two three four five six seven eight nine ten eleven twelve".split(), 1)
}  # fmt: skip
_ASIDE: Final = frozenset({"tray", "the", "a", "our", "my", "number"})
_YES: Final = frozenset({"yes", "y", "true", "1", "spare"})
_NO: Final = frozenset({"", "no", "n", "false", "0"})


@dataclass(frozen=True, slots=True)
class TrayLure:
    """One lure in a tray: by its name in the box, or as it was described."""

    lure: str | None = None
    size_in: float | None = None
    colours: tuple[str, ...] = ()
    head: str | None = None
    position: str | None = None
    """Where it goes; None: a spare, or wherever it suits."""
    spare: bool = False

    @property
    def label(self) -> str:
        """Return its name, or the words for it."""
        size = "" if self.size_in is None else f"{self.size_in:g}-inch"
        return self.lure or " ".join((*self.colours, *((size,) if size else ()))) or "unknown lure"


@dataclass(frozen=True, slots=True)
class Tray:
    """A spread made ready ashore, by its name."""

    name: str
    """Lower case, without the word tray."""
    lures: tuple[TrayLure, ...] = ()
    tackle: str | float | None = None
    """`light`, `medium`, `heavy` or a line class in kg."""
    speed_kn: float | None = None

    def __post_init__(self) -> None:
        if not self.name.strip():
            raise ValueError("a tray needs a name")
        check_number("speed_kn", self.speed_kn)

    @property
    def words(self) -> str:
        """Return how it is spoken of: `the slow tray`, `tray two`."""
        return f"tray {self.name}" if tray_key(self.name).isdigit() else f"the {self.name} tray"

    @property
    def title(self) -> str:
        """Return it without an article, as a heading: `slow tray`, `tray two`."""
        return self.words.removeprefix("the ")

    @property
    def runners(self) -> tuple[TrayLure, ...]:
        """Return what goes out."""
        return tuple(one for one in self.lures if not one.spare)

    @property
    def spares(self) -> tuple[TrayLure, ...]:
        """Return what is there to take the place of another."""
        return tuple(one for one in self.lures if one.spare)


def tray_key(name: str) -> str:
    """Return the form of a tray's name under which there is one: `Tray Two` and `2` are the same."""
    words = [word for word in name.casefold().replace("#", " ").split() if word not in _ASIDE]
    return " ".join(_NUMBERS.get(word, word) for word in words)


def named_tray(trays: Iterable[Tray], said: str) -> Tray | None:
    """Return the tray of a name, however it was said, or None."""
    key = tray_key(said)
    return next((tray for tray in trays if key and tray_key(tray.name) == key), None)


@dataclass(frozen=True, slots=True)
class TrayFile:
    """What a file of trays gave."""

    trays: tuple[Tray, ...]
    refused: tuple[tuple[int, str], ...]
    """Line number (from 1), and what is wrong with it and what to do."""


def parse(data: str | bytes, box: Sequence[Lure], positions: Sequence[str]) -> TrayFile:
    """Read a file of trays: one lure a line, of this box and for these positions."""
    try:
        text = data if isinstance(data, str) else data.decode("utf-8-sig")
        rows = list(csv.reader(io.StringIO(text.removeprefix("\ufeff"))))
    except (UnicodeDecodeError, csv.Error):
        return TrayFile((), ((1, "the file is no CSV in UTF-8: save it as CSV UTF-8"),))
    if not rows:
        return TrayFile((), ((1, "the file is empty: give a first line with tray, lure"),))
    columns = [cell.strip().casefold() for cell in rows[0]]
    unknown = [name for name in columns if name not in COLUMNS]
    missing = [name for name in COLUMNS[:2] if name not in columns]
    if unknown or missing:
        what = (
            f"column {unknown[0]!r} is not known" if unknown else f"column {missing[0]} is missing"
        )
        return TrayFile((), ((1, f"{what}: use {', '.join(COLUMNS)}"),))
    found: dict[str, Tray] = {}
    refused: list[tuple[int, str]] = []
    for number, row in enumerate(rows[1:], 2):
        cells = dict(zip(columns, (cell.strip() for cell in row), strict=False))
        if not any(cells.values()):
            continue
        try:
            _add(found, cells, box, positions)
        except ValueError as bad:
            refused.append((number, str(bad)))
    if not found and not refused:
        refused.append((1, "no lure follows the line of column names: add one line a lure"))
    return TrayFile(tuple(found.values()), tuple(refused))


def format(trays: Iterable[Tray]) -> str:
    """Write trays as a file that `parse` reads back to the same trays."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    for tray in trays:
        speed = "" if tray.speed_kn is None else f"{tray.speed_kn:g}"
        tackle = tray.tackle if isinstance(tray.tackle, str) else _number(tray.tackle)
        for one in tray.lures:
            spare = "yes" if one.spare else ""
            cells = (tray.name, one.label, one.position or "", spare, tackle, speed)
            writer.writerow([guard(cell) for cell in cells])
    return out.getvalue()


def lure_in_tray(lure: Lure, position: str | None = None, spare: bool = False) -> TrayLure:
    """Return a lure of the box as it lies in a tray."""
    return TrayLure(lure.name, lure.size_in, lure.colours, lure.head, position, spare)


def _add(
    found: dict[str, Tray], cells: Mapping[str, str], box: Sequence[Lure], positions: Sequence[str]
) -> None:
    """Add one line to its tray; raises ValueError that says what to do."""
    name = " ".join(unguard(cells.get("tray", "")).casefold().split())
    key = tray_key(name)
    if not key or len(name) > MOST_NAME or not name.isprintable():
        raise ValueError(f"tray is empty or no name: give one of at most {MOST_NAME} letters")
    said = unguard(cells.get("lure", ""))
    lures = find(box, lure=said) if said else ()
    if not lures:
        raise ValueError(f"lure {said[:60]!r} is not in the box: deckcall box list shows what is")
    position = cells.get("position", "").casefold() or None
    if position is not None and position not in positions:
        raise ValueError(f"position {position[:40]!r} is not known: use {', '.join(positions)}")
    spare = cells.get("spare", "").casefold()
    if spare not in _YES | _NO:
        raise ValueError(f"spare {spare[:20]!r} is not known: use yes or nothing")
    tackle, speed = _tackle(cells.get("tackle", "")), _speed(cells.get("speed_kn", ""))
    tray = found.get(key, Tray(name))
    if any(name_key(one.lure or "") == name_key(lures[0].name) for one in tray.lures):
        raise ValueError(f"{lures[0].name} is in {tray.words} already: remove one")
    if position is not None and any(one.position == position for one in tray.runners):
        raise ValueError(f"{tray.words} has a lure for the {position} already: remove one")
    if len(tray.lures) >= MOST_LURES:
        raise ValueError(f"{tray.words} has more than {MOST_LURES} lures: split it")
    held = lure_in_tray(lures[0], position, spare in _YES)
    found[key] = Tray(
        tray.name, (*tray.lures, held), tackle if tackle is not None else tray.tackle,
        speed if speed is not None else tray.speed_kn,
    )  # fmt: skip


def _tackle(cell: str) -> str | float | None:
    word = cell.casefold()
    if not word or word in CLASS_OF_WORD:
        return word or None
    try:
        tackle_class_kg(float(word))
    except ValueError:
        raise ValueError(
            f"tackle {cell[:20]!r} is not known: light, medium, heavy or kilos"
        ) from None
    return float(word)


def _speed(cell: str) -> float | None:
    if not cell:
        return None
    try:
        speed_kn = float(cell.replace(",", "."))
        check_number("speed_kn", speed_kn)
    except ValueError:
        raise ValueError(
            f"speed_kn {cell[:20]!r} is no speed in knots: write it like 5.5"
        ) from None
    return speed_kn


def _number(value: float | None) -> str:
    return "" if value is None else f"{value:g}"
