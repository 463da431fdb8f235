"""Which numbers describe a lure at a position: the columns of the model, and how alike lures are at first.

A strike rate is exp(level + today + position + lure + what the lure's size and head are worth farther back +
its tone by the light + spell). Lures are alike as far as their size, colours, tone and head are, and have
something of their own besides; raises have a level, positions and lures of their own. Spells (an hour of a
day) are no columns: `model` takes them out. Values and arrays only; knows nothing of strikes.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property, lru_cache
from typing import Final

import numpy as np
import numpy.typing as npt

from bot.advice.data import Exposure, Kind

Array = npt.NDArray[np.float64]
Codes = npt.NDArray[np.intp]

SIZE_REACH_IN: Final = 3.0
"""Sizes so far apart still tell much about each other; larger makes the size curve smoother."""
SIZE_NEAR_IN: Final = 1.0
"""So far apart, what is particular to a size."""
SMOOTH: Final = 0.7
"""Share of the size curve that is smooth; the rest is particular to a size."""
PAIR_REACH_IN: Final = 1.5
"""A colour that is good at one size is so at sizes so far away."""
HOUR_REACH: Final = 2.0
"""Hours so far apart still tell much about each other."""
LEAD: Final = 0.65
"""What the leading colour of a lure counts for; the others share the rest."""
NOON_H: Final = 12.5
LIGHT_H: Final = 4.5
"""Half of the time between low and low sun for the tone by the light."""

TONES: Final[Mapping[str, float]] = {
    "black": -1.0, "purple": -1.0, "brown": -0.8, "blue": -0.4, "green": -0.2, "grey": 0.0, "red": -0.3,
    "orange": 0.4, "pink": 0.5, "gold": 0.5, "chartreuse": 0.8, "silver": 0.8, "yellow": 0.8, "clear": 0.6,
    "glow": 1.0, "white": 1.0,
}  # fmt: skip
"""Dark (-1) to light (1), common practice, no source; a colour of the boat's own counts as between."""
BACK: Final[Mapping[str, float]] = {
    "short corner": -1.4, "long corner": -0.7, "short rigger": 0.0, "long rigger": 0.7, "shotgun": 1.4,
}  # fmt: skip
"""How far back a position is, centred; a position of the boat's own counts as in the middle."""


_TERMS: Final[Mapping[str, tuple[str, ...]]] = {
    "size": ("size",), "colour": ("colour", "tone"), "head": ("head",), "lure": ("lure", "pair"),
}  # fmt: skip
"""What lures differ in, in words of the deck, by the parts that make them alike."""


@dataclass(frozen=True, slots=True)
class Scales:
    """How far the log rates may lie apart before any record: standard deviations (our estimates)."""

    level: float = 0.8
    today: float = 0.4
    """A day against the usual day."""
    position: float = 0.35
    size: float = 0.6
    colour: float = 0.55
    tone: float = 0.3
    head: float = 0.35
    pair: float = 0.25
    """A size in a colour, besides both."""
    lure: float = 0.25
    """A lure against others of its size, colour and head."""
    back: float = 0.25
    """Size (per 3 in) and head by how far back the position is."""
    light: float = 0.25
    """Tone by the light of the day."""
    raised: float = 0.5
    """What makes a lure raise fish besides what makes them bite."""

    def times(self, contrast: float) -> "Scales":
        """Return them with all that is of the lure scaled."""
        return replace(
            self,
            size=self.size * contrast,
            colour=self.colour * contrast,
            tone=self.tone * contrast,
            head=self.head * contrast,
            pair=self.pair * contrast,
            lure=self.lure * contrast,
            back=self.back * contrast,
            light=self.light * contrast,
        )


