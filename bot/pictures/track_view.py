"""Where the boat went, as far as it is known: the way between places, with those of fish and marks numbered.

Flat around the middle of the places (equirectangular, WGS 84), which is good to a hair over a day's way. No
chart and no depths: it is a picture of a log, not for navigation.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, floor, log10, radians
from typing import Final

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from bot.pictures.canvas import (
    BITE,
    CREST,
    INK,
    LARGE_PT,
    PAPER,
    SEA,
    SMALL_PT,
    TEXT_PT,
    WIDTH_IN,
    Form,
    encoded,
    sheet,
)

HEIGHT_IN: Final = 5.4
LEAST_NM: Final = 0.5
"""A view is never narrower, so that a drift of a few metres does not fill it."""
MARGIN: Final = 0.14
NM_A_DEGREE: Final = 60.0


@dataclass(frozen=True, slots=True)
class ShownSpot:
    """One place in the order in which the boat was there."""

    latitude: float
    longitude: float
    number: int | None = None
    """Its number in the list; None for a place that is only on the way."""
    fish: bool = False


def track_picture(
    spots: Sequence[ShownSpot], *, title: str = "Places", form: Form = "png"
) -> bytes:
    """Draw places and the way between them, north up. Gives PNG or SVG."""
    with sheet() as figure:
        figure.set_size_inches(WIDTH_IN, HEIGHT_IN)
        draw_track(figure, spots, title=title)
        return encoded(figure, form)


def draw_track(figure: Figure, spots: Sequence[ShownSpot], *, title: str = "Places") -> None:
    """Draw places on a sheet."""
    places = flat_nm(spots)
    axes = figure.add_axes((0.04, 0.10, 0.92, 0.80))
    wide_nm = _frame(axes, places)
    axes.plot(*zip(*places, strict=True), color=CREST, linewidth=2.0, zorder=2)
    axes.plot(*places[0], marker="o", markersize=9, color=INK, zorder=3)
    axes.plot(*places[-1], marker="s", markersize=9, color=INK, zorder=3)
    for spot, (east, north) in zip(spots, places, strict=True):
        if spot.number is not None:
            _numbered(axes, spot, east, north)
    _scale(axes, wide_nm)
    figure.text(0.5, 0.965, title, size=LARGE_PT, weight="bold", ha="center", va="top")
    words = "Round: first place. Square: last. Red: fish.\nNorth is up. Not for navigation."
    figure.text(0.5, 0.02, words, size=SMALL_PT, ha="center", va="bottom", linespacing=1.3)


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


def _frame(axes: Axes, places: Sequence[tuple[float, float]]) -> float:
    """Choose what is seen: all places, to one scale both ways; gives its width in nautical miles."""
    easts, norths = zip(*places, strict=True)
    shape = (0.80 * HEIGHT_IN) / (0.92 * WIDTH_IN)
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


def _numbered(axes: Axes, spot: ShownSpot, east: float, north: float) -> None:
    axes.text(
        east, north, str(spot.number), size=SMALL_PT, weight="bold", color=PAPER, ha="center",
        va="center", zorder=5,
        bbox={"boxstyle": "circle,pad=0.25", "facecolor": BITE if spot.fish else CREST,
              "edgecolor": PAPER},
    )  # fmt: skip


def _scale(axes: Axes, wide_nm: float) -> None:
    length = scale_nm(wide_nm)
    left, bottom = axes.get_xlim()[0], axes.get_ylim()[0]
    start, up = left + 0.04 * wide_nm, bottom + 0.05 * wide_nm
    axes.plot([start, start + length], [up, up], color=INK, linewidth=4, solid_capstyle="butt")
    axes.text(start + length + 0.02 * wide_nm, up, f"{length:g} nm", size=TEXT_PT, va="center")
