"""What makes one spread better than another once no rule is broken and the sizes are spread.

Each goal has a weight that the boat may change; all are common practice without a source. Points are
whole numbers, so that two spreads are either equal or not.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from typing import Final

import numpy as np
import numpy.typing as npt

from bot.spread.weights import Weights
from bot.tackle.box import SIZE_STEP_IN
from bot.tackle.items import Head, Lure

TONES: Final[Mapping[str, int]] = {
    "black": -1, "purple": -1, "brown": -1,
    "blue": 0, "green": 0, "grey": 0, "rainbow": 0, "red": 0,
    "chartreuse": 1, "clear": 1, "glow": 1, "gold": 1, "orange": 1, "pink": 1, "silver": 1,
    "white": 1, "yellow": 1,
}  # fmt: skip
"""Dark, between, light; a colour of the boat's own counts as between."""
HEAD_FIT: Final[Mapping[Head | None, tuple[float, float, float]]] = {
    "cupped": (1.0, 0.5, 0.0), "blunt": (1.0, 0.5, 0.0), "slanted": (0.5, 1.0, 0.5),
    "slim": (0.0, 0.5, 1.0), "jet": (0.0, 0.5, 1.0), "plug": (0.5, 0.5, 0.5), None: (0.5, 0.5, 0.5),
}  # fmt: skip
"""How well a head suits the nearest, the middle and the farthest position: action near, straight far."""
HEAD_KINDS: Final[tuple[Head, ...]] = ("cupped", "blunt", "slanted", "slim", "jet", "plug")
SCALE: Final = 100
_LONGEST_IN: Final = 40


def tone(lure: Lure) -> int:
    """Return -1 for a dark lure, 1 for a light one, 0 for one between or of both."""
    total = sum(TONES.get(colour, 0) for colour in lure.colours)
    return (total > 0) - (total < 0)


def leads(lures: Sequence[Lure]) -> tuple[str, ...]:
    """Return the colour that leads each lure among these: the first said, the outer skirt.

    Two lures of the same colours look alike in the water whichever is said first ("black purple" and
    "purple black"): both lead with the one that more of them lead with, then the first by name.
    """
    said: dict[frozenset[str], Counter[str]] = {}
    for lure in lures:
        said.setdefault(frozenset(lure.colours), Counter())[lure.colours[0]] += 1
    lead = {
        colours: min(counts, key=lambda colour: (-counts[colour], colour))
        for colours, counts in said.items()
    }
    return tuple(lead[frozenset(lure.colours)] for lure in lures)


def head_fit(head: Head | None, share_back: float) -> float:
    """Return how well a head suits a place, 0 to 1; places go from the nearest (0) to the farthest (1)."""
    near, middle, far = HEAD_FIT[head]
    if share_back <= 0.5:
        return near + (middle - near) * share_back * 2
    return middle + (far - middle) * (share_back * 2 - 1)


def likenesses(lures: Sequence[Lure]) -> npt.NDArray[np.int64]:
    """Return 2 for two lures of one size and one leading colour, 1 for one of the two, 0 for neither.

    A lure is 0 to itself.
    """
    sizes = np.array([lure.size_in for lure in lures])
    colours = np.array(leads(lures))
    alike: npt.NDArray[np.int64] = (np.abs(np.subtract.outer(sizes, sizes)) < SIZE_STEP_IN).astype(
        np.int64
    )
    alike += colours[:, None] == colours[None, :]
    np.fill_diagonal(alike, 0)
    return alike


def own_points(
    lures: Sequence[Lure], shares_back: Sequence[float], weights: Weights
) -> npt.NDArray[np.int64]:
    """Return what each lure (row) gives by itself in each slot (column), hooks apart; never below 0."""
    fit = {head: [head_fit(head, share) for share in shares_back] for head in HEAD_FIT}
    worth = weights.heads * np.array([fit[lure.head] for lure in lures])
    worth += weights.spares / 2 * likenesses(lures).max(axis=1, initial=0)[:, None]
    if len(shares_back) > 1:
        sizes = np.array([lure.size_in for lure in lures])
        worth[:, 0] += weights.span * sizes
        worth[:, -1] += weights.span * (_LONGEST_IN - sizes)
    points: npt.NDArray[np.int64] = np.rint(SCALE * worth).astype(np.int64)
    return points
