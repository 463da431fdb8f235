"""A lure drawn from above: the head by its kind, the skirt in the lure's colours."""

from collections.abc import Sequence
from typing import Final

from matplotlib.axes import Axes
from matplotlib.patches import Polygon

from bot.pictures.canvas import INK, paint

WIDE: Final = 0.33
"""Width of a lure as a share of its length; wider than life, so that the pattern shows."""
WIDEST: Final = 1.35
"""Width of the skirt at its end against that of the head."""
HEAD_LONG: Final = 0.26
OUTLINE_PT: Final = 1.3

Points = tuple[tuple[float, float], ...]
HEADS: Final[dict[str | None, Points]] = {
    # across from -1 to 1, along from 0 (front) to 1 (skirt)
    "cupped": ((-1, 1), (-1, 0), (-0.55, 0.28), (0, 0.42), (0.55, 0.28), (1, 0), (1, 1)),
    "blunt": ((-1, 1), (-1, 0.1), (1, 0.1), (1, 1)),
    "slanted": ((-1, 1), (-1, 0.55), (1, -0.1), (1, 1)),
    "slim": ((-1, 1), (-0.75, 0.45), (0, -0.45), (0.75, 0.45), (1, 1)),
    "jet": ((-1, 1), (-0.8, 0.5), (-0.3, -0.2), (0.3, -0.2), (0.8, 0.5), (1, 1)),
    "plug": ((-1, 1), (-0.6, 0.3), (-0.5, -0.5), (0.5, -0.5), (0.6, 0.3), (1, 1)),
    None: ((-1, 1), (-0.9, 0.4), (-0.5, 0.1), (0.5, 0.1), (0.9, 0.4), (1, 1)),
}
SKIRT: Final[Points] = (
    (-1, 0), (-1.15, 0.45), (-1.35, 1), (-0.7, 0.93), (-0.2, 1),
    (0.3, 0.93), (0.8, 1), (1.35, 0.96), (1.15, 0.45), (1, 0),
)  # fmt: skip


def draw_lure(
    axes: Axes, across: float, back: float, long: float, colours: Sequence[str], head: str | None
) -> None:
    """Draw a lure with its front at a point of the axes; `long` is its length in their units."""
    half, head_long = WIDE * long / 2, HEAD_LONG * long
    stripes = tuple(colours) or ("white",)
    skirt_long = long - head_long
    _fill(axes, _placed(SKIRT, across, back + head_long, half, skirt_long), stripes[0], 3)
    for number, colour in enumerate(stripes[1:], 1):
        # the inner colours show as the rear parts of the skirt
        share = number / len(stripes)
        cut = _rear_part(share)
        _fill(axes, _placed(cut, across, back + head_long, half, skirt_long), colour, 3 + number)
    shape = Polygon(
        _placed(HEADS[head], across, back, half, head_long), closed=True,
        facecolor="#dfe7ec", edgecolor=INK, linewidth=OUTLINE_PT, zorder=9,
    )  # fmt: skip
    axes.add_patch(shape)


def _rear_part(share: float) -> Points:
    """Return the skirt from this share of its length to its end."""
    wide = 1 + 0.35 * share
    return ((-wide, share), *((x, y) for x, y in SKIRT if y > share), (wide, share))


def _placed(
    points: Points, across: float, back: float, half: float, long: float
) -> list[tuple[float, float]]:
    return [(across + x * half, back + y * long) for x, y in points]


def _fill(axes: Axes, points: list[tuple[float, float]], colour: str, order: int) -> None:
    chosen = paint(colour)
    axes.add_patch(
        Polygon(points, closed=True, facecolor=chosen.fill, edgecolor=chosen.line,
                hatch=chosen.pattern or None, linewidth=0, zorder=order)
    )  # fmt: skip
    axes.add_patch(
        Polygon(points, closed=True, fill=False, edgecolor=INK, linewidth=OUTLINE_PT, zorder=order)
    )
