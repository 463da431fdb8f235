"""Measure the planner: `python -m bot.bench.plan`. How long a plan takes on boxes made up by chance.

The boxes are like those of real boats: lengths in half inches, usual colours, some lures without a known
head or speed, outfits of one class or of two. Prints milliseconds; asserts nothing.
"""

import argparse
import json
import random
import sys
import time
from collections.abc import Sequence
from statistics import median, quantiles

from bot.spread.planner import plan
from bot.tackle.items import COLOURS, HEADS, STANDARD_POSITIONS, Boat, Lure, Outfit
from bot.tackle.line_classes import default_gauge

EXTRA_POSITIONS = ("port corner", "starboard corner", "port rigger", "starboard rigger")
TACKLES = ("heavy", "medium", "light", None)


def main(argv: Sequence[str] | None = None) -> int:
    """Run the measurement; return 0."""
    parser = argparse.ArgumentParser(prog="bench plan", description="How long does a plan take?")
    parser.add_argument("--lures", type=int, default=80, help="lures that are ready (80)")
    parser.add_argument(
        "--positions", type=int, default=9, choices=range(1, 10), help="positions (9)"
    )
    parser.add_argument("--boxes", type=int, default=60, help="boxes made up by chance (60)")
    parser.add_argument("--seed", type=int, default=1, help="where chance begins (1)")
    parser.add_argument("--another", action="store_true", help="measure the second plan")
    parser.add_argument("--json", action="store_true", help="one JSON object")
    options = parser.parse_args(argv)
    rng = random.Random(options.seed)
    plan(made_up_box(rng, 20), made_up_boat(rng, 5))  # loads the libraries
    took = [
        _one(rng, options.lures, options.positions, options.another) for _ in range(options.boxes)
    ]
    took_ms, busy_ms = [clock for clock, _ in took], [busy for _, busy in took]
    figures = {
        "lures": options.lures,
        "positions": options.positions,
        "boxes": len(took_ms),
        "median_ms": round(median(took_ms), 1),
        "p95_ms": round(quantiles(took_ms, n=20)[-1] if len(took_ms) > 1 else took_ms[0], 1),
        "worst_ms": round(max(took_ms), 1),
        "cpu_median_ms": round(median(busy_ms), 1),
        "cpu_worst_ms": round(max(busy_ms), 1),
    }
    if options.json:
        print(json.dumps(figures))
    else:
        print(
            f"{options.lures} lures, {options.positions} positions, {len(took_ms)} boxes: median "
            f"{figures['median_ms']} ms, 95 % under {figures['p95_ms']} ms, worst {figures['worst_ms']} ms; "
            f"of the processor median {figures['cpu_median_ms']} ms, worst {figures['cpu_worst_ms']} ms"
        )
    return 0


def made_up_box(rng: random.Random, lures: int) -> list[Lure]:
    """Return a box of lures that are ready, made up by chance."""
    return [_lure(rng, number) for number in range(lures)]


def made_up_boat(rng: random.Random, positions: int) -> Boat:
    """Return a boat with outfits of one line class or two, the heavier near the boat."""
    names = (*STANDARD_POSITIONS, *EXTRA_POSITIONS)[:positions]
    heavy, light = rng.choice(((37, 37), (37, 24), (60, 37), (24, 24), (24, 15)))
    outfits = tuple(
        Outfit(name, heavy if "corner" in name else light, line_m=700) for name in names
    )
    return Boat(positions=names, outfits=outfits)


def _one(rng: random.Random, lures: int, positions: int, another: bool) -> tuple[float, float]:
    """Return the milliseconds that a plan took by the clock, and of the processor."""
    box, boat, tackle = made_up_box(rng, lures), made_up_boat(rng, positions), rng.choice(TACKLES)
    avoid = [plan(box, boat, tackle=tackle).lures] if another else []
    start, busy = time.perf_counter(), time.process_time()
    plan(box, boat, tackle=tackle, avoid=avoid)
    return (time.perf_counter() - start) * 1000, (time.process_time() - busy) * 1000


def _lure(rng: random.Random, number: int) -> Lure:
    size_in = rng.choice(
        (5, 6, 6.5, 7, 7, 7.5, 8, 8, 8.5, 9, 9, 10, 10, 10.5, 11, 12, 12, 13, 14, 15)
    )
    known = rng.random() < 0.8
    return Lure(
        name=f"Lure {number}",
        size_in=size_in,
        colours=tuple(rng.sample(COLOURS, rng.choice((1, 2, 2, 3)))),
        head=rng.choice(HEADS) if rng.random() < 0.9 else None,
        hook_gauge=default_gauge(15 if size_in < 8 else 24 if size_in < 10 else 37),
        hooks=rng.choice((1, 2)),
        leader_kg=rng.choice((100, 150, 220, 270)),
        leader_m=rng.choice((3.5, 4, 4.5, 6)),
        ready=True,
        speed_min_kn=rng.choice((4.5, 6, 6.5, 7)) if known else None,
        speed_max_kn=rng.choice((7.5, 9, 9.5, 10)) if known else None,
    )


if __name__ == "__main__":
    sys.exit(main())
