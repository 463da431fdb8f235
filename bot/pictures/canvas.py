"""The sheet that pictures are drawn on: its size, its fonts, its paints; nothing about fishing.

Made for a phone held upright in the sun: dark on white, thick lines, large letters. A paint is a colour with
a pattern of its own, so that pictures can be read without telling colours apart; the word stands beside.
"""

import io
import warnings
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Final, Literal

import matplotlib as mpl
from matplotlib.figure import Figure

Form = Literal["png", "svg"]
MEDIA_TYPES: Final[Mapping[Form, str]] = {"png": "image/png", "svg": "image/svg+xml"}

WIDTH_IN: Final = 4.5
HEIGHT_IN: Final = 8.0
DPI: Final = 240
"""1080 by 1920 pixels: a phone, upright."""

INK: Final = "#0b1a26"
PAPER: Final = "#ffffff"
SEA: Final = "#eaf3f8"
CREST: Final = "#5b7f95"
FAINT: Final = "#a9c0cd"
BITE: Final = "#c1121f"
LARGE_PT: Final = 16.0
TEXT_PT: Final = 11.5
SMALL_PT: Final = 9.0


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
"""For a colour of the boat's own: its word tells what it is."""

_STYLE: Final = {
    "font.family": "DejaVu Sans",
    "hatch.linewidth": 0.8,
    "svg.hashsalt": "deckcall",
    "svg.fonttype": "path",
    "text.color": INK,
    "text.parse_math": False,
}


def paint(colour: str) -> Paint:
    """Return the paint of a colour word."""
    return PAINTS.get(colour, OTHER_PAINT)


@contextmanager
def sheet(height_in: float = HEIGHT_IN) -> Iterator[Figure]:
    """Yield an empty sheet to draw on, in the style of all pictures; as wide as a phone."""
    with mpl.rc_context(_STYLE):  # type: ignore[arg-type]
        yield Figure(figsize=(WIDTH_IN, height_in), dpi=DPI, facecolor=PAPER)


def encoded(figure: Figure, form: Form) -> bytes:
    """Return a sheet as a file; the same drawing gives the same bytes. To be called inside `sheet`."""
    out = io.BytesIO()
    bare = {"Software": None} if form == "png" else {"Date": None, "Creator": None}
    with warnings.catch_warnings():
        # a letter that the font lacks is drawn as a box; the rest of the picture is worth having
        warnings.filterwarnings("ignore", message="Glyph .* missing", category=UserWarning)
        figure.savefig(out, format=form, metadata=bare, facecolor=PAPER)
    return out.getvalue()
