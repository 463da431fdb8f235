"""Fishing a season of a family under a policy: strikes and raises drawn every five minutes from its rates.

The policies are those of `advice_policies`; they see strikes, raises and bait, never a rate, but for the
oracle, which puts out the best spread of every hour.
"""

import importlib.util
import sys
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from functools import lru_cache
from pathlib import Path
from typing import Final

import numpy as np

from bot.advice.data import Kind
from bot.bench import advice_families
from bot.bench.advice_families import Season
from bot.bench.advice_sea import DAY_H, LOST_H, STEP_H, Day, Lure, MakePolicy, Policy, Step

BEAT_H: Final = 1.0 / 12.0
"""Strikes are drawn so often, with the rates of the middle of it."""
MakeSeason = Callable[[int], Season]


class Water:
    """A season as the policies see it."""

    def __init__(self, season: Season) -> None:
        self.season = season
        named = Counter(lure.name for lure in season.lures)
        self.lures = tuple(
            Lure(
                lure.name if named[lure.name] == 1 else f"{lure.name} ({number + 1})",
                Kind(float(lure.size_in), tuple(lure.colours), lure.head),
            )
            for number, lure in enumerate(season.lures)
        )
        self.start = tuple(season.start)

    def best(self, at_h: float) -> tuple[int, ...]:
        """Return the best spread for the hour that holds this time, by the rates at its start."""
        from scipy.optimize import linear_sum_assignment

        rates = self.season.rates(float(int(at_h)))
        return tuple(int(lure) for lure in linear_sum_assignment(-rates)[1])


def fish_season(make: MakeSeason, make_policy: MakePolicy, days: int, seed: int) -> tuple[Day, ...]:
    """Fish a season; the chance of the strikes comes from `seed`, the same for every policy."""
    water = Water(make(seed))
    policy = make_policy(water, seed)
    found = []
    for number in range(days):
        rng = np.random.default_rng([seed, number])
        water.season.begin_day(number)
        policy.morning(number)
        found.append(_day(water, policy, rng))
        policy.evening()
    policy.close()
    return tuple(found)


def _day(water: Water, policy: Policy, rng: np.random.Generator) -> Day:
    day, season = Day(list(water.start)), water.season
    bait = sorted(season.bait(), key=lambda one: one.at_h)
    for number in range(round(DAY_H / STEP_H)):
        start = number * STEP_H
        while bait and bait[0].at_h <= start:
            one = bait.pop(0)
            if one.length_cm is not None:
                policy.told(one.at_h, one.length_cm)
        out = [0.0] * len(day.spread)
        rates = season.rates(start)
        for swap in policy.changes(start, tuple(day.spread)):
            old, new = rates[swap.line, day.spread[swap.line]], rates[swap.line, swap.lure]
            if swap.chance is not None and abs(new - old) > 1e-9 * (new + old):
                day.said.append((swap.chance, bool(new > old)))
            if day.spread[swap.line] != swap.lure and swap.lure not in day.spread:
                day.spread[swap.line] = swap.lure
                day.changes += 1
                out[swap.line] = LOST_H
        policy.saw(_step(water, day, start, out, rng))
    return day


def _step(
    water: Water, day: Day, start: float, out: Sequence[float], rng: np.random.Generator
) -> Step:
    lines, spread = np.arange(len(day.spread)), np.array(day.spread)
    strikes: list[tuple[float, int]] = []
    raises: list[tuple[float, int]] = []
    for beat in range(round(STEP_H / BEAT_H)):
        begins = start + beat * BEAT_H
        middle = min(begins + 0.5 * BEAT_H, DAY_H - 1e-6)
        live = np.full(len(lines), BEAT_H) - (np.asarray(out) if beat == 0 else 0.0)
        awaited = water.season.rates(middle)[lines, spread] * live
        rose = water.season.raises(middle)[lines, spread] * live
        bites, looks = rng.poisson(awaited), rng.poisson(rose)
        day.expected += float(awaited.sum())
        day.strikes += int(bites.sum())
        for counts, kept, strike in ((bites, strikes, True), (looks, raises, False)):
            for line in np.repeat(lines, counts).tolist():
                kept.append((middle, line))
                water.season.saw(middle, line, int(spread[line]), strike)
    hours = tuple(STEP_H - lost for lost in out)
    return Step(start, tuple(day.spread), hours, tuple(strikes), tuple(raises))


@lru_cache(maxsize=4)
def families_of(path: Path | None) -> Mapping[str, MakeSeason]:
    """Return our families, or those of a module file: its functions `one`, `two`, `three`, `flat`.

    Raises ValueError where the file has none of them.
    """
    if path is None:
        return advice_families.FAMILIES
    spec = importlib.util.spec_from_file_location("families", path)
    if spec is None or spec.loader is None:
        raise ValueError(f"{path} is no Python file")
    module = importlib.util.module_from_spec(spec)
    sys.modules["families"] = module  # dataclasses look themselves up
    spec.loader.exec_module(module)
    found = {name: getattr(module, name) for name in NAMES if hasattr(module, name)}
    if not found:
        raise ValueError(f"{path} has no function {', '.join(NAMES)}")
    return found


NAMES: Final = ("one", "two", "three", "flat")
"""Functions of a family file, each a season from a seed."""
