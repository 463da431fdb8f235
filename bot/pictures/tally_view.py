"""A tally as a picture: rates with their intervals one below the other, and the hours of a day.

Made to be read on a phone in the sun: few words, large; what is known from few strikes is drawn hollow, and
what fished too little for a rate has none. Takes plain values; whoever calls says what they are about.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from matplotlib.axes import Axes
from matplotlib.patches import Rectangle

from bot.pictures.canvas import (
    BITE,
    CREST,
    EDGE,
    HEAD_IN,
    INK,
    PAPER,
    SEA,
    SMALL_PT,
    TEXT_PT,
    WIDTH_IN,
    Form,
    encode,
    fit_line,
    heading,
    paint,
    sheet,
    wide_in,
)

FEW: Final = 5
"""Below so many strikes a rate is drawn hollow."""
LEAST_H: Final = 0.5
"""Fewer lure-hours give no rate: one strike in the first minute would be hundreds in ten hours."""
MOST_TIMES: Final = 4.0
"""A rate from few strikes that is so many times that of all together does not stretch the scale."""
ROW_IN: Final = 0.62
FOOT_IN: Final = 0.95
LEAST_IN: Final = 3.2
MOST_SYMBOLS: Final = 9
"""Strikes of an hour that are drawn one by one."""
HOUR_IN: Final = 0.56
PAUSE: Final = 0.6
"""Height of a time without lines in, as a share of an hour's."""
_LEFT, _RIGHT = EDGE, 1 - EDGE
_ROOM_IN: Final = WIDTH_IN * (_RIGHT - _LEFT) - 0.2
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

    @property
    def is_rated(self) -> bool:
        """Return whether it fished for long enough to have a rate."""
        return self.rate is not None and self.hours >= LEAST_H


@dataclass(frozen=True, slots=True)
class ShownHour:
    """One hour of the day in which lines were in."""

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
    stamp: str = "",
    overall: float | None = None,
    form: Form = "png",
) -> bytes:
    """Draw rates with 95 % intervals; `overall` is the rate of all together. Return PNG or SVG."""
    height_in = max(LEAST_IN, HEAD_IN + FOOT_IN + ROW_IN * len(rows))
    with sheet(height_in) as figure:
        heading(figure, title, below or "this trip", stamp)
        bottom = FOOT_IN / height_in
        axes = figure.add_axes((_LEFT, bottom, _RIGHT - _LEFT, 1 - bottom - HEAD_IN / height_in))
        draw_rates(axes, rows, overall=overall)
        known = "Dashed: all. " if overall is not None else ""
        words = (
            f"Dot: strikes in 10 lure-hours. Bar: 95 % sure.\n{known}Arrow: goes on."
            f" Hollow: under {FEW} strikes,\ntoo few to say."
        )
        figure.text(_LEFT, 0.1 / height_in, words, size=SMALL_PT, va="bottom", linespacing=1.2)
        return encode(figure, form)


def day_picture(
    rows: Sequence[ShownHour],
    *,
    title: str,
    below: str = "",
    stamp: str = "",
    form: Form = "png",
) -> bytes:
    """Draw strikes and lure-hours hour by hour; times without lines in are left out. Return PNG or SVG."""
    tops = tuple(_tops(rows))
    tall = tops[-1] + 1 if tops else 1.0
    height_in = max(LEAST_IN, HEAD_IN + FOOT_IN + HOUR_IN * tall)
    with sheet(height_in) as figure:
        heading(figure, title, below or "this trip", stamp)
        bottom = FOOT_IN / height_in
        axes = figure.add_axes((0.17, bottom, _RIGHT - 0.17, 1 - bottom - HEAD_IN / height_in))
        bare(axes, tall)
        most = max([row.hours for row in rows], default=0.0) or 1.0
        axes.set_xlim(0, most * 1.02)
        for top, row in zip(tops, rows, strict=True):
            _hour(axes, top, row, most)
        for before, after in pairwise(tops):
            if after - before > 1:
                words = "no lines in the water"
                axes.text(0.02 * most, before + 0.5 + PAUSE / 2, words, size=SMALL_PT, va="center")
        axes.set_xticks([])
        words = "Band: lure-hours in the water. Star: a strike,\nfilled where the fish was on."
        figure.text(_LEFT, 0.13 / height_in, words, size=SMALL_PT, va="bottom", linespacing=1.3)
        return encode(figure, form)


def _tops(rows: Sequence[ShownHour]) -> Iterator[float]:
    """Yield where every hour stands, in heights of an hour, with room for times without lines in."""
    top = 0.0
    for number, row in enumerate(rows):
        if number:
            gone = (int(row.label[:2]) - int(rows[number - 1].label[:2])) % 24
            top += 1 + (PAUSE if gone > 1 else 0.0)
        yield top


def draw_rates(
    axes: Axes, rows: Sequence[ShownRate], *, overall: float | None = None, slots: int = 1
) -> None:
    """Draw rates one below the other on axes with room for `slots` rows at least."""
    bare(axes, max(len(rows), slots))
    top = scale_end(rows, overall)
    axes.set_xlim(0, top * 1.02)
    if overall is not None:
        rated = (place for place, row in enumerate(rows) if row.is_rated)
        for place in rated:  # beside the dot only, so that it strikes no words through
            at = (place - 0.02, place + 0.48)
            axes.plot((overall, overall), at, color=CREST, linewidth=1.6, linestyle="--", zorder=1)
    for place, row in enumerate(rows):
        _rate(axes, place, row, top)
    axes.locator_params(axis="x", nbins=5, integer=True)
    draw_scale(axes)


