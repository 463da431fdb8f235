"""Every rule about what runs where: the tackle rules, those that need the water, those of the whole spread.

`CHECKS` is all rules about one lure on one outfit, `SPREAD_CHECKS` all rules about the lures together.
A rule is a function, and a new one is added to its tuple. See `bot.tackle.checks` for the severities.
"""

import itertools
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from bot.findings import Finding
from bot.spread.positions import in_order, is_long, is_short, places
from bot.tackle import checks
from bot.tackle.checks import PRACTICE, Check, Rig
from bot.tackle.items import USUAL_KN, Lure, Outfit
from bot.water import drag
from bot.water.line import after_run

DRAG_EQUATION: Final = "drag equation, handbook coefficients; good to a factor of two"
SPOOL_GEOMETRY: Final = "geometry of a spool"
PEAK_TIMES: Final = 2.0
"""A lure that dives, pops and surges pulls this much of its steady high load (estimate)."""
PRACTISED_SHARE: Final = 2 / 3
"""Share of the strike drag up to which a practised crew pulls a steady load (estimate)."""
RUN_M: Final = 300.0
"""The first run of a big fish, for which a reel should do (estimate)."""
BREAKING_SHARE: Final = 0.5
"""Pull as a share of the line class from which knots begin to fail under a belly of line (estimate)."""
SPEED: Final = "speed-range"
"""Code of what is found of a lure outside its speeds."""
SHORT_HEADS: Final = ("blunt", "cupped")
LONG_HEADS: Final = ("slim", "jet")


@dataclass(frozen=True, slots=True)
class PlacedLure:
    """One lure at its position in a spread."""

    position: str
    lure: Lure


@dataclass(frozen=True, slots=True)
class Spread:
    """The lures of a spread together."""

    laid: tuple[PlacedLure, ...]
    positions: tuple[str, ...]
    """All positions of the boat."""
    speed_kn: float | None = None


SpreadCheck = Callable[[Spread], Iterable[Finding]]


def towing_load(rig: Rig) -> Finding | None:
    """Find a lure whose pull may take line at the strike drag."""
    speed_kn = USUAL_KN if rig.speed_kn is None else rig.speed_kn
    load, drag_kg, units = drag.towing_load(rig.lure, speed_kn), rig.outfit.drag_kg, rig.units
    if round(PEAK_TIMES * load.high_kg, 2) <= round(drag_kg, 2):
        return None
    figures = (
        f"{rig.lure.name} pulls {units.bare_weight(load.low_kg, 1)} to {units.weight(load.high_kg, 1)} at "
        f"{speed_kn:g} knots (about {units.bare_weight(load.nominal_kg, 1)}, good to a factor of two) and "
        f"twice that when it surges; strike drag is {units.weight(drag_kg, 1)}"
    )
    if round(load.nominal_kg, 2) <= round(PRACTISED_SHARE * drag_kg, 2):
        return rig.finding(
            "caution", "towing-load", f"{figures}: for a practised crew", DRAG_EQUATION
        )
    return rig.finding(
        "warning", "towing-load", f"{figures}: it may pull line all day", DRAG_EQUATION
    )


def speed_range(rig: Rig) -> Finding | None:
    """Find a lure at a speed at which it does not run well."""
    if rig.speed_kn is None or runs_at(rig.lure, rig.speed_kn):
        return None
    return out_of_range(rig.lure, rig.speed_kn, rig.outfit.position)


def out_of_range(lure: Lure, speed_kn: float, position: str | None, more: str = "") -> Finding:
    """Return the finding that a lure does not run well at a speed; `more` is said of the speed."""
    text = f"{lure.name} runs well {range_words(*lure.speed_range_kn)}, not at {speed_kn:g}{more}"
    return Finding("warning", text, "speed range of the lure in the box", position, SPEED)


def line_on_reel(rig: Rig) -> Finding | None:
    """Find a reel that a long run would empty, or whose climbing pull would near the line's strength."""
    return find_spooled(rig.outfit, 0.0)


CHECKS: Final[tuple[Check, ...]] = (*checks.CHECKS, towing_load, speed_range, line_on_reel)
"""Every rule about one lure on one outfit."""

BENT_RULES: Final = frozenset({"size-for-class", "leader-strength", "towing-load"})
"""Codes of the cautions that a plan avoids before it looks at anything else."""


def findings(rig: Rig) -> tuple[Finding, ...]:
    """Return what all rules find about one lure on one outfit."""
    return tuple(found for check in CHECKS if (found := check(rig)) is not None)


