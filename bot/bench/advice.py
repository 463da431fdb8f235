"""Measure the advice on made-up seas: `python -m bot.bench.advice`.

Every policy fishes the same seas; ours through `Desk.say` only. The share won is of the strikes that
the best spread would get beyond the first one left out all day, counted by the true rates so that luck
at the strike itself does not blur it. Prints tables; asserts nothing.
"""

import argparse
import json
import sys
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from bot.bench.advice_policies import (
    CopyTheBite,
    Direct,
    NoChange,
    Oracle,
    Ours,
    RawGreedy,
    RightModel,
    Thompson,
)
from bot.bench.advice_sea import Day, MakePolicy, Truth, fish, sea

POLICIES: Final[Mapping[str, MakePolicy]] = {
    "no change": NoChange,
    "copy the last bite": CopyTheBite,
    "greedy, raw rates": RawGreedy,
    "greedy, right model": RightModel,
    "Thompson, right model": Thompson,
    "deckcall": Ours,
    "oracle": Oracle,
}
RUNS: Final[tuple[tuple[Truth, int, int], ...]] = (
    ("usual", 1, 40),
    ("usual", 5, 8),
    ("usual", 20, 3),
    ("flat", 1, 20),
    ("flat", 5, 4),
    ("drift", 1, 20),
    ("interaction", 1, 20),
)
"""Truth, days of a season, seasons."""
BINS: Final = (0.5, 0.6, 0.7, 0.8, 0.9, 1.0)


@dataclass(frozen=True, slots=True)
class Row:
    """What one policy got on one kind of sea."""

    truth: Truth
    days: int
    seasons: int
    policy: str
    strikes_a_day: float
    share: float | None
    """Of the gap between no change and the oracle; None where there is none (flat)."""
    against_none: float
    """Strikes more than without a change, as a share of them."""
    changes_a_day: float


@dataclass(frozen=True, slots=True)
class Reliable:
    """Of the changes said to be better with a chance in a range, how many were."""

    low: float
    high: float
    changes: int
    said: float
    were: float


def main(argv: Sequence[str] | None = None) -> int:
    """Run the measurement; give 0."""
    parser = argparse.ArgumentParser(prog="bench advice", description="How much does advice win?")
    parser.add_argument("--scale", type=float, default=1.0, help="more or fewer seasons (1)")
    parser.add_argument("--seed", type=int, default=1, help="where chance begins (1)")
    parser.add_argument("--truth", help="only this kind of sea")
    parser.add_argument("--days", type=int, help="only seasons of this length")
    parser.add_argument(
        "--direct", action="store_true", help="ask the advice itself, not the desk (for tuning)"
    )
    parser.add_argument("--json", action="store_true", help="one JSON object a line")
    options = parser.parse_args(argv)
    policies = dict(POLICIES)
    if options.direct:
        policies["deckcall"] = Direct
    said: list[tuple[float, bool]] = []
    for truth, days, seasons in RUNS:
        if options.truth not in (None, truth) or options.days not in (None, days):
            continue
        number = max(1, round(seasons * options.scale))
        rows, stated = measure(truth, days, number, options.seed, policies)
        said += stated if truth == "usual" else []
        _show(rows, as_json=options.json)
    _show_reliability(reliability(said), as_json=options.json)
    return 0


def measure(
    truth: Truth, days: int, seasons: int, seed: int, policies: Mapping[str, MakePolicy]
) -> tuple[list[Row], list[tuple[float, bool]]]:
    """Fish seasons with every policy; gives its rows, and the stated chances with what was true."""
    fished: dict[str, list[Day]] = {name: [] for name in policies}
    for season in range(seasons):
        number = 100_000 * seed + season
        world = sea(number, truth)
        for name, make in policies.items():
            fished[name] += fish(world, make(world, number), days, number)
    total = {name: sum(day.expected for day in held) for name, held in fished.items()}
    none, best = total["no change"], total["oracle"]
    rows = [
        Row(
            truth,
            days,
            seasons,
            name,
            total[name] / len(held),
            None if truth == "flat" else (total[name] - none) / (best - none),
            total[name] / none - 1.0,
            sum(day.changes for day in held) / len(held),
        )
        for name, held in fished.items()
    ]
    return rows, [one for held in fished.values() for day in held for one in day.said]


def reliability(said: Sequence[tuple[float, bool]]) -> list[Reliable]:
    """Sort stated chances into ranges and compare each with what was true."""
    found = []
    for low, high in pairwise(BINS):
        part = [(p, was) for p, was in said if low <= p < high or (p == high == 1.0)]
        if part:
            mean, were = (sum(one[i] for one in part) / len(part) for i in (0, 1))
            found.append(Reliable(low, high, len(part), mean, were))
    return found


def _show(rows: Sequence[Row], *, as_json: bool) -> None:
    if as_json:
        for row in rows:
            print(json.dumps({name: getattr(row, name) for name in Row.__slots__}), flush=True)
        return
    first = rows[0]
    print(f"\n{first.truth} sea, {first.seasons} seasons of {first.days} days")
    print(f"{'policy':24}{'strikes/day':>12}{'share won':>11}{'vs none':>9}{'changes/day':>13}")
    for row in rows:
        share = "-" if row.share is None else f"{row.share:.0%}"
        print(
            f"{row.policy:24}{row.strikes_a_day:12.1f}{share:>11}{row.against_none:>+9.1%}"
            f"{row.changes_a_day:13.1f}",
            flush=True,
        )


def _show_reliability(found: Sequence[Reliable], *, as_json: bool) -> None:
    if as_json:
        for one in found:
            print(json.dumps({name: getattr(one, name) for name in Reliable.__slots__}))
        return
    if found:
        print("\nstated chance of being better, and how many were (usual sea)")
    for one in found:
        print(
            f"{one.low:.0%} to {one.high:.0%}: {one.changes} changes, "
            f"said {one.said:.0%}, were {one.were:.0%}"
        )


if __name__ == "__main__":
    sys.exit(main())