def bare(axes: Axes, rows: float) -> None:
    """Clear axes for so many rows, one below the other, the first at 0."""
    axes.set_ylim(max(rows, 1) - 0.5, -0.5)
    axes.set_yticks([])
    axes.set_facecolor(PAPER)
    for edge in axes.spines.values():
        edge.set_visible(False)


def scale_end(rows: Sequence[ShownRate], overall: float | None) -> float:
    """Return where the scale ends: beyond what is known, but not as far as what hardly is."""
    rated = [row for row in rows if row.is_rated and row.rate is not None]
    limit = MOST_TIMES * overall if overall else None
    shown = [
        row.rate for row in rated
        if row.rate is not None and (limit is None or row.strikes >= FEW or row.rate <= limit)
    ]  # fmt: skip
    surest = min((row.high for row in rated if row.rate), default=0.0)
    ends = [1.0, *(1.35 * rate for rate in shown), 2.0 * (overall or 0.0)]
    return max(*ends, min(1.1 * surest, 3.0 * max(shown, default=0.0)))


def _rate(axes: Axes, place: int, row: ShownRate, top: float) -> None:
    write_row(axes, place, row.label, _found(row), row.colours, top)
    at, sure = place + 0.2, row.strikes >= FEW
    if row.rate is None or not row.is_rated:
        words = "too little time to give a rate" if row.hours else "time not known: no rate"
        axes.text(0.012 * top, at, words, size=SMALL_PT, va="center", style="italic", zorder=5)
        return
    ink, wide = (INK, 5.0) if sure else (CREST, 3.0)
    if row.low < top:
        axes.plot([row.low, min(row.high, top)], [at, at], color=ink, linewidth=wide,
                  solid_capstyle="butt", zorder=3)  # fmt: skip
    if row.high > top:
        _arrow(axes, top, at, ink)
    if row.rate > top:
        axes.text(0.93 * top, at, f"{row.rate:.0f}", size=SMALL_PT, weight="bold", ha="right",
                  va="center", zorder=6, bbox=_box(place))  # fmt: skip
        return
    face = BITE if sure else PAPER
    axes.plot([row.rate], [at], marker="o", markersize=11, markerfacecolor=face,
              markeredgecolor=INK, markeredgewidth=1.8, zorder=6, clip_on=False)  # fmt: skip


def _arrow(axes: Axes, top: float, at: float, ink: str) -> None:
    """Mark that an interval goes on beyond the edge."""
    axes.plot([top], [at], marker=">", color=ink, markersize=11, zorder=4, clip_on=False)


def _box(place: int) -> dict[str, object]:
    return {"boxstyle": "square,pad=0.1", "facecolor": _band(place), "edgecolor": "none"}


def _band(place: int) -> str:
    return SEA if place % 2 == 0 else PAPER


def _found(row: ShownRate) -> str:
    time = f"{row.hours:.1f} h" if row.hours >= 0.995 else f"{row.hours * 60:.0f} min"
    return f"{row.strikes} strike{'' if row.strikes == 1 else 's'}, {time}"


def write_row(
    axes: Axes, place: int, label: str, found: str, colours: Sequence[str], top: float
) -> None:
    """Write what a row is about and what was counted, over a band; the scale ends at `top`."""
    axes.add_patch(Rectangle((0, place - 0.5), top * 1.02, 1, facecolor=_band(place), zorder=0))
    start = _swatch(axes, place, colours, top)
    room_in = _ROOM_IN - wide_in(found, TEXT_PT) - start / top * _ROOM_IN
    label, size = fit_line(label, TEXT_PT, room_in, "bold")
    axes.text(start, place - 0.22, label, size=size, weight="bold", va="center", zorder=5)
    axes.text(top, place - 0.22, found, size=TEXT_PT, ha="right", va="center", zorder=5)


def _swatch(axes: Axes, place: int, colours: Sequence[str], top: float) -> float:
    """Paint the colours of a row; return where its words begin."""
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


def draw_scale(axes: Axes) -> None:
    """Draw the scale below the rows."""
    axes.tick_params(axis="x", labelsize=TEXT_PT, length=4, color=INK, labelcolor=INK)
    axes.spines["bottom"].set_visible(True)
    axes.spines["bottom"].set_color(INK)
    axes.spines["bottom"].set_linewidth(1.2)


def _hour(axes: Axes, top: float, row: ShownHour, most: float) -> None:
    axes.add_patch(
        Rectangle((0, top - 0.42), row.hours, 0.84, facecolor=BAND, edgecolor=CREST, linewidth=1.2)
    )
    axes.text(-0.02 * most, top, row.label, size=TEXT_PT, weight="bold", ha="right", va="center")
    time = f"{row.hours:.1f} h" if row.hours >= 0.995 else f"{row.hours * 60:.0f} min"
    note = time + (f", {row.caught} caught" if row.caught else "")
    axes.text(0.02 * most, top + 0.24, note, size=SMALL_PT, va="center", zorder=5)
    if row.strikes > MOST_SYMBOLS:
        words = f"{row.strikes} strikes, {row.hooked} on"
        axes.text(0.02 * most, top - 0.13, words, size=TEXT_PT, weight="bold", color=BITE,
                  va="center", zorder=5)  # fmt: skip
        return
    for number in range(row.strikes):
        at = (0.045 + 0.085 * number) * most
        face = BITE if number < row.hooked else PAPER
        axes.plot([at], [top - 0.13], marker=_STAR, markersize=15, markerfacecolor=face,
                  markeredgecolor=BITE, markeredgewidth=1.4, zorder=6, clip_on=False)  # fmt: skip
