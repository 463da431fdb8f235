"""What works: how often that comes true which is said to be likely, on seas of which the truth is known.

Made otherwise than the model: days differ, bites come in bursts. What is compared differs within every trip
(colours), or from trip to trip only (months, water).
"""

import argparse
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from bot.advice.standing import StrikeCounts, stand

KEYS: Final = 6
TRIPS: Final = 20
PER_H: Final = 0.15
BINS: Final = ((0.5, 0.66), (0.66, 0.9), (0.9, 0.95), (0.95, 1.01))


@dataclass(frozen=True, slots=True)
class Sea:
    """How a sea is made: deviations of log rates, bites in a burst."""

    apart: float
    days: float
    burst: float
    one_a_trip: bool


SEAS: Final = tuple(
    Sea(apart, days, burst, one)
    for one in (False, True)
    for apart, days, burst in ((0.5, 0.4, 1.0), (0.5, 0.7, 1.6), (0.05, 0.6, 1.6))
)


def main(argv: list[str]) -> int:
    """Print a row for each kind of sea."""
    parser = argparse.ArgumentParser(prog="python -m bot.bench works", description=__doc__)
    parser.add_argument("--seas", type=int, default=250, help="of each kind")
    parser.add_argument("--seed", type=int, default=1)
    args = parser.parse_args(argv)
    heads = [f"said {low:g} to {min(high, 1.0):g}: came true (number)" for low, high in BINS]
    print("| apart, days, burst, on each trip |", " | ".join(heads), "| in the interval |")
    print("| --- |" + " --: |" * (len(BINS) + 1))
    for number, sea in enumerate(SEAS):
        rng = np.random.default_rng(args.seed + number)
        said = [one for _ in range(args.seas) for one in _one(sea, rng)]
        cells = [_cell([(p, true) for p, true, _ in said], low, high) for low, high in BINS]
        name = f"{sea.apart:g}, {sea.days:g}, {sea.burst:g}, {'one' if sea.one_a_trip else 'all'}"
        held = 100 * np.mean([inside for _, _, inside in said])
        print(f"| {name} | {' | '.join(cells)} | {held:.0f} % |", flush=True)
    return 0


def _one(sea: Sea, rng: np.random.Generator) -> list[tuple[float, bool, bool]]:
    """Make a sea; give for every statement its probability, whether it is true, and held the interval."""
    effects = sea.apart * rng.standard_normal(KEYS)
    days = sea.days * rng.standard_normal(TRIPS)
    rows: list[tuple[int, int, float, float]] = []
    for trip, day in enumerate(days):
        for one in [int(rng.integers(KEYS))] if sea.one_a_trip else range(KEYS):
            spent = float(rng.uniform(1, 8)) * (4 if sea.one_a_trip else 1)
            bursts = rng.poisson(spent * PER_H * np.exp(effects[one] + day) / sea.burst)
            bites = float(bursts + rng.poisson((sea.burst - 1) * bursts))
            rows.append((one, trip, spent, bites))
    key, trip = np.array([row[:2] for row in rows], np.intp).T
    hours, strikes = np.array([row[2:] for row in rows], np.float64).T
    nought = np.zeros(len(rows), np.intp)
    keys = tuple(((str(number), ""),) for number in range(KEYS))
    seen = StrikeCounts(keys, key, nought, nought, trip, hours, strikes)
    found = stand(seen, ("colour", "none"), {}, "unknown")
    average = (np.bincount(key, hours, KEYS) @ effects) / hours.sum()
    made = []
    for (name, _), stands in found.items():
        off = effects[int(name)] - average
        right = (stands.better > 0.5) == (off > 0)
        held = bool(stands.low <= np.exp(off) <= stands.high)
        made.append((max(stands.better, 1 - stands.better), bool(right), held))
    return made


def _cell(said: Sequence[tuple[float, bool]], low: float, high: float) -> str:
    among = [(p, true) for p, true in said if low <= p < high]
    if not among:
        return "-"
    stated, came = np.mean([p for p, _ in among]), np.mean([true for _, true in among])
    return f"{stated:.2f}: {came:.2f} ({len(among)})"
