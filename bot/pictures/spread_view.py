"""The spread from above: boat, wake, waves, and every lure at its distance with its size and colours.

Along and across are to the same scale, and so are the lengths of the lures among themselves (enlarged). The
crests are those of Kelvin's waves at this speed; where the crew has told a distance, at the crew's count.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from textwrap import wrap
from typing import Final

from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.patches import Polygon
from matplotlib.patheffects import withStroke
from matplotlib.text import Text

from bot.pictures.canvas import (
    BITE,
    HEIGHT_IN,
    INK,
    PAPER,
    SEA,
    SMALL_PT,
    TEXT_PT,
    WIDTH_IN,
    Form,
    encode,
    heading,
    lacking_letters,
    sheet,
    wide_in,
)
from bot.pictures.label_places import Box, Label, label_places
from bot.pictures.lure_shape import HEAD_LONG, HEADS, WIDE, WIDEST, draw_lure
from bot.pictures.wake_view import NUMBER_IN, draw_waves, write_number
from bot.units import CM_PER_INCH, CM_PER_M
from bot.water.wake import WaveCount

LURE_SCALE: Final = 22
"""Lures are drawn so many times their length."""
BOAT_M: Final = 11.0
BOAT_WIDE_M: Final = 3.8
LEAST_VIEW_M: Final = 45.0
BEHIND_M: Final = 9.0
METRES_PER_INCH: Final = CM_PER_INCH / CM_PER_M
UNKNOWN_IN: Final = 8.0
"""A lure whose size nobody said is drawn as one of so many inches."""
OUTRIGGER_FROM_M: Final = 4.0
OUTRIGGER_TIP_M: Final = (5.5, -2.0)
LONGEST_LINE: Final = 14
"""Letters of a line of a label."""
FISH_ON: Final = "FISH ON"
STAR_PT: Final = 15.0
STAR_IN: Final = 0.11
"""Half the width of a star."""
GAP_IN: Final = 0.03
"""Distance from a lure to its star."""
PAD_IN: Final = 0.045
"""Distance from the words of a label to its frame."""
EDGE_IN: Final = 0.07
"""Distance from the edge of the sea to a label."""
MORE_IN: Final = 1.0
"""By so much a picture is made longer where its labels find no room."""
OTHER_SIDE_FROM_IN: Final = HEIGHT_IN + 3
"""In a picture that is so long labels may stand on the other side of the boat."""
MOST_IN: Final = 24.0
BOAT_WORDS: Final = ((-1, "port"), (1, "starboard"))
BOAT_GAP_M: Final = 1.2
"""Distance from the boat to these words."""
_BOTTOM_IN: Final = 0.64


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
    """Distance from the middle line; port is negative."""
    head: str | None = None
    hours: float | None = None
    """Lure-hours in the water; None where it is not in yet."""
    strikes: int = 0
    is_on: bool = False
    """True while a fish is on there."""
    back: str = ""
    """How far back it runs, in the units of the crew; empty: in metres."""


def spread_picture(
    lures: Sequence[ShownLure],
    *,
    speed_kn: float | None,
    count: WaveCount | None = None,
    title: str = "Spread",
    stamp: str = "",
    called: bool = True,
    form: Form = "png",
) -> bytes:
    """Draw the spread; without a speed the waves are left out. Return PNG or SVG.

    A speed that nobody `called` stands with the waves, not in the heading. Many long labels make the picture
    longer than a phone.
    """
    height_in = HEIGHT_IN
    while True:
        with sheet(height_in) as figure:
            fits = draw_spread(
                figure,
                lures,
                speed_kn=speed_kn,
                count=count,
                title=title,
                stamp=stamp,
                called=called,
            )
            if fits or height_in > MOST_IN:
                return encode(figure, form)
        height_in += MORE_IN


def draw_spread(
    figure: Figure,
    lures: Sequence[ShownLure],
    *,
    speed_kn: float | None,
    count: WaveCount | None = None,
    title: str = "Spread",
    stamp: str = "",
    called: bool = True,
) -> bool:
    """Draw the spread on a sheet; return whether there was room for all labels."""
    known = speed_kn is not None and called
    top_in = heading(figure, f"{title}, {speed_kn:g} knots" if known else title, "", stamp)
    view_m = max([LEAST_VIEW_M, *(lure.back_m for lure in lures)]) + BEHIND_M
    axes = _sea(figure, view_m, top_in)
    scale = _Scale(axes)
    crests = draw_waves(axes, view_m, speed_kn, count) if speed_kn else ()
    _boat(axes)
    for lure in lures:
        _lure(axes, lure)
    taken = _boat_boxes(scale)
    taken += [_extent(lure, scale) for lure in lures]
    for lure in lures:
        if lure.strikes:
            taken.append(_star(axes, lure, scale, taken))
    for wave, back_m in crests:
        x, y = scale.at(0, back_m)
        if not any(
            Box(x - NUMBER_IN, y - NUMBER_IN, x + NUMBER_IN, y + NUMBER_IN).overlaps(t)
            for t in taken
        ):
            write_number(axes, wave, back_m)
    fits = _labels(axes, lures, scale, taken)
    waves = "" if not speed_kn else "Numbers: waves." if called else f"Waves as at {speed_kn:g} kn."
    _legend(figure, lures, waves)
    return fits


class _Scale:
    """What a place on the sea is on the sheet, in inches from its upper left corner."""

    def __init__(self, axes: Axes) -> None:
        self._axes = axes
        figure = axes.get_figure(root=True)
        assert figure is not None
        self.figure = figure
        self.high_in = figure.get_figheight()

    def at(self, across_m: float, back_m: float) -> tuple[float, float]:
        """Return a point."""
        x, y = self._axes.transData.transform((across_m, back_m)) / self.figure.dpi
        return float(x), self.high_in - float(y)

    def box(self, left_m: float, front_m: float, right_m: float, back_m: float) -> Box:
        """Return a part."""
        return Box(*self.at(left_m, front_m), *self.at(right_m, back_m))

    def m(self, inches: float) -> float:
        """Return how many metres so many inches are."""
        return inches / (self.at(1, 0)[0] - self.at(0, 0)[0])

    def put(self, x: float, y: float) -> tuple[float, float]:
        """Return the place on the sea of a point of the sheet."""
        left, top = self.at(0, 0)
        return self.m(x - left), self.m(y - top)


def _sea(figure: Figure, view_m: float, top_in: float) -> Axes:
    high = figure.get_figheight()
    bottom, top = _BOTTOM_IN / high, 1 - top_in / high
    axes = figure.add_axes((0, bottom, 1, top - bottom))
    long_m = view_m + BOAT_M + 2
    wide_m = long_m * figure.get_figwidth() / (high * (top - bottom))
    axes.set_xlim(-wide_m / 2, wide_m / 2)
    axes.set_ylim(view_m, -BOAT_M - 2)
    axes.set_facecolor(SEA)
    axes.set_xticks([])
    axes.set_yticks([])
    for edge in axes.spines.values():
        edge.set_visible(False)
    return axes


def _boat(axes: Axes) -> None:
    half = BOAT_WIDE_M / 2
    hull = [(-half, 0), (-half, -BOAT_M * 0.55), (0, -BOAT_M), (half, -BOAT_M * 0.55), (half, 0)]
    axes.add_patch(Polygon(hull, closed=True, facecolor=INK, edgecolor=INK, zorder=4))
    for side, word in BOAT_WORDS:
        axes.text(
            side * (half + BOAT_GAP_M), -BOAT_M * 0.8, word, size=SMALL_PT,
            ha="right" if side < 0 else "left", va="center",
        )  # fmt: skip


def _boat_boxes(scale: _Scale) -> list[Box]:
    """Return what the boat, its outriggers and the words beside it take of the sheet."""
    half = BOAT_WIDE_M / 2
    across, up = OUTRIGGER_TIP_M
    found = [scale.box(-half, -BOAT_M, half, 0), scale.box(-across, up - BOAT_M / 4, across, up)]
    for side, word in BOAT_WORDS:
        x, y = scale.at(side * (half + BOAT_GAP_M), -BOAT_M * 0.8)
        ends = sorted((x, x + side * wide_in(word, SMALL_PT)))
        found.append(Box(ends[0], y - SMALL_PT / 72, ends[1], y + SMALL_PT / 72))
    return found


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


def _extent(lure: ShownLure, scale: _Scale) -> Box:
    """Return the part of the sheet that a lure takes."""
    half, long_m = WIDE * WIDEST * _long_m(lure) / 2, _long_m(lure)
    front = lure.back_m - HEAD_LONG * long_m / 2
    return scale.box(lure.across_m - half, front, lure.across_m + half, lure.back_m + long_m)


def _star(axes: Axes, lure: ShownLure, scale: _Scale, taken: Sequence[Box]) -> Box:
    """Draw a star for the strikes on a lure beside it, with their number; return where it stands."""
    words = f"×{lure.strikes}" if lure.strikes > 1 else ""
    wide = 2 * STAR_IN + (wide_in(words, TEXT_PT, "bold") if words else 0.0)
    here = _extent(lure, scale)
    sides = [here.right + GAP_IN, here.left - GAP_IN - wide]
    if lure.across_m > 0:  # towards the middle first: labels stand at the sides
        sides.reverse()
    tops = [here.top + 2 * STAR_IN * step for step in (1, 0, 2, -1, 3)]
    spots = [
        Box(left, top, left + wide, top + 2 * STAR_IN) for left in sides for top in tops
    ]  # fmt: skip
    box = next((s for s in spots if not any(s.overlaps(t) for t in taken)), spots[0])
    x, y = scale.put(box.left + STAR_IN, box.top + STAR_IN)
    axes.plot(
        [x], [y], marker="*", markersize=STAR_PT, color=BITE, markeredgecolor=PAPER, zorder=12
    )
    if words:
        axes.text(
            *scale.put(box.left + 2 * STAR_IN, box.top + STAR_IN), words, size=TEXT_PT, weight="bold",
            color=INK, va="center", zorder=12,
            path_effects=[withStroke(linewidth=2.5, foreground=PAPER)],
        )  # fmt: skip
    return box


def _long_m(lure: ShownLure) -> float:
    size_in = UNKNOWN_IN if lure.size_in is None else lure.size_in
    return size_in * METRES_PER_INCH * LURE_SCALE


def _labels(axes: Axes, lures: Sequence[ShownLure], scale: _Scale, taken: Sequence[Box]) -> bool:
    """Write what each lure is at the sides, as near to it as there is room; return whether there was."""
    texts = [_label(axes, lure) for lure in lures]
    drawn = FigureCanvasAgg(scale.figure).get_renderer()  # type: ignore[no-untyped-call]
    sizes = []
    for text in texts:
        with lacking_letters():
            extent = text.get_window_extent(drawn)
        sizes.append(
            (extent.width / drawn.dpi + 2 * PAD_IN, extent.height / drawn.dpi + 2 * PAD_IN)
        )
    labels = [
        Label(*size, *scale.at(lure.across_m, lure.back_m))
        for size, lure in zip(sizes, lures, strict=True)
    ]
    sea = axes.get_position()
    room = Box(
        EDGE_IN, scale.high_in * (1 - sea.y1) + EDGE_IN, WIDTH_IN - EDGE_IN,
        scale.high_in * (1 - sea.y0) - EDGE_IN,
    )  # fmt: skip
    places = label_places(labels, taken, room, other_side=scale.high_in >= OTHER_SIDE_FROM_IN)
    fits = places is not None
    for number, (text, label) in enumerate(zip(texts, labels, strict=True)):
        column, box = places[number] if places is not None else (1, room)
        x, y = box.left if column < 0 else box.right, box.top
        inner = PAD_IN * -column
        text.set_position(scale.put(x + inner, y + PAD_IN))
        text.set_horizontalalignment("left" if column < 0 else "right")
        text.set_multialignment("left" if column < 0 else "right")
        edge = scale.put(box.right if column < 0 else box.left, (box.top + box.bottom) / 2)
        front = scale.put(label.x, label.y)
        axes.plot(
            [edge[0], front[0]], [edge[1], front[1]], color=INK, linewidth=0.8,
            linestyle=(0, (2, 2)), zorder=2,
        )  # fmt: skip
    return fits


def _label(axes: Axes, lure: ShownLure) -> Text:
    return axes.text(
        0, 0, _words(lure), size=TEXT_PT, va="top", zorder=11, linespacing=1.24,
        bbox={"boxstyle": f"round,pad={PAD_IN * 72 / TEXT_PT:.3f}", "facecolor": PAPER,
              "edgecolor": BITE if lure.is_on else INK, "linewidth": 2.4 if lure.is_on else 0.9},
    )  # fmt: skip


def _words(lure: ShownLure) -> str:
    size = f"{lure.size_in:g}-inch" if lure.size_in is not None else "size not said"
    lines = [
        *_folded(lure.position.upper()),
        *_folded(lure.name),
        f"{size}, {lure.back or f'{lure.back_m:.0f} m'}",
    ]
    lines += _folded(" ".join(lure.colours))
    hours = "" if lure.hours is None else f"{lure.hours:.1f} h"
    strikes = f"{lure.strikes} strike{'s' if lure.strikes > 1 else ''}" if lure.strikes else ""
    if hours and not strikes:
        lines.append(f"{hours} in water")
    elif strikes:
        lines.append(", ".join(part for part in (hours, strikes) if part))
    return "\n".join([*lines, FISH_ON] if lure.is_on else lines)


def _folded(text: str) -> list[str]:
    """Return a text in two lines at most; what is longer is cut off, and so is a long word."""
    lines = [
        line if len(line) <= LONGEST_LINE else f"{line[: LONGEST_LINE - 1]}…"
        for line in wrap(text, LONGEST_LINE, break_long_words=False)
    ]
    return lines if len(lines) <= 2 else [lines[0], f"{lines[1].rstrip('…')[: LONGEST_LINE - 1]}…"]


def _legend(figure: Figure, lures: Sequence[ShownLure], waves: str) -> None:
    axes = figure.add_axes((0, 0, 1, _BOTTOM_IN / figure.get_figheight()))
    axes.set_xlim(0, 45)
    axes.set_ylim(45 * _BOTTOM_IN / WIDTH_IN, 0)
    axes.axis("off")
    heads = [head for head in HEADS if head and any(lure.head == head for lure in lures)]
    each = 43 / max(4, len(heads))
    for number, head in enumerate(heads):
        across = 2.2 + number * each
        draw_lure(axes, across, 0.9, 2.6, ("white",), head)
        axes.text(across + 0.9, 2.2, head, size=SMALL_PT, va="center")
    note = f"Lures {LURE_SCALE} times life size."
    if any(lure.strikes for lure in lures):
        note += " Star: strikes."
    axes.text(22.5, 5.0, f"{note} {waves}".strip(), size=SMALL_PT, ha="center", va="center")
