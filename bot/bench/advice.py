"""Measure the advice on made-up seas: `python -m bot.bench advice`.

Every policy fishes the same seas; ours through `Desk.say` only. The share won is of the strikes that
the best spread would get beyond the first one left out all day, counted by the true rates so that luck
at the strike itself does not blur it. Prints tables; asserts nothing. With `--fit` it says how
long the rates of a season take to fit, in processor time.
"""

import argparse
import json
import os
import sys
from collections.abc import Iterable, Iterator, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from statistics import median
from time import process_time
from typing import Final, cast

import numpy as np

from bot.advice.data import Exposure
from bot.advice.layout import Layout, Levels, layout_of
from bot.advice.season import Earlier, believe
from bot.bench.advice_bounds import Factors, UnruledAdvice
from bot.bench.advice_fish import families_of, fish_season
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
from bot.bench.advice_sea import (
    DAY_H,
    FIRST_HOUR,
    POSITIONS,
    Day,
    MakePolicy,
    Sea,
    Truth,
    fish,
    sea,
)
from bot.bench.advice_table import Job, Season, reliability, rows, show, show_reliability

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
    ("usual", 1, 400),
    ("usual", 5, 50),
    ("usual", 20, 10),
    ("flat", 1, 60),
    ("flat", 5, 10),
    ("flat", 20, 4),
    ("interaction", 1, 200),
    ("drift", 1, 120),
)
"""Truth, days of a season, seasons."""


ABROAD: Final[Mapping[str, MakePolicy]] = {
    "no change": NoChange,
    "copy the last bite": CopyTheBite,
    "greedy, right model": RightModel,
    "deckcall": Direct,
    "the same without rules": UnruledAdvice,
    "greedy, told the factors": Factors,
    "oracle": Oracle,
}
"""On seas of families: the advice without the desk; the greedy one has the model of sums, right or not."""
ABROAD_RUNS: Final = ((1, 200), (5, 40), (20, 12))
"""Days of a season, seasons of every family."""
DAYS: Final = 20
REPEATS: Final = 15


def main(argv: Sequence[str] | None = None) -> int:
    """Run the measurement; return 0."""
    options = _options(argv)
    if options.fit:
        show_fit(options.seed)
        return 0
    if options.families is not None:
        return _abroad(options)
    runs = [
        (truth, days, max(1, round(seasons * options.scale)))
        for truth, days, seasons in RUNS
        if options.truth in (None, truth) and options.days in (None, days)
    ]
    jobs = [
        Job(truth, days, 100_000 * options.seed + season, policy, direct=options.direct)
        for truth, days, seasons in runs
        for season in range(seasons)
        for policy in POLICIES
    ]
    held = list(_seasons(jobs, options.jobs, options.keep))
    for truth, days, _ in runs:
        part = [one for one in held if (one.job.truth, one.job.days) == (truth, days)]
        show(rows(part, tuple(POLICIES)), as_json=options.json)
    said = [pair for one in held if one.job.truth == "usual" for pair in one.said]
    show_reliability(reliability(said), as_json=options.json)
    return 0


def _abroad(options: argparse.Namespace) -> int:
    """Measure on families of seas that are unlike the model."""
    try:
        families = tuple(families_of(Path(options.families) if options.families else None))
    except (OSError, ValueError) as exc:
        print(f"advice: {exc}", file=sys.stderr)
        return 1
    runs = [
        (family, days, max(2, round(seasons * options.scale)))
        for family in families
        for days, seasons in ABROAD_RUNS
        if options.truth in (None, family) and options.days in (None, days)
    ]
    jobs = [
        Job(family, days, 1000 * options.seed + season, policy, True, options.families)
        for family, days, seasons in runs
        for season in range(seasons)
        for policy in ABROAD
    ]
    held = list(_seasons(jobs, options.jobs, options.keep))
    for family, days, _ in runs:
        part = [one for one in held if (one.job.truth, one.job.days) == (family, days)]
        show(rows(part, tuple(ABROAD)), as_json=options.json)
    for family in families:
        said = [pair for one in held if one.job.truth == family for pair in one.said]
        show_reliability(reliability(said), as_json=options.json, of=family)
    return 0


def _options(argv: Sequence[str] | None) -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="bench advice", description="How much does advice win?")
    parser.add_argument("--scale", type=float, default=1.0, help="more or fewer seasons (1)")
    parser.add_argument(
        "--seed", type=int, default=1, help="seas are numbered 100000 x seed + … (1)"
    )
    parser.add_argument("--truth", help="only this kind of sea")
    parser.add_argument("--days", type=int, help="only seasons of this length")
    parser.add_argument("--jobs", type=int, default=2, help="processes at once (2)")
    parser.add_argument("--keep", type=Path, help="keep seasons in this file, and go on from it")
    parser.add_argument(
        "--direct", action="store_true", help="ask the advice itself, not the desk (for tuning)"
    )
    parser.add_argument(
        "--families",
        nargs="?",
        const="",
        metavar="FILE",
        help="families of seas of this Python file, without FILE those of our own; without the desk",
    )
    parser.add_argument("--fit", action="store_true", help="only the time of a fit")
    parser.add_argument("--json", action="store_true", help="one JSON object a line")
    return parser.parse_args(argv)


def _seasons(jobs: Sequence[Job], processes: int, keep: Path | None) -> Iterator[Season]:
    """Fish all seasons that are not kept yet."""
    kept: dict[Job, Season] = {}
    if keep is not None and keep.exists():
        for line in keep.read_text(encoding="utf-8").splitlines():
            one = Season.from_json(json.loads(line))
            kept[one.job] = one
    yield from (kept[job] for job in jobs if job in kept)
    todo = [job for job in jobs if job not in kept]
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # small matrices; processes run side by side
    with ProcessPoolExecutor(processes) as pool:
        for season in _fished(pool, todo):
            if keep is not None:
                with keep.open("a", encoding="utf-8") as file:
                    file.write(json.dumps(season.to_json()) + "\n")
            yield season


def _fished(pool: ProcessPoolExecutor, jobs: Sequence[Job]) -> Iterable[Season]:
    return pool.map(one_season, jobs)


def one_season(job: Job) -> Season:
    """Fish one season with one policy."""
    if job.families is not None:
        makes = families_of(Path(job.families) if job.families else None)
        days = fish_season(makes[job.truth], ABROAD[job.policy], job.days, job.number)
        return _told(job, days)
    world = sea(job.number, cast("Truth", job.truth))
    make = Direct if job.direct and job.policy == "deckcall" else POLICIES[job.policy]
    days = tuple(fish(world, make(world, job.number), job.days, job.number))
    return _told(job, days)


def _told(job: Job, days: Sequence[Day]) -> Season:
    said = tuple(pair for day in days for pair in day.said)
    return Season(job, sum(day.expected for day in days), tuple(day.changes for day in days), said)


if __name__ == "__main__":
    sys.exit(main())


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
