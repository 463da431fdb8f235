"""The next change as a picture: how likely it is to be better, as so many squares of ten, or of more.

A square is a day like this one: those in which the change wins are filled. There are as many as the chance is
said in, for more would tell more than is known. Below stand the rates of what
comes in and of what goes out, with their intervals, so that few strikes are seen to be few.
"""

from collections.abc import Sequence
from textwrap import wrap
from typing import Final

from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from bot.advice.rates import chances_of
from bot.pictures.canvas import (
    BITE,
    CREST,
    EDGE,
    HEAD_IN,
    INK,
    PAPER,
    SMALL_PT,
    TEXT_PT,
    WIDTH_IN,
    Form,
    encode,
    fit_line,
    heading,
    sheet,
)
from bot.pictures.tally_view import ROW_IN, ShownRate, draw_rates

ACROSS: Final = 10
"""Squares in a row of the field."""
MOST_RATES: Final = 6
"""Rows below: head, size and colour, each of what comes in and of what goes out."""
CHANCE_IN: Final = 0.5
SQUARE_IN: Final = 0.4
LEAST_SQUARE_IN: Final = 0.2
LINE_IN: Final = 0.19
RECORD_IN: Final = 0.5
AXIS_IN: Final = 0.4
"""Heights of the parts, from the top down."""


def advice_picture(
    *,
    lure: str,
    position: str,
    chance: float,
    gain_per_h: float,
    reason: str,
    out: str = "",
    rates: Sequence[ShownRate] = (),
    stamp: str = "",
    form: Form = "png",
) -> bytes:
    """Draw a proposed change: `chance` is 0 to 1, `rates` what the record says. Return PNG or SVG.

    `out` is what comes out there.
    """
    field_in = _field_in(chances_of(chance)[1])
    rates = rates[:MOST_RATES]
    lines = wrap(reason, 50)[:4]
    reason_in = LINE_IN * len(lines) + 0.15
    record_in = RECORD_IN + ROW_IN * len(rates) + AXIS_IN if rates else 0.1
    height_in = HEAD_IN + CHANCE_IN + field_in + reason_in + record_in
    with sheet(height_in) as figure:
        gone = f", {out} comes out" if out else ""
        heading(figure, f"Next: {lure}", f"on the {position}{gone}", stamp)
        top_in = _chance(figure, HEAD_IN, chance, gain_per_h)
        _field(figure, top_in, field_in, chance)
        top_in += field_in
        _words(figure, top_in, "\n".join(lines), SMALL_PT)
        if rates:
            top_in += reason_in
            _words(figure, top_in, "What the record says", TEXT_PT, "bold")
            words = "strikes in 10 lure-hours; of two the first comes in"
            _words(figure, top_in + 0.24, words, SMALL_PT)
            axes = figure.add_axes(
                (EDGE, AXIS_IN / height_in, 1 - 2 * EDGE, ROW_IN * len(rates) / height_in)
            )
            draw_rates(axes, rates)
        return encode(figure, form)


def _words(figure: Figure, top_in: float, text: str, size: float, weight: str = "normal") -> None:
    up = 1 - top_in / figure.get_figheight()
    figure.text(EDGE, up, text, size=size, weight=weight, va="top", linespacing=1.3)


def _chance(figure: Figure, top_in: float, chance: float, gain_per_h: float) -> float:
    """Write the chance and what it brings; return where the field begins."""
    (many, of), high_in = chances_of(chance), figure.get_figheight()
    at = 1 - (top_in + 0.02) / high_in
    figure.text(EDGE, at, f"{many} of {of}", size=24, weight="bold", va="top", color=BITE)
    words = f"days like this it is better,\n{gain_per_h:+.2f} strikes an hour expected"
    room_in = 0.48 * WIDTH_IN - EDGE * WIDTH_IN
    _, size = fit_line(words.partition("\n")[2], SMALL_PT, room_in)
    figure.text(0.52, at, words, size=size, va="top", linespacing=1.3)
    return top_in + CHANCE_IN


def _field_in(of: int) -> float:
    return of / ACROSS * (SQUARE_IN if of <= 2 * ACROSS else LEAST_SQUARE_IN) + 0.15


def _field(figure: Figure, top_in: float, tall_in: float, chance: float) -> None:
    high_in = figure.get_figheight()
    tall = (tall_in - 0.15) / high_in
    many, of = chances_of(chance)
    axes = figure.add_axes((EDGE, 1 - top_in / high_in - tall, 1 - 2 * EDGE, tall))
    axes.set_xlim(0, ACROSS)
    axes.set_ylim(of / ACROSS, 0)
    axes.axis("off")
    for number in range(of):
        row, column = divmod(number, ACROSS)
        won = number < many
        axes.add_patch(
            Rectangle((column + 0.06, row + 0.06), 0.88, 0.88, facecolor=CREST if won else PAPER,
                      edgecolor=INK if won else CREST, linewidth=1.2)
        )  # fmt: skip
