"""The spread from above: boat, wake, waves, and every lure at its distance with its size and colours.

Along and across are to the same scale, and so are the lengths of the lures among themselves (enlarged). The
crests are those of Kelvin's waves at this speed; where the crew has told a distance, at the crew's count.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, cos, pi, radians, sin
from textwrap import wrap
from typing import Final

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Polygon

from bot.pictures.canvas import (
    BITE,
    CREST,
    FAINT,
    INK,
    LARGE_PT,
    PAPER,
    SEA,
    SMALL_PT,
    TEXT_PT,
    Form,
    encoded,
    sheet,
)
from bot.pictures.lure_shape import WIDE, draw_lure
from bot.water.wake import WaveCount, crest_m, wave_length_m, wedge_half_width_m

ENLARGED: Final = 22
"""Lures are drawn so many times their length."""
BOAT_M: Final = 11.0
BOAT_WIDE_M: Final = 3.8
LEAST_VIEW_M: Final = 45.0
BEHIND_M: Final = 9.0
METRES_PER_INCH: Final = 0.0254
UNKNOWN_IN: Final = 8.0
"""A lure whose size nobody said is drawn as one of so many inches."""
OUTRIGGER_FROM_M: Final = 4.0
OUTRIGGER_TIP_M: Final = (5.5, -2.0)
LONGEST_LINE: Final = 14
MOST_STARS: Final = 4
"""Strikes that are drawn as stars; how many there were stands in words."""
STAR_M: Final = 1.9
"""From one star to the next, astern."""
CUSP: Final = radians(35.264)
"""Where the waves across the wake meet those along its edge."""
EDGE_SHOWN: Final = 0.5
"""Share of the waves along the edge that is drawn; nearer to the boat they run into one another."""
_TOP, _BOTTOM = 0.925, 0.085
_COLUMN: Final = 0.025
"""Left edge of the column of labels, as a share of the width."""


@dataclass(frozen=True, slots=True)
class ShownLure:
    """One lure in the picture."""

    position: str
    name: str
    """Its name, or empty where it has none."""
    size_in: float | None
    colours: tuple[str, ...]
    back_m: float
    across_m: float
    """From the middle line; port is below nought."""
    head: str | None = None
    hours: float | None = None
    """Lure-hours in the water; None where it is not in yet."""
    strikes: int = 0


def spread_picture(
    lures: Sequence[ShownLure],
    *,
    speed_kn: float | None,
    count: WaveCount | None = None,
    title: str = "Spread",
    called: bool = True,
    form: Form = "png",
) -> bytes:
    """Draw the spread; without a speed the waves are left out. Gives PNG or SVG.

    A speed that nobody `called` stands with the waves, not in the heading.
    """
    with sheet() as figure:
        draw_spread(figure, lures, speed_kn=speed_kn, count=count, title=title, called=called)
        return encoded(figure, form)


def draw_spread(
    figure: Figure,
    lures: Sequence[ShownLure],
    *,
    speed_kn: float | None,
    count: WaveCount | None = None,
    title: str = "Spread",
    called: bool = True,
) -> None:
    """Draw the spread on a sheet."""
    view_m = max([LEAST_VIEW_M, *(lure.back_m for lure in lures)]) + BEHIND_M
    axes = _sea(figure, view_m)
    if speed_kn:
        _waves(axes, lures, view_m, speed_kn, count)
    _boat(axes)
    for lure in lures:
        _lure(axes, lure)
    _labels(axes, lures, view_m)
    known = speed_kn is not None and called
    heading = f"{title}, {speed_kn:g} knots" if known else title
    figure.text(0.5, 0.975, heading, size=LARGE_PT, weight="bold", ha="center", va="top")
    waves = "" if not speed_kn else "Numbers: waves." if called else f"Waves as at {speed_kn:g} kn."
    _legend(figure, waves)


def _sea(figure: Figure, view_m: float) -> Axes:
    axes = figure.add_axes((0, _BOTTOM, 1, _TOP - _BOTTOM))
    long_m = view_m + BOAT_M + 2
    wide_m = long_m * figure.get_figwidth() / (figure.get_figheight() * (_TOP - _BOTTOM))
    axes.set_xlim(-wide_m / 2, wide_m / 2)
    axes.set_ylim(view_m, -BOAT_M - 2)
    axes.set_facecolor(SEA)
    axes.set_xticks([])
    axes.set_yticks([])
    for edge in axes.spines.values():
        edge.set_visible(False)
    return axes


def _waves(
    axes: Axes, lures: Sequence[ShownLure], view_m: float, speed_kn: float, count: WaveCount | None
) -> None:
    edge_m = wedge_half_width_m(view_m)
    axes.plot([0, -edge_m], [0, view_m], color=FAINT, linewidth=1.2, zorder=1)
    axes.plot([0, edge_m], [0, view_m], color=FAINT, linewidth=1.2, zorder=1)
    badge_m = _badge_m(view_m)
    each = ceil(3.2 * badge_m / wave_length_m(speed_kn))
    wave = 1
    while (crest := crest_m(wave, speed_kn, count)) < view_m + 5:
        if crest > 1:
            across = [CUSP * step / 24 for step in range(-24, 25)]
            axes.plot(*crest_line(crest, across), color=CREST, linewidth=1.6, zorder=1)
            for side in (-1, 1):
                along = [
                    side * (CUSP + EDGE_SHOWN * (pi / 2 - CUSP) * step / 24) for step in range(25)
                ]
                axes.plot(*crest_line(crest, along), color=FAINT, linewidth=0.9, zorder=1)
            if wave % each == 0 and crest + badge_m < view_m:
                _number(axes, wave, crest, lures, badge_m)
        wave += 1


def crest_line(crest_m: float, angles: Sequence[float]) -> tuple[list[float], list[float]]:
    """Return a crest of Kelvin's pattern that crosses the middle line so far back."""
    across = [crest_m * (sin(a) + sin(3 * a)) / 4 for a in angles]
    back = [crest_m * (5 * cos(a) - cos(3 * a)) / 4 for a in angles]
    return across, back


