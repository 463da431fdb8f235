"""What hangs in the tackle box and stands in the rod holders: lures, outfits, the boat.

Frozen values that are valid once they exist (a wrong number raises ValueError). No files, no rules:
what goes with what is in `checks`, the table of line classes in `line_classes`. Everybody may use these.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import isfinite, pi
from typing import Final, Literal, get_args

from bot.tackle.crew_units import METRIC, CrewUnits
from bot.tackle.line_classes import Gauge, default_gauge

Head = Literal["blunt", "cupped", "slanted", "slim", "jet", "plug"]
HEADS: Final[tuple[Head, ...]] = get_args(Head)
COLOURS: Final = (
    "black", "blue", "brown", "chartreuse", "clear", "glow", "gold", "green", "grey",
    "orange", "pink", "purple", "rainbow", "red", "silver", "white", "yellow",
)  # fmt: skip
STANDARD_POSITIONS: Final = (
    "short corner",
    "long corner",
    "short rigger",
    "long rigger",
    "shotgun",
)

USUAL_KN: Final = 8.0
"""The speed reckoned with where none is known (most often 7 to 9, common practice)."""
TROLLING_KN: Final = (3.0, 12.0)
"""Speeds at which lures are towed; others are a run or a drift (estimate)."""
STRIKE_SHARE: Final = 0.30
"""Strike drag as a share of the line class; magazines advise 25 % to a third."""
PACKING: Final = 0.70
"""Share of a spool's room that is line (working value, estimate; geometry allows 0.785 to 0.907)."""

LIMITS: Final[Mapping[str, tuple[float, float]]] = {
    "size_in": (1, 40), "hooks": (0, 6), "leader_kg": (1, 1000), "leader_m": (0.1, 30),
    "speed_min_kn": (0.5, 30), "speed_max_kn": (0.5, 30), "speed_kn": (0.5, 30), "line_class_kg": (0.5, 200),
    "strike_drag_kg": (0.1, 100), "line_m": (10, 5000), "double_m": (0, 50),
}  # fmt: skip
"""Least and greatest value that can be meant; outside is a slip of the pen or another unit."""


@dataclass(frozen=True, slots=True)
class Lure:
    """One lure as it is rigged; two that look the same have two names."""

    name: str
    size_in: float
    """Length in inches."""
    colours: tuple[str, ...]
    head: Head | None = None
    hook_gauge: Gauge | None = None
    hooks: int | None = None
    leader_kg: float | None = None
    """Breaking strain of the leader."""
    leader_m: float | None = None
    """Length of the leader, lure and hooks included, to the bend of the last hook."""
    ready: bool = False
    """Made ready to fish, and not in the water since."""
    speed_min_kn: float | None = None
    speed_max_kn: float | None = None

    def __post_init__(self) -> None:
        if not self.name.strip():
            raise ValueError("a lure needs a name")
        if not self.colours:
            raise ValueError(f"{self.name}: a lure needs at least one colour")
        for field in ("size_in", "hooks", "leader_kg", "leader_m", "speed_min_kn", "speed_max_kn"):
            check_number(field, getattr(self, field))
        low, high = self.speed_range_kn
        if low > high:
            raise ValueError(f"{self.name}: speed_min_kn {low:g} is above speed_max_kn {high:g}")

    @property
    def speed_range_kn(self) -> tuple[float, float]:
        """Return the speeds at which it runs well; open ends where nothing is known."""
        low = 0.0 if self.speed_min_kn is None else self.speed_min_kn
        high = float("inf") if self.speed_max_kn is None else self.speed_max_kn
        return low, high

    @property
    def looks(self) -> str:
        """Describe it in the words of the deck, e.g. `purple black 10-inch`."""
        return f"{' '.join(self.colours)} {self.size_in:g}-inch"


