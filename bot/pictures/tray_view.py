"""A tray as a picture for the phone and a card for its lid: what goes where, how it is rigged, what is ready.

The lures are drawn to one scale, in their colours; every row has a box to tick. Printed at full size the
card is as wide as a phone's picture (4.5 inches).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from textwrap import wrap
from typing import Final

from matplotlib.axes import Axes
from matplotlib.patches import Rectangle

from bot.pictures.canvas import (
    BITE,
    FAINT,
    INK,
    LARGE_PT,
    PAPER,
    SMALL_PT,
    TEXT_PT,
    WIDTH_IN,
    Form,
    encode,
    sheet,
)
from bot.pictures.lure_shape import draw_lure

HEAD_TALL: Final = 0.85
"""Inches of the heading."""
ROW_TALL: Final = 1.1
SPARE_TALL: Final = 0.3
FOOT_TALL: Final = 0.5
LONGEST_IN: Final = 0.8
"""Inches on the card of the longest lure of a tray."""
LETTERS: Final = 38
"""Of a line of text beside a lure."""


@dataclass(frozen=True, slots=True)
class ShownInTray:
    """One lure on the card."""

    position: str
    """Where it goes; empty for a spare."""
    name: str
    size_in: float | None
    colours: tuple[str, ...]
    head: str | None = None
    rig: str = ""
    """Hooks and leader, where known."""
    due: str = ""
    """Why it may not go out; empty where it is ready."""


def tray_picture(
    title: str,
    below: str,
    lures: Sequence[ShownInTray],
    spares: Sequence[ShownInTray],
    *,
    foot: str = "",
    form: Form = "png",
) -> bytes:
    """Draw a tray; `below` says its tackle and speed, `foot` what stands under the spares."""
    rows = len(lures) * ROW_TALL + len(spares) * SPARE_TALL + (0.35 if spares else 0.0)
    tall = HEAD_TALL + rows + FOOT_TALL
    with sheet(tall) as figure:
        axes = figure.add_axes((0, 0, 1, 1))
        axes.set_xlim(0, WIDTH_IN)
        axes.set_ylim(tall, 0)
        axes.axis("off")
        axes.text(0.2, 0.4, _cut(title, 26), size=LARGE_PT + 3, weight="bold", va="center")
        axes.text(0.2, 0.7, _cut(below, 46), size=TEXT_PT, va="center")
        longest = max((one.size_in or 8.0 for one in lures), default=8.0)
        at = HEAD_TALL
        for one in lures:
            _row(axes, at, one, longest)
            at += ROW_TALL
        if spares:
            axes.text(0.2, at + 0.2, "SPARES", size=TEXT_PT, weight="bold", va="center")
            at += 0.35
        for one in spares:
            _spare(axes, at, one)
            at += SPARE_TALL
        axes.text(0.2, at + 0.25, _cut(foot, 60), size=SMALL_PT, va="center")
        return encode(figure, form)


def _row(axes: Axes, at: float, one: ShownInTray, longest: float) -> None:
    axes.plot([0.15, WIDTH_IN - 0.15], [at, at], color=FAINT, linewidth=1)
    long = LONGEST_IN * (one.size_in or 8.0) / longest
    draw_lure(axes, 0.42, at + 0.16, long, one.colours, one.head)
    lines = [(one.position.upper() or "ANY", "bold", INK)]
    lines += [] if _is_all_looks(one) else [(_size(one), "normal", INK)]
    lines += [(one.rig, "normal", INK)] if one.rig else []
    texts = [(one.name, "bold", INK), *lines[1:]]
    axes.text(0.85, at + 0.16, lines[0][0], size=SMALL_PT, weight="bold", va="center")
    for number, (text, weight, colour) in enumerate(texts):
        axes.text(
            0.85, at + 0.34 + 0.19 * number, _cut(text, LETTERS), va="center", weight=weight,
            size=TEXT_PT if number == 0 else SMALL_PT, color=colour,
        )  # fmt: skip
    _box(axes, at + 0.3, one.due)
    if one.due:
        y = at + 0.34 + 0.19 * len(texts)
        axes.text(0.85, y, _cut(f"NOT READY: {one.due}", LETTERS + 6), size=SMALL_PT, weight="bold",
                  color=BITE, va="center")  # fmt: skip


def _box(axes: Axes, at: float, due: str) -> None:
    """Draw the box to tick, filled in where the lure is ready."""
    axes.add_patch(
        Rectangle((WIDTH_IN - 0.5, at), 0.26, 0.26, facecolor=PAPER, edgecolor=INK, linewidth=1.6)
    )
    if not due:
        axes.plot(
            [WIDTH_IN - 0.46, WIDTH_IN - 0.39, WIDTH_IN - 0.26],
            [at + 0.13, at + 0.21, at + 0.04], color=INK, linewidth=2.2,
        )  # fmt: skip


def _spare(axes: Axes, at: float, one: ShownInTray) -> None:
    words = f"{one.name}, {_size(one)}{' (not ready)' if one.due else ''}"
    axes.text(0.2, at + 0.12, _cut(words, 52), size=SMALL_PT, va="center",
              color=BITE if one.due else INK)  # fmt: skip


def _size(one: ShownInTray) -> str:
    size = f"{one.size_in:g}-inch" if one.size_in is not None else "size not said"
    head = f", {one.head}" if one.head else ""
    return f"{size} {' '.join(one.colours)}{head}"


def _is_all_looks(one: ShownInTray) -> bool:
    """Return whether a lure without a name is called by its colours and size already."""
    return sorted(one.name.split()) == sorted(_size(one).split())


def _cut(text: str, letters: int) -> str:
    lines = wrap(text, letters)
    return text if len(lines) < 2 else f"{lines[0][: letters - 1]}…"