def _badge_m(view_m: float) -> float:
    """Return the radius of the number of a wave, in metres of the picture."""
    return (view_m + BOAT_M + 2) * SMALL_PT * 0.72 / (72 * 8.0 * (_TOP - _BOTTOM))


def _number(
    axes: Axes, wave: int, crest_m: float, lures: Sequence[ShownLure], badge_m: float
) -> None:
    """Write the number of a wave on its crest, unless a lure is in the way."""
    if any(
        abs(x.across_m) - WIDE * _long_m(x) / 2 < badge_m
        and x.back_m - badge_m < crest_m < x.back_m + _long_m(x) + badge_m
        for x in lures
    ):
        return
    axes.text(
        0, crest_m, str(wave), size=SMALL_PT, color=PAPER, weight="bold", ha="center", va="center",
        zorder=3, bbox={"boxstyle": "circle,pad=0.22", "facecolor": CREST, "edgecolor": "none"},
    )  # fmt: skip


def _boat(axes: Axes) -> None:
    half = BOAT_WIDE_M / 2
    hull = [(-half, 0), (-half, -BOAT_M * 0.55), (0, -BOAT_M), (half, -BOAT_M * 0.55), (half, 0)]
    axes.add_patch(Polygon(hull, closed=True, facecolor=INK, edgecolor=INK, zorder=4))
    for side, word in ((-1, "port"), (1, "starboard")):
        axes.text(
            side * (half + 1.2), -BOAT_M * 0.5, word, size=SMALL_PT,
            ha="right" if side < 0 else "left", va="center",
        )  # fmt: skip


def _lure(axes: Axes, lure: ShownLure) -> None:
    side = (lure.across_m > 0) - (lure.across_m < 0)
    if abs(lure.across_m) > OUTRIGGER_FROM_M:
        tip = (side * OUTRIGGER_TIP_M[0], OUTRIGGER_TIP_M[1])
        axes.plot(
            [side * BOAT_WIDE_M / 2, tip[0]], [-BOAT_M * 0.45, tip[1]], color=INK, linewidth=2
        )
    else:
        tip = (side * BOAT_WIDE_M / 2 * 0.9, 0.0)
    axes.plot([tip[0], lure.across_m], [tip[1], lure.back_m], color=INK, linewidth=0.8, zorder=2)
    draw_lure(axes, lure.across_m, lure.back_m, _long_m(lure), lure.colours, lure.head)
    for number in range(min(lure.strikes, MOST_STARS)):
        axes.plot(
            [lure.across_m + 1.9], [lure.back_m + number * STAR_M], marker="*", markersize=14,
            color=BITE, markeredgecolor=PAPER, zorder=12,
        )  # fmt: skip


