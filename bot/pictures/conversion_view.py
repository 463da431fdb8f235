"""What became of strikes, as a picture: which share came tight, and which share of the fish on was caught.

A circle stands for hooked, a square for landed; of few it is hollow. Plain values, as in `tally_view`.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from matplotlib.axes import Axes

from bot.pictures.canvas import (
    BITE,
    CREST,
    EDGE,
    HEAD_IN,
    INK,
    PAPER,
    SMALL_PT,
    WIDTH_IN,
    Form,
    encode,
    fit_line,
    heading,
    sheet,
)
from bot.pictures.tally_view import FEW, bare, draw_scale, write_row

ROW_IN: Final = 0.8
FOOT_IN: Final = 0.95
WORDS: Final = 0.36
"""What the words before a bar take, as a share of the width."""
TOP: Final = 100.0


@dataclass(frozen=True, slots=True)
class ShownShare:
    """A count out of a count, with the 95 % interval of the share, 0 to 1."""

    some: int
    of: int
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class ShownConversion:
    """One row."""

    label: str
    hooked: ShownShare | None
    """Share of the strikes; None where it says nothing: what is known only of fish that were on."""
    landed: ShownShare | None
    """Share of the fish on whose end is known."""
    strikes: int = 0
    colours: tuple[str, ...] = ()


def conversion_picture(
    rows: Sequence[ShownConversion],
    *,
    title: str,
    below: str = "",
    stamp: str = "",
    form: Form = "png",
) -> bytes:
    """Draw what became of strikes, row by row. Return PNG or SVG."""
    height_in = HEAD_IN + FOOT_IN + ROW_IN * len(rows)
    with sheet(height_in) as figure:
        heading(figure, title, below or "this trip", stamp)
        bottom = FOOT_IN / height_in
        axes = figure.add_axes((EDGE, bottom, 1 - 2 * EDGE, 1 - bottom - HEAD_IN / height_in))
        bare(axes, len(rows))
        axes.set_xlim(0, TOP * 1.02)
        for place, row in enumerate(rows):
            strikes = f"{row.strikes} strike{'' if row.strikes == 1 else 's'}"
            write_row(axes, place, row.label, strikes, row.colours, TOP)
            for down, name, share in ((0.1, "hooked", row.hooked), (0.34, "landed", row.landed)):
                if share is not None:
                    _share(axes, place + down, name, share)
        axes.set_xticks([_at(share) for share in (0, 0.5, 1)], ["0 %", "50 %", "100 %"])
        draw_scale(axes)
        words = (
            "Circle: strikes that came tight. Square: fish on,\nof which the end is known, that were"
            f" caught.\nBar: 95 % sure. Hollow: of under {FEW}, too few to say."
        )
        text = max(words.split("\n"), key=len)
        _, size = fit_line(text, SMALL_PT, WIDTH_IN * (1 - 2 * EDGE))
        figure.text(EDGE, 0.1 / height_in, words, size=size, va="bottom", linespacing=1.2)
        return encode(figure, form)


def _at(share: float) -> float:
    return TOP * (WORDS + 0.02 + (0.96 - WORDS) * share)


def _share(axes: Axes, at: float, name: str, share: ShownShare) -> None:
    words = f"{name} {share.some} of {share.of}" if share.of else f"{name}: none yet"
    axes.text(0.012 * TOP, at, words, size=SMALL_PT, va="center", zorder=5)
    if not share.of:
        return
    sure = share.of >= FEW
    axes.plot([_at(share.low), _at(share.high)], [at, at], color=INK if sure else CREST,
              linewidth=4.0 if sure else 2.5, solid_capstyle="butt", zorder=3)  # fmt: skip
    axes.plot([_at(share.some / share.of)], [at], marker="o" if name == "hooked" else "s",
              markersize=9, markerfacecolor=BITE if sure else PAPER, markeredgecolor=INK,
              markeredgewidth=1.6, zorder=6, clip_on=False)  # fmt: skip
