"""How long the rates of a season take to fit: processor time, for `bench advice --fit`."""

from statistics import median
from time import process_time
from typing import Final

import numpy as np

from bot.advice.data import Exposure
from bot.advice.layout import Layout, Levels, layout_of
from bot.advice.season import Earlier, believe
from bot.bench.advice_sea import DAY_H, FIRST_HOUR, POSITIONS, Sea, sea

DAYS: Final = 20
REPEATS: Final = 15


def show_fit(seed: int) -> None:
    """Print the time of the first fit of a morning (all trips) and of every later one (today on top)."""
    world = sea(seed)
    rng = np.random.default_rng(seed)
    days = [_day(world, rng, float(DAYS - day)) for day in range(DAYS)]
    before = [cell for day in days[:-1] for cell in day]
    today = [Exposure(c.position, c.kind, c.hours, c.strikes, None, c.hour) for c in days[-1]]
    layout = layout_of(Levels.of((*before, *today)))
    first = [_seconds(today, Earlier(tuple(before)), layout) for _ in range(REPEATS)]
    earlier = Earlier(tuple(before))
    believe(today, earlier, layout)
    later = [_seconds(today, earlier, layout) for _ in range(REPEATS)]
    print(
        f"\nfit of {DAYS} days, {len(before) + len(today)} cells, {layout.width} effects,"
        f" three kinds of sea: first of the day {1000 * median(first):.0f} ms,"
        f" then {1000 * median(later):.0f} ms (processor time, median of {REPEATS})"
    )


def _day(world: Sea, rng: np.random.Generator, age_days: float) -> list[Exposure]:
    found = []
    for hour in range(int(DAY_H)):
        lures = rng.permutation(len(world.lures))[: len(POSITIONS)]
        for line, lure in enumerate(lures):
            strikes = int(rng.poisson(world.rate(line, int(lure), float(hour))))
            kind = world.lures[int(lure)].kind
            place = POSITIONS[line]
            found.append(Exposure(place, kind, 1.0, strikes, None, FIRST_HOUR + hour, age_days))
    return found


def _seconds(today: list[Exposure], earlier: Earlier, layout: Layout) -> float:
    start = process_time()
    believe(today, earlier, layout)
    return process_time() - start
