"""How often "fish do not stick" is said where something is wrong, and where nothing is: `bench sticking`.

A boat with a season behind it; twelve strikes a day come on lures, lines and anglers by chance. Every
strike is followed by a look, as on deck. Prints the share of days with an alarm, and whether it named the
right thing.
"""

import argparse
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from bot.advice.sticking import Amiss, Bite, Of, amiss

STRIKES: Final = 12
HOOKED: Final = 0.6
LANDED: Final = 0.7
LURES, LINES, ANGLERS = 8, 5, 3
DRAGS: Final = ("6 kg", "8 kg", "11 kg")


@dataclass(frozen=True, slots=True)
class Wrong:
    """What is wrong on a day: strikes on it pass a share of the times that they would."""

    of: Of
    share: float
    step: str = "hook-up"
    days: int = 1
    """Days on which it was wrong, the day that is looked at being the last."""


CASES: Final[Mapping[str, Wrong | None]] = {
    "nothing is wrong": None,
    "all hooks miss (a quarter sticks of what should)": Wrong("all", 0.25),
    "no strike comes tight": Wrong("all", 0.0),
    "one rod never sticks": Wrong("angler", 0.0),
    "one line never sticks": Wrong("position", 0.0),
    "one lure never sticks, for five days": Wrong("lure", 0.0, days=5),
    "one line sticks a quarter, for five days": Wrong("position", 0.25, days=5),
    "all fish come off": Wrong("all", 0.1, "landed"),
}  # fmt: skip


def main(argv: Sequence[str] | None = None) -> int:
    """Run the measurement; return 0."""
    parser = argparse.ArgumentParser(prog="bench sticking", description="Are alarms true?")
    parser.add_argument("--days", type=int, default=300, help="days of every case (300)")
    parser.add_argument("--record", type=int, default=10, help="days behind the boat (10)")
    parser.add_argument("--seed", type=int, default=1, help="where chance begins (1)")
    options = parser.parse_args(argv)
    print(f"{'case':52}{'alarm':>8}{'right':>8}{'after strikes':>15}")
    for name, wrong in CASES.items():
        rng = np.random.default_rng(options.seed)
        found = [one_day(rng, wrong, options.record) for _ in range(options.days)]
        alarms = [one for one in found if one is not None]
        right = [one for one in alarms if wrong is None or one[1].of in (wrong.of, "all")]
        after = f"{np.median([one[0] for one in alarms]):.0f}" if alarms else "-"
        print(
            f"{name:52}{_share(alarms, found):>8}{_share(right, found):>8}{after:>15}", flush=True
        )
    return 0


def one_day(rng: np.random.Generator, wrong: Wrong | None, record: int) -> tuple[int, Amiss] | None:
    """Return after how many strikes of a day something was called amiss, and what; None where nothing was."""
    earlier = [
        replace(
            _bite(rng, wrong if wrong and day + 1 < wrong.days else None), age_days=float(day + 1)
        )
        for day in range(record)
        for _ in range(STRIKES)
    ]
    today: list[Bite] = []
    for number in range(STRIKES):
        today.append(_bite(rng, wrong))
        found = amiss([*earlier, *today])
        if found:
            return number + 1, found[0]
    return None


def _bite(rng: np.random.Generator, wrong: Wrong | None) -> Bite:
    lure, line, angler = (int(rng.integers(many)) for many in (LURES, LINES, ANGLERS))
    hit = wrong is not None and (
        wrong.of == "all" or {"lure": lure, "position": line, "angler": angler}.get(wrong.of) == 0
    )
    shares = {"hook-up": HOOKED, "landed": LANDED}
    if wrong is not None and hit:
        shares[wrong.step] *= wrong.share
    hooked = bool(rng.random() < shares["hook-up"])
    landed = bool(rng.random() < shares["landed"]) if hooked else None
    return Bite(
        hooked, landed, f"lure {lure}", f"{1 + lure % 2} hooks", f"line {line}", f"angler {angler}",
        DRAGS[line % len(DRAGS)],
    )  # fmt: skip


def _share(some: Sequence[object], of: Sequence[object]) -> str:
    return f"{len(some) / len(of):.0%}"
