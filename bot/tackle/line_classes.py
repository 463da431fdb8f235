"""The line classes of the international angling rules, and what each may carry.

The kilogram figure governs, the pound figure is its label: fifty pound is the 24 kg class and no
conversion. Source of the table: line classes of the International Game Fish Association as printed in
its International Angling Rules (2021). What a class carries is common practice, see `largest_lure_in`.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Final, Literal, get_args

Gauge = Literal["light", "medium", "heavy"]
GAUGES: Final[tuple[Gauge, ...]] = get_args(Gauge)


@dataclass(frozen=True, slots=True)
class LineClass:
    """One class of the table."""

    kg: float
    lb_label: int
    comfortable_in: float
    """Largest lure that any crew can pull on it at 8 knots with the usual drag (practice)."""
    practised_in: float
    """Largest lure that a practised crew pulls on it with care (practice)."""


LINE_CLASSES: Final = (
    LineClass(1, 2, 3, 4),
    LineClass(2, 4, 4, 5),
    LineClass(3, 6, 4, 5),
    LineClass(4, 8, 5, 6),
    LineClass(6, 12, 5, 7),
    LineClass(8, 16, 6, 10),
    LineClass(10, 20, 7, 10),
    LineClass(15, 30, 9, 14),
    LineClass(24, 50, 12, 16),
    LineClass(37, 80, 16, 40),
    LineClass(60, 130, 40, 40),
)

MOST_KG: Final = 100.0
"""Who says more means another unit."""
CLASS_OF_WORD: Final[Mapping[str, float]] = {"light": 15, "medium": 24, "heavy": 37}
"""The class that is meant where the crew says only light, medium or heavy tackle (common practice)."""


def class_of(kg: float) -> LineClass:
    """Return the class in which a line of this strength fishes: the least class not below it."""
    return next((c for c in LINE_CLASSES if kg <= c.kg), LINE_CLASSES[-1])


def class_of_label(lb: float) -> LineClass | None:
    """Return the class that carries this pound label, or None; a look-up, no conversion."""
    return next((c for c in LINE_CLASSES if c.lb_label == lb), None)


def tackle_word(kg: float) -> Gauge:
    """Return whether a line class is light (to 15 kg), medium (24 kg) or heavy tackle (common practice)."""
    if kg <= CLASS_OF_WORD["light"]:
        return "light"
    return "medium" if kg <= CLASS_OF_WORD["medium"] else "heavy"


def default_gauge(kg: float) -> Gauge:
    """Return the hook gauge that a line class takes: fine wire on light classes (common practice)."""
    return tackle_word(kg)


def tackle_class_kg(tackle: str | float, rigged: Iterable[float] = ()) -> float:
    """Return the class in kg for `light`, `medium`, `heavy` or a number; raises ValueError for others.

    `rigged` are the classes of the boat's own rods: heavy is the heaviest of them, light the lightest, medium
    the nearest to what is medium elsewhere.
    """
    if isinstance(tackle, str):
        if tackle not in CLASS_OF_WORD:
            raise ValueError(
                f"tackle is light, medium, heavy or a line class in kg, not {tackle!r}"
            )
        own = sorted({class_of(kg).kg for kg in rigged})
        if not own:
            return CLASS_OF_WORD[tackle]
        if tackle == "medium":
            return min(own, key=lambda kg: abs(kg - CLASS_OF_WORD["medium"]))
        return own[-1] if tackle == "heavy" else own[0]
    if not 0 < tackle <= MOST_KG:
        raise ValueError(
            f"a line class is between 1 and {LINE_CLASSES[-1].kg:g} kg, not {tackle:g}"
        )
    return class_of(tackle).kg
