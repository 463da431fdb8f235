"""Where the boat went, as far as it is known: the way between places, with those of fish and marks numbered.

Flat around the middle of the places (equirectangular, WGS 84), which is good to a hair over a day's way. No
chart and no depths: it is a picture of a log, not for navigation.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from math import cos, floor, log10, radians
from typing import Final

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from bot.pictures.canvas import (
    BITE,
    CREST,
    INK,
    PAPER,
    SEA,
    SMALL_PT,
    TEXT_PT,
    WIDTH_IN,
    Form,
    encode,
    heading,
    sheet,
    wide_in,
)

HEIGHT_IN: Final = 5.4
LEAST_NM: Final = 0.5
"""A view is never narrower, so that a drift of a few metres does not fill it."""
MARGIN: Final = 0.14
NM_A_DEGREE: Final = 60.0
FIRST, LAST = "^", "X"
"""How the first place and the last are marked."""
_LEFT, _BOTTOM = 0.05, 0.1


@dataclass(frozen=True, slots=True)
class ShownSpot:
    """One place in the order in which the boat was there."""

    latitude: float
    longitude: float
    number: int | None = None
    """Its number in the list; None for a place that is only on the way."""
    fish: bool = False


def track_picture(
    spots: Sequence[ShownSpot], *, title: str = "Places", stamp: str = "", form: Form = "png"
) -> bytes:
    """Draw places and the way between them, north up. Return PNG or SVG."""
    with sheet(HEIGHT_IN) as figure:
        draw_track(figure, spots, title=title, stamp=stamp)
        return encode(figure, form)


def draw_track(
    figure: Figure, spots: Sequence[ShownSpot], *, title: str = "Places", stamp: str = ""
) -> None:
    """Draw places on a sheet."""
    top = 1 - heading(figure, title, "", stamp) / HEIGHT_IN
    places = flat_nm(spots)
    axes = figure.add_axes((_LEFT, _BOTTOM, 1 - 2 * _LEFT, top - _BOTTOM))
    shape = (top - _BOTTOM) * HEIGHT_IN / ((1 - 2 * _LEFT) * WIDTH_IN)
    wide_nm = _frame(axes, places, shape)
    axes.plot(*zip(*places, strict=True), color=CREST, linewidth=2.0, zorder=2)
    for at, marker, size in ((places[0], FIRST, 18), (places[-1], LAST, 10)):
        axes.plot(*at, marker=marker, markersize=size, color=INK, markeredgecolor=PAPER, zorder=3)
    found = [
        _Badge((spot.number,), spot.fish, east, north)
        for spot, (east, north) in zip(spots, places, strict=True)
        if spot.number is not None
    ]
    nm_in = wide_nm / ((1 - 2 * _LEFT) * WIDTH_IN)
    for badge in _joined(found, nm_in):
        _numbered(axes, badge)
    _scale(axes, wide_nm)
    words = (
        "Triangle: first place. Cross: last. Round: fish.\nSquare: mark. North is up."
        " Not for navigation."
    )
    figure.text(_LEFT, 0.02, words, size=SMALL_PT, ha="left", va="bottom", linespacing=1.2)


@dataclass(frozen=True, slots=True)
class _Badge:
    """The numbers of one place, or of several that would lie over each other; in nautical miles."""

    numbers: tuple[int, ...]
    fish: bool
    east: float
    north: float

    @property
    def words(self) -> str:
        """Return the numbers, those in a row as from the first to the last: `2-6, 9`."""
        runs: list[list[int]] = []
        for number in self.numbers:
            if runs and number == runs[-1][-1] + 1:
                runs[-1].append(number)
            else:
                runs.append([number])
        return ", ".join(str(r[0]) if len(r) == 1 else f"{r[0]}-{r[-1]}" for r in runs)

    @property
    def size_in(self) -> tuple[float, float]:
        """Return its width and its height on the sheet."""
        high = 2.1 * SMALL_PT / 72
        return max(high, wide_in(self.words, SMALL_PT, "bold") + 0.14), high

    def hides(self, other: "_Badge", nm_in: float) -> bool:
        """Return whether one would lie over the other; `nm_in` is the miles of an inch."""
        wide, high = ((a + b) / 2 * nm_in for a, b in zip(self.size_in, other.size_in, strict=True))
        return abs(self.east - other.east) < wide and abs(self.north - other.north) < high


def _joined(badges: Sequence[_Badge], nm_in: float) -> list[_Badge]:
    """Return badges that lie apart: of those that would not, one for all."""
    held = list(badges)
    while True:
        pair = next(((a, b) for a, b in combinations(held, 2) if a.hides(b, nm_in)), None)
        if pair is None:
            return held
        one, other = pair
        mine, theirs = len(one.numbers), len(other.numbers)
        both = mine + theirs
        held = [badge for badge in held if badge is not one and badge is not other]
        held.append(
            _Badge(
                tuple(sorted(one.numbers + other.numbers)),
                one.fish or other.fish,
                (one.east * mine + other.east * theirs) / both,
                (one.north * mine + other.north * theirs) / both,
            )
        )


def flat_nm(spots: Sequence[ShownSpot]) -> list[tuple[float, float]]:
    """Return places in nautical miles east and north of the first, the short way over 180 degrees."""
    first = spots[0]
    middle = (min(s.latitude for s in spots) + max(s.latitude for s in spots)) / 2
    squeeze = cos(radians(middle))
    found = []
    for spot in spots:
        east = (spot.longitude - first.longitude + 180) % 360 - 180
        north = spot.latitude - first.latitude
        found.append((east * NM_A_DEGREE * squeeze, north * NM_A_DEGREE))
    return found


def scale_nm(wide_nm: float) -> float:
    """Return the length of a scale bar: 1, 2 or 5 times a power of ten, at most a third of the width."""
    most = wide_nm / 3
    power = 10.0 ** floor(log10(most))
    return next(step * power for step in (5, 2, 1) if step * power <= most)


def _frame(axes: Axes, places: Sequence[tuple[float, float]], shape: float) -> float:
    """Choose what is seen: all places, to one scale both ways; return its width in nautical miles.

    `shape` is the height of the picture over its width.
    """
    easts, norths = zip(*places, strict=True)
    wide = max(max(easts) - min(easts), (max(norths) - min(norths)) / shape, LEAST_NM)
    wide *= 1 + 2 * MARGIN
    east, north = (min(easts) + max(easts)) / 2, (min(norths) + max(norths)) / 2
    axes.set_xlim(east - wide / 2, east + wide / 2)
    axes.set_ylim(north - wide * shape / 2, north + wide * shape / 2)
    axes.set_facecolor(SEA)
    axes.set_xticks([])
    axes.set_yticks([])
    for edge in axes.spines.values():
        edge.set_color(CREST)
    return float(wide)


def _numbered(axes: Axes, badge: _Badge) -> None:
    shape = "round,pad=0.3,rounding_size=0.9" if badge.fish else "square,pad=0.3"
    axes.text(
        badge.east, badge.north, badge.words, size=SMALL_PT, weight="bold", color=PAPER, ha="center",
        va="center", zorder=5, clip_on=False,
        bbox={"boxstyle": shape, "facecolor": BITE if badge.fish else INK, "edgecolor": PAPER},
    )  # fmt: skip


def _scale(axes: Axes, wide_nm: float) -> None:
    length = scale_nm(wide_nm)
    left, bottom = axes.get_xlim()[0], axes.get_ylim()[0]
    start, up = left + 0.04 * wide_nm, bottom + 0.05 * wide_nm
    axes.plot([start, start + length], [up, up], color=INK, linewidth=4, solid_capstyle="butt")
    axes.text(start + length + 0.02 * wide_nm, up, f"{length:g} nm", size=TEXT_PT, va="center")
