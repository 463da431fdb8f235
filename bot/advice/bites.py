"""Which strikes belong to one pack, and how long bait tells of sizes. Values only."""

from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import Final

from bot.advice.season import Prey

PACK: Final = timedelta(minutes=10)
"""A strike so soon after another is of the same pack (our estimate)."""
PREY_HALF_DAYS: Final = 1.0
"""What the fish were eating so long ago tells half as much (estimate)."""
PREY_MOST: Final = 3
"""Baits that are looked at, the latest ones."""
PREY_LEAST: Final = 0.1
"""Bait that tells less than this is forgotten."""


def follows(at: datetime, last: datetime | None) -> bool:
    """Return whether a strike came so soon after the one before that it tells less of the lure."""
    return last is not None and at - last < PACK


def prey_of(seen: Iterable[tuple[float, float]]) -> tuple[Prey, ...]:
    """Return the bait that still counts, fresh first; `seen` holds ages in days and lengths in inches."""
    fresh = sorted((age, size) for age, size in seen if age >= 0.0)[:PREY_MOST]
    found = [Prey(size, 0.5 ** (age / PREY_HALF_DAYS)) for age, size in fresh]
    return tuple(one for one in found if one.weight >= PREY_LEAST)
