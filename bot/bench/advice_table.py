"""The tables of `bench advice`: shares won with their standard errors, and the stated chances.

Values and printing only; the fishing is in `advice_sea`.
"""

import json
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from itertools import pairwise
from typing import Any, Final

import numpy as np

from bot.bench.advice_sea import Array

BINS: Final = (0.5, 0.6, 0.7, 0.8, 0.9, 1.0)


@dataclass(frozen=True, slots=True)
class Job:
    """One season under one policy."""

    truth: str
    """The kind of sea: one of `Truth`, or the name of a family."""
    days: int
    number: int
    """Number of the sea, which is also where its chance begins."""
    policy: str
    direct: bool = False
    """Ask the advice itself, not the desk."""
    families: str | None = None
    """The file of the family, empty for one of our own; None for a sea of the model's kind."""


@dataclass(frozen=True, slots=True)
class Season:
    """What came of it."""

    job: Job
    expected: float
    """Strikes that the true rates let expect."""
    changes: tuple[int, ...]
    """Changes made on each day."""
    said: tuple[tuple[float, bool], ...] = ()
    """Stated chance of each change, and whether it truly was for the better."""

    def to_json(self) -> dict[str, Any]:
        """Return it as JSON."""
        return asdict(self)

    @classmethod
    def from_json(cls, held: dict[str, Any]) -> "Season":
        """Make it from JSON."""
        said = tuple((float(chance), bool(was)) for chance, was in held["said"])
        return cls(Job(**held["job"]), held["expected"], tuple(held["changes"]), said)


@dataclass(frozen=True, slots=True)
class Row:
    """What one policy got on one kind of sea; every figure with its standard error over seasons."""

    truth: str
    days: int
    seasons: int
    first_sea: int
    policy: str
    strikes_a_day: float
    share: float | None
    """Share of the gap between no change and the oracle, sum over sum; None where there is none (flat)."""
    share_se: float
    against_none: float
    """Strikes more than without a change, as a share of them."""
    against_none_se: float
    changes_a_day: float
    changes_se: float
    over_copying: float
    """Strikes a day more than copying the last bite, paired by sea."""
    over_copying_se: float
    over_greedy: float
    """The same over the greedy policy on the model of sums; over no change where that did not fish."""
    over_greedy_se: float


@dataclass(frozen=True, slots=True)
class Reliable:
    """How many of the changes said to be better with a chance in a range were."""

    low: float
    high: float
    changes: int
    said: float
    were: float
    were_se: float


def rows(held: Sequence[Season], policies: Sequence[str]) -> list[Row]:
    """Return a row for each policy, from seasons of one kind and length."""
    strikes = {name: _by_sea(held, name) for name in policies}
    none, best, copying = (strikes[name] for name in ("no change", "oracle", "copy the last bite"))
    greedy = strikes.get("greedy, right model", none)
    job = held[0].job
    found = []
    for name in policies:
        mine = [one for one in held if one.job.policy == name]
        share, share_se = (
            (None, 0.0) if job.truth == "flat" else _ratio(strikes[name] - none, best - none)
        )
        more, more_se = _ratio(strikes[name] - none, none)
        changes = np.array([np.mean(one.changes) for one in mine])
        over = (strikes[name] - copying) / job.days
        over_greedy = (strikes[name] - greedy) / job.days
        found.append(
            Row(
                job.truth,
                job.days,
                len(mine),
                min(one.job.number for one in mine),
                name,
                float(strikes[name].mean()) / job.days,
                share,
                share_se,
                more,
                more_se,
                float(changes.mean()),
                _error(changes),
                float(over.mean()),
                _error(over),
                float(over_greedy.mean()),
                _error(over_greedy),
            )
        )
    return found


def reliability(said: Sequence[tuple[float, bool]]) -> list[Reliable]:
    """Sort stated chances into ranges and compare each with what was true."""
    found = []
    for low, high in pairwise(BINS):
        part = [(p, was) for p, was in said if low <= p < high or (p == high == 1.0)]
        if part:
            mean, were = (sum(one[i] for one in part) / len(part) for i in (0, 1))
            error = (were * (1.0 - were) / len(part)) ** 0.5
            found.append(Reliable(low, high, len(part), mean, were, error))
    return found


def show(found: Sequence[Row], *, as_json: bool) -> None:
    """Print the rows of one kind of sea."""
    if as_json:
        for row in found:
            print(json.dumps(asdict(row)), flush=True)
        return
    first = found[0]
    last = first.first_sea + first.seasons - 1
    print(
        f"\n{first.truth} sea, {first.seasons} seasons of {first.days} days"
        f" (seas {first.first_sea} to {last})"
    )
    print(
        f"{'policy':24}{'strikes/day':>12}{'share won':>14}{'vs none':>16}{'changes/day':>15}"
        f"{'over copying/day':>19}{'over greedy/day':>18}"
    )
    for row in found:
        share = "-" if row.share is None else f"{row.share:.1%} ± {100 * row.share_se:.1f}"
        against = f"{row.against_none:+.1%} ± {100 * row.against_none_se:.1f}"
        changes = f"{row.changes_a_day:.1f} ± {row.changes_se:.1f}"
        over = f"{row.over_copying:+.1f} ± {row.over_copying_se:.1f}"
        greedy = f"{row.over_greedy:+.1f} ± {row.over_greedy_se:.1f}"
        print(
            f"{row.policy:24}{row.strikes_a_day:12.1f}{share:>14}{against:>16}{changes:>15}"
            f"{over:>19}{greedy:>18}",
            flush=True,
        )


def show_reliability(found: Sequence[Reliable], *, as_json: bool, of: str = "usual seas") -> None:
    """Print what became of the stated chances."""
    if as_json:
        for one in found:
            print(json.dumps(asdict(one)))
        return
    if found:
        print(f"\nstated chance of being better, and how many were ({of})")
    for one in found:
        print(
            f"{one.low:.0%} to {one.high:.0%}: {one.changes} changes, "
            f"said {one.said:.0%}, were {one.were:.0%} ± {100 * one.were_se:.0f}"
        )


def _by_sea(held: Sequence[Season], policy: str) -> Array:
    mine = {one.job.number: one.expected for one in held if one.job.policy == policy}
    return np.array([mine[number] for number in sorted(mine)])


def _ratio(above: Array, below: Array) -> tuple[float, float]:
    """Return a ratio of sums with its standard error (Cochran, Sampling Techniques, 3rd ed., ch. 6)."""
    ratio = float(above.sum() / below.sum())
    number = len(above)
    off = above - ratio * below
    spread = float((off**2).sum()) * number / max(number - 1, 1)
    return ratio, spread**0.5 / abs(float(below.sum()))


def _error(values: Array) -> float:
    return float(values.std(ddof=1) / len(values) ** 0.5) if len(values) > 1 else 0.0
