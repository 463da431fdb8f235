"""What the bites say by themselves: which lure has them, and what is like it. Values only.

When one size gets bites, repeat that size; when one colour does, change one or two others to it; leave the
lure that is working where it is (common practice, no source). `choose` weighs this beside the rates.
"""

import math
from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Final, Literal

from bot.advice.data import InWater, Kind

JUST_BITTEN: Final = timedelta(hours=1)
"""A lure that was bitten, or raised a fish, so lately is not taken away: that fish may come back for it."""
LEADS_FROM: Final = 2
"""Strikes from which a lure that has more than two in three of them is followed."""
SIZE_SHARE: Final = 0.55
"""How much of being alike is size; the rest is colour."""
ALIKE_IN: Final = 2.0
"""Sizes so far apart are about half alike."""
ALIKE_FROM: Final = 0.5
"""Lures from here on count as like each other: of one size, or of one colour and hardly another size."""

Reason = Literal[
    "fish on", "just bitten", "just raised", "has the strikes", "works best", "just out"
]


def like(one: Kind, other: Kind) -> float:
    """Return how alike two lures are, 0 to 1: the size first, then the colours."""
    size = 0.0
    if one.size_in is not None and other.size_in is not None:
        size = math.exp(-0.5 * ((one.size_in - other.size_in) / ALIKE_IN) ** 2)
    mine, theirs = set(one.colours), set(other.colours)
    colour = len(mine & theirs) / len(mine | theirs) if mine and theirs else 0.0
    return SIZE_SHARE * size + (1.0 - SIZE_SHARE) * colour


def leader(spread: Sequence[InWater]) -> InWater | None:
    """Return the lure that has more than two in three of the strikes, two at least; None without one."""
    best = max(spread, key=lambda one: one.strikes, default=None)
    if best is None or best.strikes < LEADS_FROM:
        return None
    return best if 3 * best.strikes > 2 * sum(one.strikes for one in spread) else None


def reason_to_stay(there: InWater, spread: Sequence[InWater], now: datetime) -> Reason | None:
    """Return why a lure stays, bites on it or a fish behind it; None where neither is."""
    if there.struck_at is not None and now - there.struck_at < JUST_BITTEN:
        return "just bitten"
    if there.raised_at is not None and now - there.raised_at < JUST_BITTEN:
        return "just raised"
    if there.strikes and there.strikes == sum(one.strikes for one in spread):
        return "has the strikes"
    return None