def _long_m(lure: ShownLure) -> float:
    size_in = UNKNOWN_IN if lure.size_in is None else lure.size_in
    return size_in * METRES_PER_INCH * ENLARGED


def _labels(axes: Axes, lures: Sequence[ShownLure], view_m: float) -> None:
    """Write what each lure is in two columns, beside the lure as far as there is room."""
    left = [lure for lure in lures if lure.across_m < 0]
    right = [lure for lure in lures if lure.across_m > 0]
    for lure in lures:
        if lure.across_m == 0:
            (left if len(left) <= len(right) else right).append(lure)
    wide_m = axes.get_xlim()[1] * 2
    for side, column in ((-1, left), (1, right)):
        column.sort(key=lambda lure: lure.back_m)
        texts = [_words(lure) for lure in column]
        line_m = (view_m + BOAT_M + 2) * TEXT_PT * 1.24 / (72 * 8.0 * (_TOP - _BOTTOM))
        tall = [line_m * (text.count("\n") + 1) + line_m * 0.5 for text in texts]
        tops = _apart(
            [lure.back_m - high / 2 for lure, high in zip(column, tall, strict=True)], tall, view_m
        )
        for lure, text, top, high in zip(column, texts, tops, tall, strict=True):
            at = side * wide_m * (0.5 - _COLUMN)
            _label(axes, side, at, top, high, text, lure)


def _label(
    axes: Axes, side: int, at: float, top: float, high: float, text: str, lure: ShownLure
) -> None:
    align = "left" if side < 0 else "right"
    box = {"boxstyle": "round,pad=0.25", "facecolor": PAPER, "edgecolor": INK, "linewidth": 0.9}
    first, _, rest = text.partition("\n")
    axes.plot(
        [at * 0.55, lure.across_m], [top + high / 2, lure.back_m], color=INK, linewidth=0.6,
        linestyle=(0, (2, 2)), zorder=2,
    )  # fmt: skip
    axes.text(
        at, top, f"{first}\n{rest}", size=TEXT_PT, ha=align, va="top", zorder=11, bbox=box,
        linespacing=1.24, multialignment=align,
    )  # fmt: skip


def _words(lure: ShownLure) -> str:
    size = f"{lure.size_in:g}-inch" if lure.size_in is not None else "size not said"
    lines = [*_folded(lure.position.upper()), *_folded(lure.name), f"{size}, {lure.back_m:.0f} m"]
    lines += _folded(" ".join(lure.colours))
    hours = "" if lure.hours is None else f"{lure.hours:.1f} h"
    strikes = f"{lure.strikes} strike{'s' if lure.strikes > 1 else ''}" if lure.strikes else ""
    if hours and not strikes:
        lines.append(f"{hours} in water")
    elif strikes:
        lines.append(", ".join(part for part in (hours, strikes) if part))
    return "\n".join(lines)


def _folded(text: str) -> list[str]:
    """Return a text in two lines at most, what is longer cut off."""
    lines = wrap(text, LONGEST_LINE)
    return lines if len(lines) <= 2 else [lines[0], f"{lines[1][: LONGEST_LINE - 1]}…"]


def _apart(tops: list[float], tall: Sequence[float], view_m: float) -> list[float]:
    """Move labels of a column apart, down first, then up again from the lower edge."""
    placed = list(tops)
    for number in range(1, len(placed)):
        placed[number] = max(placed[number], placed[number - 1] + tall[number - 1])
    lowest = view_m
    for number in reversed(range(len(placed))):
        placed[number] = min(placed[number], lowest - tall[number])
        lowest = placed[number]
    return placed


def _legend(figure: Figure, waves: str) -> None:
    axes = figure.add_axes((0, 0, 1, _BOTTOM))
    axes.set_xlim(0, 45)
    axes.set_ylim(6.8, 0)
    axes.axis("off")
    for number, head in enumerate(("cupped", "blunt", "slanted", "slim")):
        across = 2.2 + number * 11
        draw_lure(axes, across, 0.9, 3.0, ("white",), head)
        axes.text(across + 1.2, 2.4, head, size=SMALL_PT, va="center")
    note = f"Lures {ENLARGED} times life size. Star: a strike."
    if waves:
        note += f" {waves}"
    axes.text(22.5, 5.3, note, size=SMALL_PT, ha="center", va="center")
