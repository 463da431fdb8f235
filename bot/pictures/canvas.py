"""The sheet that pictures are drawn on: its size, its fonts, its paints; nothing about fishing.

Made for a phone held upright in the sun: dark on white, thick lines, large letters. A paint is a colour with
a pattern of its own, so that pictures can be read without telling colours apart; the word stands beside.
"""

import io
import warnings
from bisect import bisect_left
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Final, Literal

import matplotlib as mpl
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties
from matplotlib.textpath import TextPath

Form = Literal["png", "svg", "pdf"]
MEDIA_TYPES: Final[Mapping[Form, str]] = {
    "png": "image/png", "svg": "image/svg+xml", "pdf": "application/pdf",
}  # fmt: skip

WIDTH_IN: Final = 4.5
HEIGHT_IN: Final = 8.0
HEAD_IN: Final = 1.0
"""What a heading of three lines takes."""
DPI: Final = 240
"""1080 by 1920 pixels: a phone, upright."""

INK: Final = "#0b1a26"
PAPER: Final = "#ffffff"
SEA: Final = "#eaf3f8"
CREST: Final = "#3f6379"
FAINT: Final = "#a9c0cd"
"""The colour of what may be missed: the ends of waves."""
BITE: Final = "#c1121f"
LARGE_PT: Final = 16.0
TEXT_PT: Final = 11.5
SMALL_PT: Final = 10.0
LEAST_PT: Final = 8.5
"""No word is smaller; what is longer is cut off."""
EDGE: Final = 0.05
"""What is left free at the sides, as a share of the width."""


@dataclass(frozen=True, slots=True)
class Paint:
    """A fill and the pattern over it, in matplotlib's signs."""

    fill: str
    pattern: str
    line: str = INK


PAINTS: Final[Mapping[str, Paint]] = {
    "black": Paint("#111111", "", "#ffffff"),
    "blue": Paint("#1f5fbf", "ooo", "#ffffff"),
    "brown": Paint("#7a4a21", "xxxxx", "#ffffff"),
    "chartreuse": Paint("#c6f000", "....."),
    "clear": Paint("#f7fbfd", "||||", "#9fb3bf"),
    "glow": Paint("#c9ffd8", "ooo"),
    "gold": Paint("#d9a514", "+++++"),
    "green": Paint("#1c8a43", "||||||", "#ffffff"),
    "grey": Paint("#8a9299", "------"),
    "orange": Paint("#f07d12", "//////"),
    "pink": Paint("#ff8fc0", "....//"),
    "purple": Paint("#6a2c91", "//////", "#ffffff"),
    "rainbow": Paint("#ffd7a8", "||||----//"),
    "red": Paint("#c1121f", "-----", "#ffffff"),
    "silver": Paint("#d5dbe0", "\\\\\\\\"),
    "white": Paint("#ffffff", ""),
    "yellow": Paint("#ffe14d", "oooo"),
}
OTHER_PAINT: Final = Paint("#ffffff", "////....")
"""Drawn for a colour of the boat's own: its word tells what it is."""

_FONT: Final = "DejaVu Sans"
_LETTERS: Final[Mapping[str, FontProperties]] = {
    weight: FontProperties(family=_FONT, weight=weight) for weight in ("normal", "bold")
}
_STYLE: Final = {
    "font.family": _FONT,
    "hatch.linewidth": 0.8,
    "svg.hashsalt": "deckcall",
    "svg.fonttype": "path",
    "text.color": INK,
    "text.parse_math": False,
}


_BARE: Final[Mapping[Form, dict[str, None]]] = {
    "png": {"Software": None},
    "svg": {"Date": None, "Creator": None},
    "pdf": {"Creator": None, "Producer": None, "CreationDate": None},
}
"""What a file would say of itself, left out: the same drawing gives the same bytes."""


def paint(colour: str) -> Paint:
    """Return the paint of a colour word."""
    return PAINTS.get(colour, OTHER_PAINT)


@contextmanager
def sheet(height_in: float = HEIGHT_IN) -> Iterator[Figure]:
    """Yield an empty sheet to draw on, in the style of all pictures; as wide as a phone."""
    with mpl.rc_context(_STYLE):  # type: ignore[arg-type]
        yield Figure(figsize=(WIDTH_IN, height_in), dpi=DPI, facecolor=PAPER)


def wide_in(text: str, size: float, weight: str = "normal") -> float:
    """Return the width of a line of text in inches, in the letters of the sheet."""
    if not text:
        return 0.0
    with lacking_letters():
        letters = TextPath((0, 0), text, size=size, prop=_LETTERS[weight])
    return float(letters.get_extents().x1) / 72


def fit_line(
    text: str, size: float, room_in: float, weight: str = "normal", least: float = LEAST_PT
) -> tuple[str, float]:
    """Return a line and the size in which it fits so much room; what is too long is cut off."""
    wide = wide_in(text, size, weight)
    if wide <= room_in:
        return text, size
    if wide * least / size <= room_in:
        return text, size * room_in / wide
    return f"{_most_of(text, lambda cut: wide_in(f'{cut}…', least, weight) <= room_in)}…", least


def _most_of(text: str, fits: Callable[[str], bool]) -> str:
    """Return the longest beginning of a text that fits; the longer one is, the less it does."""
    kept = bisect_left(range(len(text)), True, key=lambda n: not fits(text[: n + 1].rstrip()))
    return text[:kept].rstrip()


def heading(figure: Figure, title: str, below: str, stamp: str) -> float:
    """Write what a picture is of, then boat, date and time; return the height that is taken, in inches."""
    room_in = WIDTH_IN * (1 - 2 * EDGE)
    height_in, down_in = figure.get_figheight(), 0.14
    lines = ((title, LARGE_PT, "bold"), (below, TEXT_PT, "normal"), (stamp, SMALL_PT, "normal"))
    for text, size, weight in lines:
        if not text:
            continue
        shown, fits = fit_line(
            _boat_cut(text, room_in) if text is stamp else text, size, room_in, weight
        )
        up = 1 - down_in / height_in
        figure.text(EDGE, up, shown, size=fits, weight=weight, va="top", ha="left")
        down_in += 1.45 * size / 72
    return down_in + 0.06


def _boat_cut(stamp: str, room_in: float) -> str:
    """Return a stamp of which the boat's name is cut off where the whole has no room: never date and time."""
    boat, *when = stamp.rsplit(", ", 2)
    if len(when) != 2 or wide_in(stamp, LEAST_PT) <= room_in:
        return stamp

    def cut_to(name: str) -> str:
        return ", ".join((f"{name}…", *when))

    return cut_to(_most_of(boat, lambda name: wide_in(cut_to(name), LEAST_PT) <= room_in))


@contextmanager
def lacking_letters() -> Iterator[None]:
    """Draw a letter that the font lacks as a box; the rest of the picture is worth having."""
    with warnings.catch_warnings():
        warnings.filterwarnings("ignore", message="Glyph .* missing", category=UserWarning)
        yield


def encode(figure: Figure, form: Form) -> bytes:
    """Return a sheet as a file; the same drawing gives the same bytes. To be called inside `sheet`."""
    out = io.BytesIO()
    bare = _BARE[form]
    with lacking_letters():
        figure.savefig(out, format=form, metadata=bare, facecolor=PAPER)
    return out.getvalue()