@dataclass(frozen=True)
class Layout:
    """The levels that a record may hold, in a fixed order; equal layouts have equal columns."""

    positions: tuple[str, ...]
    kinds: tuple[Kind, ...]
    raises: bool = False
    """Whether the record has raises: they need columns of their own."""
    heads: tuple[str, ...] = field(init=False)

    def __post_init__(self) -> None:
        heads = {kind.head for kind in self.kinds if kind.head is not None}
        object.__setattr__(self, "heads", tuple(sorted(heads)))

    @cached_property
    def starts(self) -> tuple[int, ...]:
        """Return the first column of each part: position, lure, back, light; then those of raises."""
        places, kinds, more = len(self.positions), len(self.kinds), int(self.raises)
        sizes = (2, places, kinds, 1 + len(self.heads), 1, more, more * places, more * kinds)
        return tuple(int(end) for end in np.cumsum(sizes))

    @property
    def width(self) -> int:
        """Count the columns."""
        return self.starts[-1]

    def kind_rows(self, kinds: Sequence[Kind] | None = None) -> Array:
        """Return the columns of the lure itself for each kind, at a middling position and light."""
        wanted = self.kinds if kinds is None else kinds
        rows = np.zeros((len(wanted), self.width))
        rows[np.arange(len(wanted)), [self.starts[1] + self._number[one] for one in wanted]] = 1.0
        return rows

    def laid_rows(self, kinds: Sequence[Kind], position: str, hour: int) -> Array:
        """Return the columns of each kind at a position and an hour, without those of the position itself."""
        rows = self.kind_rows(kinds)
        number = [self._number[one] for one in kinds]
        _, _, back, light, after, *_ = self.starts
        rows[:, back:light] = BACK.get(position, 0.0) * self._back[number]
        rows[:, light:after] = (light_at(hour) * self._tones[number])[:, None]
        return rows

    @cached_property
    def _number(self) -> Mapping[Kind, int]:
        return {kind: number for number, kind in enumerate(self.kinds)}

    @cached_property
    def _sizes(self) -> Array:
        known = [kind.size_in for kind in self.kinds if kind.size_in is not None]
        middle = float(np.mean(known)) if known else 9.0
        return np.array([middle if one.size_in is None else one.size_in for one in self.kinds])

    @cached_property
    def _tones(self) -> Array:
        return np.array([
            float(np.mean([TONES.get(c, 0.0) for c in one.colours])) if one.colours else 0.0
            for one in self.kinds
        ])  # fmt: skip

    @cached_property
    def _back(self) -> Array:
        heads = np.array([[float(one.head == head) for head in self.heads] for one in self.kinds])
        size = (self._sizes - 9.0)[:, None] / 3.0
        return np.hstack([size, heads.reshape(len(self.kinds), len(self.heads))])

    @cached_property
    def parts(self) -> Mapping[str, Array]:
        """Return how alike the lures are in each thing that makes a lure, 1 for the same."""
        known = np.array([one.size_in is not None for one in self.kinds], float)
        both = np.outer(known, known)
        apart = np.subtract.outer(self._sizes, self._sizes)
        smooth, near = (np.exp(-0.5 * (apart / one) ** 2) for one in (SIZE_REACH_IN, SIZE_NEAR_IN))
        shares = self._shares
        colour = shares @ shares.T
        heads = self._back[:, 1:]
        return {
            "size": both * (SMOOTH * smooth + (1.0 - SMOOTH) * near),
            "colour": colour,
            "tone": np.outer(self._tones, self._tones),
            "head": heads @ heads.T,
            "pair": both * np.exp(-0.5 * (apart / PAIR_REACH_IN) ** 2) * colour,
            "lure": np.eye(len(self.kinds)),
        }

    @cached_property
    def _shares(self) -> Array:
        """Return what every colour counts for in every lure; the squares add up to 1 where there is one."""
        colours = sorted({c for kind in self.kinds for c in kind.colours})
        found = np.zeros((len(self.kinds), len(colours)))
        for row, kind in zip(found, self.kinds, strict=True):
            for place, colour in enumerate(kind.colours):
                many = len(kind.colours)
                share = 1.0 if many == 1 else LEAD if place == 0 else (1.0 - LEAD) / (many - 1)
                row[colours.index(colour)] = share
        return found

    def alikeness(self, scales: Scales) -> Array:
        """Return the covariance of the lures before any record."""
        parts = self.parts
        sizes = {name: getattr(scales, name) ** 2 for name in parts}
        found: Array = np.sum([sizes[name] * part for name, part in parts.items()], axis=0)
        return found

    def term_rows(self, kinds: Sequence[Kind], term: str) -> Array:
        """Return the columns that give one term of each kind: `size`, `colour`, `head` or `lure`.

        Of the lure as a whole the part of a term is what its likeness explains (conditional mean).
        """
        rows = np.zeros((len(kinds), self.width))
        number = [self._number[kind] for kind in kinds]
        rows[:, self.starts[1] : self.starts[2]] = self._explained[term][number]
        return rows

    @cached_property
    def _explained(self) -> Mapping[str, Array]:
        usual = Scales()
        whole = self.alikeness(usual) + 1e-6 * np.eye(len(self.kinds))
        found: dict[str, Array] = {}
        for term, names in _TERMS.items():
            own = sum(getattr(usual, one) ** 2 * self.parts[one] for one in names)
            found[term] = np.asarray(np.linalg.solve(whole, own).T)
        return found

    def place_row(self, position: str, *, today: bool) -> Array:
        """Return the columns of a position."""
        row = np.zeros(self.width)
        row[0] = 1.0
        row[1] = float(today)
        row[self.starts[0] + self.positions.index(position)] = 1.0
        return row

    def rows(self, cells: Sequence[Exposure]) -> Array:
        """Return the columns of the strikes of every cell."""
        places, lures, back, light, *_ = self.starts
        number = np.array([self._number[cell.kind] for cell in cells], np.intp)
        where = np.array([self.positions.index(cell.position) for cell in cells], np.intp)
        line = np.arange(len(cells))
        rows = np.zeros((len(cells), self.width))
        rows[:, 0] = 1.0
        rows[:, 1] = [float(cell.age_days == 0) for cell in cells]
        rows[line, places + where] = 1.0
        rows[line, lures + number] = 1.0
        far = np.array([BACK.get(cell.position, 0.0) for cell in cells])
        rows[:, back:light] = far[:, None] * self._back[number]
        sun = np.array([light_at(cell.hour) for cell in cells])
        rows[:, light] = sun * self._tones[number]
        return rows

    def raise_rows(self, rows: Array, tells: float) -> Array:
        """Return the columns of the raises of the same cells; `tells` is how much what raises also bites."""
        places, lures, back, _, level, raise_places, raise_lures, end = self.starts
        found = np.zeros_like(rows)
        found[:, level] = 1.0
        found[:, raise_places:raise_lures] = rows[:, places:lures]
        found[:, raise_lures:end] = rows[:, lures:back]
        found[:, lures:level] = tells * rows[:, lures:level]
        return found

    def start(
        self, scales: Scales, usual_per_h: float = 0.15, raises_per_h: float = 0.15
    ) -> tuple[Array, Array]:
        """Return mean and covariance before any record."""
        places, lures, back, light, level, raise_places, raise_lures, end = self.starts
        mean = np.zeros(self.width)
        mean[0] = np.log(usual_per_h)
        spread = np.zeros((self.width, self.width))
        spread[0, 0], spread[1, 1] = scales.level**2, scales.today**2
        diagonal = [
            (places, lures, scales.position),
            (back, light, scales.back),
            (light, level, scales.light),
        ]
        alike = self.alikeness(scales) + 1e-4 * np.eye(back - lures)
        spread[lures:back, lures:back] = alike
        if self.raises:
            mean[level] = np.log(raises_per_h)
            diagonal += [
                (level, raise_places, scales.level),
                (raise_places, raise_lures, scales.position),
            ]
            whole = self.alikeness(Scales())
            usual = whole * (scales.raised**2 / max(float(np.diag(whole).mean()), 1e-9))
            spread[raise_lures:end, raise_lures:end] = usual + 1e-4 * np.eye(end - raise_lures)
        for first, last, scale in diagonal:
            spread[first:last, first:last] = scale**2 * np.eye(last - first)
        return mean, spread


