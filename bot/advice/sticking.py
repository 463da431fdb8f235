"""Why fish do not stick: strikes come tight, fish are landed, less often than on this boat otherwise.

Two steps: strike to hook-up, hook-up to landed. For the day as a whole, and for every lure, kind of hooks,
position, angler and drag: how much better "here it is a share of the boat's own" explains what happened
than "here it is as everywhere" (a Bayes factor). It is looked at again after every strike, and at many
things at once; the bound from which it counts keeps days on which something is called amiss for nothing
under one in twenty, as `bench sticking` shows. Pure: values and small arrays.
"""

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from operator import attrgetter
from typing import Final, Literal

import numpy as np

from bot.advice.layout import Array

Step = Literal["hook-up", "landed"]
STEPS: Final[tuple[Step, ...]] = ("hook-up", "landed")
BOUND: Final = 20.0
"""A factor counts from here on, over how likely it is before; more means fewer alarms."""
USUAL: Final[Mapping[Step, tuple[float, float]]] = {"hook-up": (12.0, 8.0), "landed": (14.0, 6.0)}
"""Of 20 strikes 12 come tight, of 20 fish on 14 are landed, before any record: our estimate."""
RECORD_MOST: Final = 200.0
"""Strikes of a record that count at most: crews and gear change."""
RECENT_DAYS: Final = 7.0
"""Strikes on one lure, line or rod are taken together over so many days."""
GRID: Final = 40


@dataclass(frozen=True, slots=True)
class Bite:
    """One strike, what it came on, and what became of it."""

    hooked: bool
    landed: bool | None = None
    """None where it was never on, or is on still."""
    lure: str | None = None
    hooks: str | None = None
    """The hooks of the lure, e.g. `2 heavy hooks`."""
    position: str | None = None
    angler: str | None = None
    drag: str | None = None
    """The drag of the rod as read last, in words, e.g. `8 kg`."""
    age_days: float = 0.0
    """Days between that trip and now; 0 today."""
    ended: int = 1
    """Fish on of it whose end is known, where any is: 2 of a double."""
    caught: int | None = None
    """How many of these were landed; None where `landed` says it."""

    def outcome(self, step: Step) -> bool | None:
        """Return whether it passed a step; None where it never came to it."""
        return self.hooked if step == "hook-up" else self.landed


Of = Literal["all", "lure", "hooks", "position", "angler", "drag"]
_BY: Final[Mapping[Of, Callable[[Bite], str | None]]] = {
    "all": lambda _bite: "today", "lure": attrgetter("lure"), "hooks": attrgetter("hooks"),
    "position": attrgetter("position"), "angler": attrgetter("angler"), "drag": attrgetter("drag"),
}  # fmt: skip


LIKELY: Final[Mapping[Of, float]] = {
    "all": 1.0, "lure": 0.8, "position": 0.8, "angler": 0.6, "hooks": 0.4, "drag": 0.4,
}  # fmt: skip
"""How likely it is that of all things this is wrong (our estimate)."""


@dataclass(frozen=True, slots=True)
class Amiss:
    """A factor with which fewer fish stick than is usual on this boat, by more than luck."""

    step: Step
    of: Of
    key: str
    passed: int
    tries: int
    own_passed: int
    """Of the boat otherwise: all earlier strikes and those of today on other things."""
    own_tries: int
    factor: float
    """How many times better it is explained by something being wrong; 20 is one chance in twenty of luck."""


def amiss(bites: Sequence[Bite]) -> tuple[Amiss, ...]:
    """Return the factors with which fewer fish stick than luck explains, the surest first."""
    found = sorted(weigh_factors(bites), key=lambda one: -one[1])
    return tuple(one for one, sure in found if sure >= BOUND)


def weigh_factors(bites: Sequence[Bite]) -> list[tuple[Amiss, float]]:
    """Return all that is looked at, each with its factor as far as it counts among so many."""
    found = [one for step in STEPS for one in _looked_at(bites, step)]
    many = Counter((one.step, one.of) for one in found)
    return [(one, one.factor * LIKELY[one.of] / many[one.step, one.of]) for one in found]


def rows(bites: Sequence[Bite], of: Of, step: Step) -> list[tuple[str, int, int]]:
    """Return key, passed and tries of every key of one thing, the poorest first."""
    found: dict[str, list[int]] = {}
    for bite in bites:
        key, outcome = _BY[of](bite), bite.outcome(step)
        if key is not None and outcome is not None:
            row = found.setdefault(key, [0, 0])
            row[0] += outcome
            row[1] += 1
    return sorted(((k, *v) for k, v in found.items()), key=lambda row: (row[1] / row[2], -row[2]))  # type: ignore[misc]


def _looked_at(bites: Sequence[Bite], step: Step) -> Iterable[Amiss]:
    """Yield every group of late strikes that grew today, with the boat otherwise beside it; two at least."""
    tried = [bite for bite in bites if bite.outcome(step) is not None]
    for of, key_of in _BY.items():
        since = 0.0 if of == "all" else RECENT_DAYS
        parts: dict[str, list[Bite]] = {}
        for bite in tried:
            key = key_of(bite) if bite.age_days <= since else None
            if key is not None:
                parts.setdefault(key, []).append(bite)
        for key, mine in sorted(parts.items()):
            if len(mine) < 2 or all(bite.age_days > 0 for bite in mine):
                continue
            held = set(map(id, mine))
            rest = [bite for bite in tried if id(bite) not in held]
            passed, own = (sum(bool(b.outcome(step)) for b in part) for part in (mine, rest))
            factor = worse(passed, len(mine), own, len(rest), USUAL[step])
            yield Amiss(step, of, key, passed, len(mine), own, len(rest), factor)


def worse(
    passed: int, tries: int, own_passed: int, own_tries: int, usual: tuple[float, float]
) -> float:
    """Return how much likelier the outcomes are if they pass less often than the boat's own (Bayes factor).

    The boat's own share has a beta distribution by its record; a group that is amiss passes a share of it
    that is anything from none to all.
    """
    weight = min(1.0, RECORD_MOST / max(own_tries, 1))
    a = usual[0] + weight * own_passed
    b = usual[1] + weight * (own_tries - own_passed)
    share = (np.arange(GRID) + 0.5) / GRID
    logs = (a - 1.0) * np.log(share) + (b - 1.0) * np.log1p(-share)
    own = np.exp(logs - logs.max())
    own /= own.sum()
    as_own = float(own @ _likelihood(share, passed, tries))
    less = np.outer(share, share)
    amiss_ = float(own @ _likelihood(less, passed, tries).mean(axis=1))
    return amiss_ / max(as_own, 1e-300)


def _likelihood(share: Array, passed: int, tries: int) -> Array:
    return np.asarray(share**passed * (1.0 - share) ** (tries - passed), dtype=np.float64)
