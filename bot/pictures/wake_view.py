"""The waves behind the boat, from above: Kelvin's crests, numbered where they cross the middle line."""

from collections.abc import Sequence
from math import ceil, cos, pi, radians, sin
from typing import Final

from matplotlib.axes import Axes

from bot.pictures.canvas import CREST, FAINT, HEIGHT_IN, PAPER, SMALL_PT
from bot.water.wake import WaveCount, crest_m, wave_length_m, wedge_half_width_m

CUSP: Final = radians(35.264)
"""Where the waves across the wake meet those along its edge."""
EDGE_SHOWN: Final = 0.5
"""Share of the waves along the edge that is drawn; nearer to the boat they run into one another."""
NUMBER_IN: Final = 0.11
"""Radius of the number of a wave."""


def draw_waves(
    axes: Axes, view_m: float, speed_kn: float, count: WaveCount | None
) -> Sequence[tuple[int, float]]:
    """Draw the waves as far as is seen; return those that are to be numbered, with their distances."""
    edge_m = wedge_half_width_m(view_m)
    axes.plot([0, -edge_m], [0, view_m], color=FAINT, linewidth=1.2, zorder=1)
    axes.plot([0, edge_m], [0, view_m], color=FAINT, linewidth=1.2, zorder=1)
    number_m = NUMBER_IN * (view_m + 13.0) / (HEIGHT_IN - 1.4)
    each = ceil(3.2 * number_m / wave_length_m(speed_kn))
    numbered = []
    wave = 1
    while (crest := crest_m(wave, speed_kn, count)) < view_m + 5:
        if crest > 1:
            _crest(axes, crest)
            if wave % each == 0 and crest + number_m < view_m:
                numbered.append((wave, crest))
        wave += 1
    return numbered


def _crest(axes: Axes, crest: float) -> None:
    across = [CUSP * step / 24 for step in range(-24, 25)]
    axes.plot(*crest_line(crest, across), color=CREST, linewidth=1.6, zorder=1)
    for side in (-1, 1):
        along = [side * (CUSP + EDGE_SHOWN * (pi / 2 - CUSP) * step / 24) for step in range(25)]
        axes.plot(*crest_line(crest, along), color=FAINT, linewidth=0.9, zorder=1)


def crest_line(crest_m: float, angles: Sequence[float]) -> tuple[list[float], list[float]]:
    """Return a crest of Kelvin's pattern that crosses the middle line so far back."""
    across = [crest_m * (sin(a) + sin(3 * a)) / 4 for a in angles]
    back = [crest_m * (5 * cos(a) - cos(3 * a)) / 4 for a in angles]
    return across, back


def write_number(axes: Axes, wave: int, back_m: float) -> None:
    """Write the number of a wave on its crest."""
    axes.text(
        0, back_m, str(wave), size=SMALL_PT, color=PAPER, weight="bold", ha="center", va="center",
        zorder=3, bbox={"boxstyle": "circle,pad=0.22", "facecolor": CREST, "edgecolor": "none"},
    )  # fmt: skip
