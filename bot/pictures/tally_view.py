"""A tally as a picture: rates with their intervals one below the other, and the hours of a day.

Made to be read on a phone in the sun: few words, large; what is known from few strikes is drawn hollow.
Takes plain values; whoever calls says what they are about.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from bot.pictures.canvas import (
    BITE,
    CREST,
    INK,
    LARGE_PT,
    PAPER,
    SEA,
    SMALL_PT,
    TEXT_PT,
    Form,
    encoded,
    paint,
    sheet,
)

FEW: Final = 5
"""Below so many strikes a rate is drawn hollow."""
ROW_IN: Final = 0.62
HEAD_IN: Final = 0.95
FOOT_IN: Final = 0.85
LEAST_IN: Final = 3.2
MOST_SYMBOLS: Final = 9
"""Strikes of an hour that are drawn one by one."""
_LEFT, _RIGHT = 0.05, 0.95
_STAR: Final = "*"
BAND: Final = "#cfe0ea"
"""Lure-hours: darker than the sea, so that the length is seen in the sun."""


@dataclass(frozen=True, slots=True)
class ShownRate:
    """One row: what it is, what came in which time, and between what the rate may lie."""

    label: str
    strikes: int
    hours: float
    rate: float | None
    """Strikes per ten lure-hours."""
    low: float = 0.0
    high: float = 0.0
    colours: tuple[str, ...] = ()
    """Painted beside the words, where the row is about colours."""


@dataclass(frozen=True, slots=True)
class ShownHour:
    """One hour of the day."""

    label: str
    """When it began, e.g. `09:00`."""
    hours: float
    """Lure-hours in it."""
    strikes: int
    hooked: int
    """Strikes of which a fish was on."""
    caught: int


def rates_picture(
    rows: Sequence[ShownRate],
    *,
    title: str,
    below: str = "",
    overall: float | None = None,
    form: Form = "png",
) -> bytes:
    """Draw rates with 95 % intervals; `overall` is the rate of all together. Gives PNG or SVG."""
    height_in = max(LEAST_IN, HEAD_IN + FOOT_IN + ROW_IN * len(rows))
    with sheet(height_in) as figure:
        _title(figure, title, below or "this trip", height_in)
        bottom = FOOT_IN / height_in
        axes = figure.add_axes((_LEFT, bottom, _RIGHT - _LEFT, 1 - bottom - HEAD_IN / height_in))
        draw_rates(axes, rows, overall=overall)
        known = "Dashed: all together. " if overall is not None else ""
        words = (
            f"Dot: strikes in 10 lure-hours. Bar: 95 % sure.\n{known}"
            f"Hollow: under {FEW} strikes, too few to say."
        )
        figure.text(_LEFT, 0.13 / height_in, words, size=SMALL_PT, va="bottom", linespacing=1.3)
        return encoded(figure, form)


def day_picture(
    rows: Sequence[ShownHour], *, title: str, below: str = "", form: Form = "png"
) -> bytes:
    """Draw strikes and lure-hours hour by hour. Gives PNG or SVG."""
    height_in = max(LEAST_IN, HEAD_IN + FOOT_IN + 0.56 * len(rows))
    with sheet(height_in) as figure:
        _title(figure, title, below or "this trip", height_in)
        bottom = FOOT_IN / height_in
        axes = figure.add_axes((0.17, bottom, _RIGHT - 0.17, 1 - bottom - HEAD_IN / height_in))
        _bare(axes, len(rows))
        most = max([row.hours for row in rows], default=0.0) or 1.0
        axes.set_xlim(0, most * 1.02)
        for place, row in enumerate(rows):
            _hour(axes, place, row, most)
        axes.set_xticks([])
        words = "Band: lure-hours in the water. Star: a strike,\nfilled where the fish was on."
        figure.text(_LEFT, 0.13 / height_in, words, size=SMALL_PT, va="bottom", linespacing=1.3)
        return encoded(figure, form)


def _title(figure: Figure, title: str, below: str, height_in: float) -> None:
    size = LARGE_PT if len(title) <= 27 else LARGE_PT * 27 / len(title)
    figure.text(_LEFT, 1 - 0.16 / height_in, title, size=size, weight="bold", va="top")
    size = TEXT_PT if len(below) <= 42 else TEXT_PT * 42 / len(below)
    figure.text(_LEFT, 1 - 0.53 / height_in, below, size=size, va="top")


def draw_rates(
    axes: Axes, rows: Sequence[ShownRate], *, overall: float | None = None, slots: int = 1
) -> None:
    """Draw rates one below the other on axes with room for `slots` rows at least."""
    _bare(axes, max(len(rows), slots))
    top = _most(rows, overall)
    axes.set_xlim(0, top * 1.02)
    if overall is not None:
        for place in range(len(rows)):  # beside the dot only, so that it strikes no words through
            at = (place - 0.02, place + 0.48)
            axes.plot((overall, overall), at, color=CREST, linewidth=1.6, linestyle="--", zorder=1)
    for place, row in enumerate(rows):
        _rate(axes, place, row, top)
    _scale(axes)


def _bare(axes: Axes, rows: int) -> None:
    axes.set_ylim(max(rows, 1) - 0.5, -0.5)
    axes.set_yticks([])
    axes.set_facecolor(PAPER)
    for edge in axes.spines.values():
        edge.set_visible(False)


def _most(rows: Sequence[ShownRate], overall: float | None) -> float:
    """Return where the scale ends: beyond all rates, but not as far as the vaguest interval."""
    rates = [row.rate for row in rows if row.rate is not None]
    surest = min((row.high for row in rows if row.rate), default=0.0)
    return max([1.0, *(1.35 * r for r in rates), 1.1 * surest, 2.0 * (overall or 0.0)])


def _rate(axes: Axes, place: int, row: ShownRate, top: float) -> None:
    band = SEA if place % 2 == 0 else PAPER
    axes.add_patch(Rectangle((0, place - 0.5), top * 1.02, 1, facecolor=band, zorder=0))
    start = _swatch(axes, place, row.colours, top)
    words = f"{row.strikes} in {row.hours:.1f} h"
    axes.text(start, place - 0.22, row.label, size=TEXT_PT, weight="bold", va="center", zorder=5)
    axes.text(top, place - 0.22, words, size=TEXT_PT, ha="right", va="center", zorder=5)
    if row.rate is None:
        axes.text(0.01 * top, place + 0.2, "no hours", size=SMALL_PT, va="center")
        return
    at, sure = place + 0.2, row.strikes >= FEW
    end = min(row.high, top)
    axes.plot([row.low, end], [at, at], color=INK if sure else CREST, linewidth=5.0 if sure else 3.0,
              solid_capstyle="butt", zorder=3)  # fmt: skip
    if row.high > top:
        axes.plot([top], [at], marker=">", color=CREST, markersize=9, zorder=4, clip_on=False)
    face = BITE if sure else PAPER
    axes.plot([row.rate], [at], marker="o", markersize=11, markerfacecolor=face,
              markeredgecolor=INK, markeredgewidth=1.8, zorder=6, clip_on=False)  # fmt: skip


def _swatch(axes: Axes, place: int, colours: Sequence[str], top: float) -> float:
    """Paint the colours of a row; gives where its words begin."""
    start = 0.012 * top
    for colour in colours[:3]:
        chosen = paint(colour)
        axes.add_patch(
            Rectangle((start, place - 0.38), 0.055 * top, 0.32, facecolor=chosen.fill,
                      edgecolor=chosen.line, hatch=chosen.pattern or None, linewidth=0, zorder=4)
        )  # fmt: skip
        axes.add_patch(
            Rectangle((start, place - 0.38), 0.055 * top, 0.32, fill=False, edgecolor=INK,
                      linewidth=1.2, zorder=5)
        )  # fmt: skip
        start += 0.062 * top
    return start + (0.012 * top if colours else 0.0)


def _scale(axes: Axes) -> None:
    axes.tick_params(axis="x", labelsize=TEXT_PT, length=4, color=INK, labelcolor=INK)
    axes.locator_params(axis="x", nbins=5, integer=True)
    axes.spines["bottom"].set_visible(True)
    axes.spines["bottom"].set_color(INK)
    axes.spines["bottom"].set_linewidth(1.2)


def _hour(axes: Axes, place: int, row: ShownHour, most: float) -> None:
    axes.add_patch(
        Rectangle((0, place - 0.42), row.hours, 0.84, facecolor=BAND, edgecolor=CREST,
                  linewidth=1.2)
    )  # fmt: skip
    axes.text(-0.02 * most, place, row.label, size=TEXT_PT, weight="bold", ha="right", va="center")
    note = f"{row.hours:.1f} h" + (f", {row.caught} caught" if row.caught else "")
    axes.text(0.02 * most, place + 0.24, note, size=SMALL_PT, va="center", zorder=5)
    if row.strikes > MOST_SYMBOLS:
        words = f"{row.strikes} strikes, {row.hooked} on"
        axes.text(0.02 * most, place - 0.13, words, size=TEXT_PT, weight="bold", color=BITE,
                  va="center", zorder=5)  # fmt: skip
        return
    for number in range(row.strikes):
        at = (0.045 + 0.085 * number) * most
        face = BITE if number < row.hooked else PAPER
        axes.plot([at], [place - 0.13], marker=_STAR, markersize=15, markerfacecolor=face,
                  markeredgecolor=BITE, markeredgewidth=1.4, zorder=6, clip_on=False)  # fmt: skip
