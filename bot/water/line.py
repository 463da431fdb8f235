"""Line on a reel: how much it holds, how the drag climbs as it leaves, how long until it is gone.

Geometry of a cylindrical spool and a brake of constant torque. Nothing here tells anyone to touch a
drag: that is the angler's and the skipper's matter.
"""

from dataclasses import dataclass
from math import inf, sqrt
from typing import Final

from bot.tackle.items import Outfit, Spool

ARBOR_RATIO: Final = 25 / 60
"""Arbor to full spool where the reel was not measured (estimate)."""


@dataclass(frozen=True, slots=True)
class AfterRun:
    """A reel after a run."""

    left_m: float
    """Line left on the spool; below nought: spooled, and by how much."""
    drag_kg: float
    """Pull at the spool now, without what the line itself drags through the water."""
    share: float
    """That pull as a share of the line class."""


def capacity_m(spool: Spool) -> float:
    """Return how much line a full spool holds, in metres."""
    room_mm3 = spool.width_mm * (spool.full_radius_mm**2 - spool.arbor_radius_mm**2)
    return 4 * room_mm3 * spool.packing / spool.line_mm**2 / 1000


def radius_mm(spool: Spool, out_m: float) -> float:
    """Return the radius of what is left on the spool; the arbor's once it is empty."""
    wound = spool.full_radius_mm**2 - out_m * 1000 * spool.line_mm**2 / (
        4 * spool.width_mm * spool.packing
    )
    return max(spool.arbor_radius_mm, sqrt(max(0.0, wound)))


def drag_factor(share_out: float, arbor_ratio: float = ARBOR_RATIO) -> float:
    """Return the factor by which the pull has grown when this share (0 to 1) of a full spool is out."""
    share_out = min(1.0, max(0.0, share_out))
    return 1 / sqrt(1 - share_out * (1 - arbor_ratio**2))


def after_run(outfit: Outfit, out_m: float, run_m: float) -> AfterRun | None:
    """Return the reel after a fish has run; `out_m` was out before. None where the line is not known.

    The strike drag was set with all line on the reel, full or not.
    """
    whole_m = outfit.line_m
    if outfit.spool is not None:
        full_m = capacity_m(outfit.spool)
        whole_m = full_m if whole_m is None else min(whole_m, full_m)
        set_at = radius_mm(outfit.spool, full_m - whole_m)
        factor = set_at / radius_mm(outfit.spool, full_m - whole_m + out_m + run_m)
    elif whole_m is not None:
        factor = drag_factor((out_m + run_m) / whole_m)
    else:
        return None
    drag_kg = outfit.drag_kg * factor
    return AfterRun(whole_m - out_m - run_m, drag_kg, drag_kg / outfit.line_class_kg)


def seconds_to_empty(left_m: float, fish_ms: float, boat_away_ms: float = 0.0) -> float:
    """Return how long until the spool is empty; `boat_away_ms` is below nought when backing down."""
    opening_ms = fish_ms + boat_away_ms
    return inf if opening_ms <= 0 else max(0.0, left_m) / opening_ms