@dataclass(frozen=True, slots=True)
class Spool:
    """The spool of a reel, measured inside its flanges."""

    full_radius_mm: float
    arbor_radius_mm: float
    width_mm: float
    line_mm: float
    """Diameter of the line."""
    packing: float = PACKING

    def __post_init__(self) -> None:
        sizes = (self.full_radius_mm, self.arbor_radius_mm, self.width_mm, self.line_mm)
        if not all(isfinite(size) and size > 0 for size in sizes):
            raise ValueError("a spool is measured in millimetres above nought")
        if self.arbor_radius_mm >= self.full_radius_mm:
            raise ValueError("the arbor of a spool is smaller than the full spool")
        if not 0 < self.packing <= pi / (2 * 3**0.5):
            raise ValueError("packing is a share above 0 and at most 0.907 (hexagonal)")


@dataclass(frozen=True, slots=True)
class Outfit:
    """A rod with its reel and line, and the position it fishes."""

    position: str
    line_class_kg: float
    strike_drag_kg: float | None = None
    """As set with a scale; None: 30 % of the line class, see `drag_kg`."""
    line_m: float | None = None
    """Line on the reel."""
    hook_gauge: Gauge | None = None
    """What this outfit takes; None: by line class, see `gauge`."""
    spool: Spool | None = None
    double_m: float | None = None
    """Length of the double line."""
    units: CrewUnits = METRIC
    """In which words about it are written."""

    def __post_init__(self) -> None:
        for field in ("line_class_kg", "strike_drag_kg", "line_m", "double_m"):
            check_number(field, getattr(self, field))
        if self.drag_kg >= self.line_class_kg:
            raise ValueError(
                f"{self.position}: strike_drag_kg {self.drag_kg:g} is not below the line class "
                f"of {self.line_class_kg:g} kg"
            )

    @property
    def drag_kg(self) -> float:
        """Return the strike drag in kgf: as set, or 30 % of the line class."""
        return (
            STRIKE_SHARE * self.line_class_kg
            if self.strike_drag_kg is None
            else self.strike_drag_kg
        )

    @property
    def gauge(self) -> Gauge:
        """Return the hook gauge that the outfit takes: as set, or by line class."""
        return self.hook_gauge or default_gauge(self.line_class_kg)


@dataclass(frozen=True, slots=True)
class Boat:
    """The boat as its settings describe it."""

    timezone: str = "UTC"
    positions: tuple[str, ...] = STANDARD_POSITIONS
    """Nearest to the boat first."""
    outfits: tuple[Outfit, ...] = ()
    colours: tuple[str, ...] = ()
    """Colour words of the boat's own, besides the usual."""
    usual_kn: float = USUAL_KN
    """The speed at which it tows lures where none is known."""
    name: str = ""
    """Stands on pictures; empty where the settings give none."""
    units: CrewUnits | None = None
    """The units of its crew; None where nothing tells them."""

    def __post_init__(self) -> None:
        if not self.positions:
            raise ValueError("a boat needs at least one position")
        if len(set(self.positions)) != len(self.positions):
            raise ValueError("a position is named twice")
        rigged = [outfit.position for outfit in self.outfits]
        if stray := sorted(set(rigged) - set(self.positions)):
            raise ValueError(f"outfit for {stray[0]!r}, which is no position of the boat")
        if len(set(rigged)) != len(rigged):
            raise ValueError("a position has two outfits")
        check_number("speed_kn", self.usual_kn)

    @property
    def crew_units(self) -> CrewUnits:
        """Return the units of its crew, metric where nothing tells them."""
        return self.units or METRIC

    def in_units(self, units: CrewUnits) -> "Boat":
        """Return the boat with the units of its crew, its outfits too."""
        outfits = tuple(replace(one, units=units) for one in self.outfits)
        return replace(self, outfits=outfits, units=units)

    def outfit(self, position: str) -> Outfit | None:
        """Return the outfit of a position, or None where it has none."""
        return next((o for o in self.outfits if o.position == position), None)


def check_number(field: str, value: float | None) -> None:
    """Raise ValueError where a number is not finite or cannot be meant (see `LIMITS`)."""
    if value is None:
        return
    low, high = LIMITS[field]
    if not isfinite(value) or not low <= value <= high:
        raise ValueError(f"{field} {value:g} is not between {low:g} and {high:g}")
