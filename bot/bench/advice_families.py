"""Seas made up in families that are unlike each other and unlike the model, for measuring advice.

A `Season` is one boat on one sea for some weeks; who wants other seas writes a module with functions of a
seed that give objects of this form (`bench advice --families FILE`). All rates are per lure-hour. What
bites is drawn by `advice_fish`; a season is told of it, so that packs may follow. Every coast and taste
here is invented.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final, Protocol

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]

POSITIONS: Final = ("short corner", "long corner", "short rigger", "long rigger", "shotgun")
FAR: Final = np.array([-1.4, -0.7, 0.0, 0.7, 1.4])
"""How far back and how clear the water is, by position."""
HEADS: Final = ("blunt", "cupped", "slanted", "slim", "jet", "bullet")
COLOURS: Final = (
    "black",
    "blue",
    "green",
    "orange",
    "pink",
    "purple",
    "red",
    "silver",
    "white",
    "yellow",
)
TONE: Final[Mapping[str, float]] = {
    "black": -1, "purple": -1, "blue": -0.5, "green": -0.3, "red": -0.3, "pink": 0.5, "orange": 0.4,
    "silver": 0.8, "white": 1, "yellow": 0.8,
}  # fmt: skip
DAY_H: Final = 8.0


class Lure(Protocol):
    """One lure of the box."""

    @property
    def name(self) -> str:
        """Return its name."""

    @property
    def size_in(self) -> float:
        """Return its length in inches."""

    @property
    def colours(self) -> tuple[str, ...]:
        """Return its colours, the leading one first."""

    @property
    def head(self) -> str:
        """Return its kind of head."""


class Bait(Protocol):
    """Bait that was seen, as told to the crew."""

    @property
    def at_h(self) -> float:
        """Return when it was seen, in hours since the morning."""

    @property
    def length_cm(self) -> float | None:
        """Return its length, where that was said."""


class Season(Protocol):
    """One season of a boat on one sea."""

    @property
    def lures(self) -> Sequence[Lure]:
        """Return the lures of the box."""

    @property
    def start(self) -> Sequence[int]:
        """Return the spread of every morning, by position."""

    def begin_day(self, day: int) -> None:
        """Draw what is special to this day."""

    def rates(self, at_h: float) -> Array:
        """Return strikes per lure-hour, 5 positions by all lures, now."""

    def raises(self, at_h: float) -> Array:
        """Return raises without a strike per lure-hour, likewise."""

    def bait(self) -> Sequence[Bait]:
        """Return what the crew finds out about bait this day."""

    def saw(self, at_h: float, line: int, lure: int, strike: bool) -> None:
        """Take note of a strike or a raise."""


@dataclass(frozen=True, slots=True)
class BoxLure:
    """One lure of the box."""

    name: str
    size_in: float
    colours: tuple[str, ...]
    head: str

    @property
    def tone(self) -> float:
        """Return dark (-1) to light (1)."""
        return float(np.mean([TONE[one] for one in self.colours]))


@dataclass(frozen=True, slots=True)
class SeenBait:
    """Bait that was seen."""

    at_h: float
    species: str
    length_cm: float | None


Taste = Callable[["Sea", float], Array]
"""Log rates of a sea at a time of the day: 5 positions by all lures, up to a constant."""


@dataclass
class Sea:
    """A season whose day is described by functions; what it draws comes from its seed."""

    family: str
    rng: np.random.Generator
    lures: tuple[BoxLure, ...]
    start: tuple[int, ...]
    taste: Taste
    level: float
    raise_ratio: float
    raise_taste: Taste
    pack: float = 1.0
    """How many times the rate is for ten minutes after a bite on the same line or one beside it."""
    new_day: Callable[["Sea", int], None] = lambda _sea, _day: None
    day: dict[str, float] = field(default_factory=dict)
    kept: dict[str, Array] = field(default_factory=dict)
    bites: list[tuple[float, int]] = field(default_factory=list)
    seen: tuple[SeenBait, ...] = ()

    def begin_day(self, day: int) -> None:
        """Draw what is special to this day."""
        self.bites, self.seen = [], ()
        self.day["phase"] = float(self.rng.uniform(0, 2 * np.pi))
        self.day["mood"] = float(0.35 * self.rng.standard_normal())
        self.new_day(self, day)

    def rates(self, at_h: float) -> Array:
        """Return strikes per lure-hour of every lure at every position now."""
        found = np.exp(self.level + self._hour(at_h) + self.taste(self, at_h))
        if self.pack > 1.0:
            near = np.zeros(5)
            for when, line in self.bites:
                if 0.0 <= at_h - when < 1 / 6:
                    near = np.maximum(near, np.exp(-0.7 * np.abs(np.arange(5) - line)))
            found = found * (1.0 + (self.pack - 1.0) * near)[:, None]
        return np.asarray(found)

    def raises(self, at_h: float) -> Array:
        """Return raises without a strike per lure-hour likewise."""
        log = self.level + self._hour(at_h) + self.raise_taste(self, at_h)
        return np.asarray(self.raise_ratio * np.exp(log))

    def bait(self) -> tuple[SeenBait, ...]:
        """Return what the crew finds out about bait this day."""
        return self.seen

    def saw(self, at_h: float, line: int, lure: int, strike: bool) -> None:
        """Take note of a strike or a raise."""
        del lure
        if strike:
            self.bites.append((at_h, line))

    def _hour(self, at_h: float) -> float:
        return self.day["mood"] + 0.35 * float(np.cos(2 * np.pi * at_h / DAY_H + self.day["phase"]))


def box(rng: np.random.Generator, many: int) -> tuple[BoxLure, ...]:
    """Draw a box: more middling sizes than extreme ones, one or two colours, some twins."""
    found: list[BoxLure] = []
    for number in range(many):
        size = float(np.clip(round(2 * rng.normal(9.0, 2.2)) / 2, 6, 14))
        colours = tuple(
            rng.choice(COLOURS, size=1 + int(rng.random() < 0.5), replace=False).tolist()
        )
        head = HEADS[int(rng.integers(len(HEADS)))]
        if found and rng.random() < 0.2:
            like = found[int(rng.integers(len(found)))]
            size, colours, head = like.size_in, like.colours, like.head
        found.append(BoxLure(f"lure {number + 1}", size, colours, head))
    return tuple(found)


def variety(lures: Sequence[BoxLure]) -> tuple[int, ...]:
    """Return a sensible first spread: five leading colours and sizes, the largest nearest."""
    chosen: list[int] = []
    for number, lure in enumerate(lures):
        fresh = all(
            lure.colours[0] != lures[one].colours[0] and lure.size_in != lures[one].size_in
            for one in chosen
        )
        if fresh and len(chosen) < 5:
            chosen.append(number)
    chosen += [number for number in range(len(lures)) if number not in chosen]
    return tuple(sorted(chosen[:5], key=lambda number: -lures[number].size_in))


def _made(
    family: str, seed: int, taste: Taste, raise_taste: Taste, ratio: float, **more: object
) -> Sea:
    rng = np.random.default_rng([seed, sum(map(ord, family))])
    lures = box(rng, int(rng.integers(22, 38)))
    sea = Sea(family, rng, lures, variety(lures), taste, np.log(0.22), ratio, raise_taste, **more)  # type: ignore[arg-type]
    many = len(lures)
    sea.kept = {
        "size": np.array([lure.size_in for lure in lures]),
        "tone": np.array([lure.tone for lure in lures]),
        "own": rng.standard_normal(many), "other": rng.standard_normal(many),
        "colour": np.array([float(np.mean(c)) for c in _colour_draws(rng, lures)]),
        "far head": np.array([{"jet": 1.0, "bullet": 0.8, "slim": 0.5, "cupped": -1.0, "blunt": -0.7}.get(
            lure.head, 0.0) for lure in lures]),
        "line": 0.3 * rng.standard_normal(5),
    }  # fmt: skip
    return sea


def _colour_draws(rng: np.random.Generator, lures: Sequence[BoxLure]) -> list[list[float]]:
    taste = dict(zip(COLOURS, rng.standard_normal(len(COLOURS)), strict=True))
    return [[taste[one] for one in lure.colours] for lure in lures]


def bait_and_light(seed: int) -> Sea:
    """Return a sea of tunas: what is as long as their bait, dark early and late, light at noon; packs."""

    def taste(sea: Sea, at_h: float) -> Array:
        off = (sea.kept["size"] - sea.day["bait in"]) / 2.0
        light = np.cos(2 * np.pi * (at_h - 4.0) / 10.0)
        of_lure = (
            1.1 * np.exp(-0.5 * off**2) + 0.5 * sea.kept["tone"] * light + 0.25 * sea.kept["own"]
        )
        return np.asarray(sea.kept["line"][:, None] + of_lure[None, :])

    def new_day(sea: Sea, day: int) -> None:
        if day == 0:
            sea.day["bait in"] = float(sea.rng.uniform(6, 12))
        else:
            sea.day["bait in"] = float(
                np.clip(sea.day["bait in"] + 0.8 * sea.rng.standard_normal(), 5, 14)
            )
        if sea.rng.random() < 0.4:
            length = 2.54 * sea.day["bait in"] * float(np.exp(0.15 * sea.rng.standard_normal()))
            sea.seen = (SeenBait(float(sea.rng.uniform(0.5, 5)), "squid", round(length)),)

    sea = _made("bait and light", seed, taste, taste, 1.5, pack=2.5, new_day=new_day)
    sea.level -= 0.7
    return sea


def good_lures(seed: int) -> Sea:
    """Return a sea of marlin: single lures, jets far and cupped heads near; raises follow colour alone."""

    def taste(sea: Sea, at_h: float) -> Array:
        own = sea.kept["own"] if at_h < sea.day["turn"] else sea.kept["other"]
        of_lure = 0.7 * own * sea.day["matters"]
        return np.asarray(
            sea.kept["line"][:, None]
            + of_lure[None, :]
            + 0.45 * np.outer(FAR, sea.kept["far head"])
        )

    def raised(sea: Sea, at_h: float) -> Array:
        del at_h
        return np.asarray(sea.kept["line"][:, None] + 0.7 * sea.kept["colour"][None, :])

    def new_day(sea: Sea, day: int) -> None:
        del day
        sea.day["turn"] = float(sea.rng.uniform(2, 6)) if sea.rng.random() < 0.25 else DAY_H
        sea.day["matters"] = float(sea.rng.random() < 0.8)

    return _made("good lures", seed, taste, raised, 3.0, new_day=new_day)


def pairs_that_drift(seed: int) -> Sea:
    """Return a sea of wahoo: a colour at a size, another a week later; the bite is on for an hour."""

    def taste(sea: Sea, at_h: float) -> Array:
        hot = 1.3 * float(0.0 <= at_h - sea.day["on"] < 1.0) - 0.2
        size, colour = sea.kept["size"], sea.kept["colour"]
        of_lure = (
            0.45 * (size - sea.day["like in"]) * colour / 2.0
            + 0.45 * colour
            + 0.3 * sea.kept["own"]
        )
        return np.asarray(hot + sea.kept["line"][:, None] + np.clip(of_lure, -1.6, 1.6)[None, :])

    def new_day(sea: Sea, day: int) -> None:
        before = sea.day.get("like in", float(sea.rng.uniform(7, 11)))
        sea.day["like in"] = before + 0.5 * float(sea.rng.standard_normal())
        fresh = np.array([np.mean(c) for c in _colour_draws(sea.rng, sea.lures)])
        sea.kept["colour"] = 0.93 * sea.kept["colour"] + 0.37 * fresh if day else sea.kept["colour"]
        sea.day["on"] = float(sea.rng.uniform(0, 7))

    return _made("pairs that drift", seed, taste, taste, 2.5, pack=2.5, new_day=new_day)


def flat(seed: int) -> Sea:
    """Return a sea that does not care for lures: packs, hours and positions only."""

    def taste(sea: Sea, at_h: float) -> Array:
        del at_h
        return np.asarray(np.repeat(sea.kept["line"][:, None] + 0.25, len(sea.lures), axis=1))

    return _made("flat", seed, taste, taste, 2.0, pack=3.0)


def bait_that_tells(seed: int) -> Sea:
    """Return the sea of `bait_and_light` where bait is seen every day."""
    sea = bait_and_light(seed)
    draw = sea.new_day

    def new_day(sea: Sea, day: int) -> None:
        draw(sea, day)
        length = 2.54 * sea.day["bait in"] * float(np.exp(0.15 * sea.rng.standard_normal()))
        sea.seen = (SeenBait(float(sea.rng.uniform(0.5, 3)), "squid", round(length)),)

    sea.new_day = new_day
    return sea


FAMILIES: Final[Mapping[str, Callable[[int], Season]]] = {
    "bait and light": bait_and_light, "good lures": good_lures, "pairs that drift": pairs_that_drift,
    "flat": flat,
}  # fmt: skip
"""Those of our own; the last one is flat."""