@dataclass(frozen=True, slots=True)
class Levels:
    """The positions and kinds that occur in some cells, and whether raises do."""

    positions: frozenset[str] = frozenset()
    kinds: frozenset[Kind] = frozenset()
    raises: bool = False

    @classmethod
    def of(cls, cells: Iterable[Exposure]) -> "Levels":
        """Return those of cells."""
        cells = tuple(cells)
        return cls(
            frozenset(cell.position for cell in cells),
            frozenset(cell.kind for cell in cells),
            any(cell.raises for cell in cells),
        )

    def __or__(self, other: "Levels") -> "Levels":
        return Levels(
            self.positions | other.positions, self.kinds | other.kinds, self.raises or other.raises
        )


@lru_cache(maxsize=16)
def layout_of(levels: Levels) -> Layout:
    """Return the layout that has room for these levels; the same object for equal ones."""
    return Layout(
        tuple(sorted(levels.positions)),
        tuple(
            sorted(levels.kinds, key=lambda kind: (kind.label, kind.head or "", kind.name or ""))
        ),
        levels.raises,
    )


def light_at(hour: int) -> float:
    """Return how high the sun is, from -1 early and late to 1 at noon, in the boat's own time."""
    return float(np.clip(1.0 - 2.0 * ((hour + 0.5 - NOON_H) / LIGHT_H) ** 2, -1.0, 1.0))


def alike(levels: Sequence[float], reach: float, around: float | None = None) -> Array:
    """Return correlations that fall with the distance, `around` a circle where one is named."""
    apart = np.abs(np.subtract.outer(np.asarray(levels, float), np.asarray(levels, float)))
    if around is not None:
        apart = np.minimum(apart, around - apart)
    alike = np.exp(-0.5 * (apart / reach) ** 2) + 0.02 * np.eye(len(levels))
    return np.asarray(alike / 1.02, dtype=np.float64)