def find_spooled(outfit: Outfit, out_m: float, run_m: float = RUN_M) -> Finding | None:
    """Find what a run of so many metres does to a reel with `out_m` of line out already."""
    after = after_run(outfit, out_m, run_m)
    units = outfit.units
    if after is None:
        return None
    if after.left_m <= 0:
        text = (
            f"{outfit.position}: a run of {units.distance(run_m)} empties the reel; "
            f"{units.distance(max(0.0, after.left_m + run_m))} is all there is"
        )
        return Finding("caution", text, SPOOL_GEOMETRY, outfit.position, "line-on-reel")
    if after.share <= BREAKING_SHARE:
        return None
    text = (
        f"{outfit.position}: after a run of {units.distance(run_m)} {units.distance(after.left_m)} is left "
        f"and the pull has climbed to {units.weight(after.drag_kg, 1)}, {100 * after.share:.0f} % of the "
        "line class, without the belly of line in the water"
    )
    return Finding("caution", text, SPOOL_GEOMETRY, outfit.position, "line-on-reel")


def ranges_overlap(spread: Spread) -> Iterable[Finding]:
    """Find lures that have no speed in common."""
    lures = [laid.lure for laid in spread.laid]
    if common_speeds_kn(lures) is not None:
        return
    slow = min(lures, key=lambda lure: lure.speed_range_kn[1])
    fast = max(lures, key=lambda lure: lure.speed_range_kn[0])
    text = (
        f"{slow.name} runs well {range_words(*slow.speed_range_kn)} and {fast.name} "
        f"{range_words(*fast.speed_range_kn)}: they have no speed in common, run the slow ones by themselves"
    )
    yield Finding("warning", text, PRACTICE, code="ranges-overlap")


def size_order(spread: Spread) -> Iterable[Finding]:
    """Find a lure that is larger than one nearer to the boat."""
    sizes = {laid.position: laid.lure for laid in spread.laid}
    laid = [
        (position, sizes[position]) for position in in_order(spread.positions) if position in sizes
    ]
    for (near, small), (far, large) in itertools.pairwise(laid):
        if large.size_in > small.size_in:
            text = (
                f"{far} has a larger lure ({large.size_in:g}-inch) than {near} ({small.size_in:g}-inch); "
                "usually the largest runs on the short corner and the smallest on the shotgun"
            )
            yield Finding("note", text, PRACTICE, far, "size-order")


def head_places(spread: Spread) -> Iterable[Finding]:
    """Find a slim head in a near position or a blunt or cupped one far back."""
    by_position = {place.position: place for place in places(spread.positions)}
    for laid in spread.laid:
        place, head = by_position[laid.position], laid.lure.head
        if is_short(place, len(spread.positions)) and head in LONG_HEADS:
            text = f"{laid.lure.name} has a {head} head: it does better far back than on the {laid.position}"
            yield Finding("note", text, PRACTICE, laid.position, "head-place")
        if is_long(place, len(spread.positions)) and head in SHORT_HEADS:
            text = f"{laid.lure.name} has a {head} head: it does better close in than on the {laid.position}"
            yield Finding("note", text, PRACTICE, laid.position, "head-place")


SPREAD_CHECKS: Final[tuple[SpreadCheck, ...]] = (ranges_overlap, size_order, head_places)
"""Every rule about the lures of a spread together."""


def spread_findings(spread: Spread) -> tuple[Finding, ...]:
    """Return what all rules find about the lures together."""
    return tuple(found for check in SPREAD_CHECKS for found in check(spread))


def common_speeds_kn(lures: Sequence[Lure]) -> tuple[float, float] | None:
    """Return the speeds at which all of them run well, or None where there is none."""
    low = max((lure.speed_range_kn[0] for lure in lures), default=0.0)
    high = min((lure.speed_range_kn[1] for lure in lures), default=float("inf"))
    return (low, high) if low <= high else None


def runs_at(lure: Lure, speed_kn: float) -> bool:
    """Return whether a lure runs well at this speed."""
    low, high = lure.speed_range_kn
    return low <= speed_kn <= high


def range_words(low_kn: float, high_kn: float) -> str:
    """Return a range of speeds in words, e.g. `at 7 to 9 knots`."""
    if low_kn <= 0 and high_kn == float("inf"):
        return "at any speed"
    if low_kn <= 0:
        return f"up to {high_kn:g} knots"
    if high_kn == float("inf"):
        return f"from {low_kn:g} knots"
    if low_kn == high_kn:
        return f"at {low_kn:g} knots"
    return f"at {low_kn:g} to {high_kn:g} knots"
