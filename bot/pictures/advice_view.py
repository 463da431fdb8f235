"""The next change as a picture: how likely it is to be better, as so many squares of a hundred.

A square is a day like this one: those in which the change wins are filled. Below stand the rates of what
comes in and of what goes out, with their intervals, so that few strikes are seen to be few.
"""

from collections.abc import Sequence
from textwrap import wrap
from typing import Final

from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from bot.pictures.canvas import (
    BITE,
    CREST,
    FAINT,
    INK,
    LARGE_PT,
    PAPER,
    SMALL_PT,
    TEXT_PT,
    Form,
    encoded,
    sheet,
)
from bot.pictures.tally_view import ShownRate, draw_rates

SIDE: Final = 10
"""Squares along each side of the field."""
MOST_RATES: Final = 6
"""Rows below: head, size and colour, each of what comes in and of what goes out."""
_LEFT: Final = 0.05


def advice_picture(
    *,
    lure: str,
    position: str,
    chance: float,
    gain_per_h: float,
    reason: str,
    rates: Sequence[ShownRate] = (),
    form: Form = "png",
) -> bytes:
    """Draw a proposed change: `chance` is 0 to 1, `rates` what the record says. Gives PNG or SVG."""
    with sheet() as figure:
        _head(figure, lure, position, chance, gain_per_h)
        _field(figure, chance)
        lines = wrap(reason, 54)[:3]
        figure.text(_LEFT, 0.592, "\n".join(lines), size=SMALL_PT + 1, va="top", linespacing=1.35)
        if rates:
            figure.text(_LEFT, 0.505, "What the record says", size=TEXT_PT, weight="bold", va="top")
            words = "strikes in 10 lure-hours; of two the first comes in"
            figure.text(_LEFT, 0.476, words, size=SMALL_PT, va="top")
            axes = figure.add_axes((_LEFT, 0.05, 0.9, 0.4))
            draw_rates(axes, rates[:MOST_RATES], slots=MOST_RATES)
        return encoded(figure, form)


def _head(figure: Figure, lure: str, position: str, chance: float, gain_per_h: float) -> None:
    size = LARGE_PT if len(lure) <= 26 else LARGE_PT * 26 / len(lure)
    figure.text(_LEFT, 0.98, f"Next: {lure}", size=size, weight="bold", va="top")
    figure.text(_LEFT, 0.943, f"on the {position}", size=TEXT_PT + 2, va="top")
    better = min(99, max(1, round(chance * 100)))
    figure.text(_LEFT, 0.895, f"{better} of 100", size=24, weight="bold", va="top", color=BITE)
    words = f"days like this it is better,\n{gain_per_h:+.2f} strikes an hour expected"
    figure.text(0.5, 0.897, words, size=SMALL_PT, va="top", linespacing=1.4)


def _field(figure: Figure, chance: float) -> None:
    wide = 0.9
    tall = wide * figure.get_figwidth() / figure.get_figheight() * 0.45
    axes = figure.add_axes((_LEFT, 0.612, wide, tall))
    axes.set_xlim(0, SIDE)
    axes.set_ylim(SIDE, 0)
    axes.axis("off")
    filled = min(99, max(1, round(chance * 100)))
    for number in range(SIDE * SIDE):
        row, column = divmod(number, SIDE)
        won = number < filled
        axes.add_patch(
            Rectangle((column + 0.06, row + 0.06), 0.88, 0.88, facecolor=CREST if won else PAPER,
                      edgecolor=INK if won else FAINT, linewidth=1.2)
        )  # fmt: skip
