"""What a crew would like to tow for a fish or a sea, where it has a wish and no record. Pure.

All of it is common practice without a source; it picks among the lures that are ready while there are enough,
and is said in words, never a rule that forbids.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from bot.tackle.items import Head, Lure


@dataclass(frozen=True, slots=True)
class FishPreference:
    """What is towed for a kind of fish."""

    low_in: float
    high_in: float
    heads: tuple[Head, ...] = ()
    """Heads that go first; empty: any."""
    teeth: bool = False
    """True where it bites through a light leader."""


FOR_FISH: Final[Mapping[str, FishPreference]] = {
    "marlin": FishPreference(9, 16), "blue marlin": FishPreference(9, 16), "black marlin": FishPreference(9, 16),
    "striped marlin": FishPreference(7, 10), "white marlin": FishPreference(5, 8), "sailfish": FishPreference(5, 8),
    "shortbill spearfish": FishPreference(5, 8), "spearfish": FishPreference(5, 8),
    "tuna": FishPreference(4, 8, ("slim", "jet")), "yellowfin tuna": FishPreference(4, 9, ("slim", "jet")),
    "bigeye tuna": FishPreference(6, 10, ("slim", "jet")), "bluefin tuna": FishPreference(6, 10, ("slim", "jet")),
    "albacore": FishPreference(4, 7, ("slim", "jet")), "skipjack tuna": FishPreference(3, 6, ("slim", "jet")),
    "mahi-mahi": FishPreference(5, 8), "wahoo": FishPreference(6, 10, ("jet", "slim", "plug"), teeth=True),
    "spanish mackerel": FishPreference(5, 8, ("jet", "slim", "plug"), teeth=True),
    "king mackerel": FishPreference(5, 8, ("jet", "slim", "plug"), teeth=True),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class SeaPreference:
    """What is towed in a kind of sea."""

    heads: tuple[Head, ...]
    """Heads that go first."""
    why: str


FOR_SEA: Final[Mapping[str, SeaPreference]] = {
    "rough": SeaPreference(("slim", "jet", "slanted"), "heads that hold it"),
    "calm": SeaPreference(("cupped", "blunt", "slanted"), "heads that stir it up"),
}
"""In a rough sea cupped and blunt heads blow out; in a calm one a straight runner shows little."""


def sized_for(lures: Sequence[Lure], fish: FishPreference) -> list[Lure]:
    """Return the lures of the sizes that go for a fish."""
    return [lure for lure in lures if fish.low_in <= lure.size_in <= fish.high_in]


def nearest(lures: Sequence[Lure], fish: FishPreference, most: int) -> list[Lure]:
    """Return the lures of its sizes, and of the others the nearest until there are so many."""

    def off(lure: Lure) -> float:
        return max(fish.low_in - lure.size_in, lure.size_in - fish.high_in, 0.0)

    ranked = sorted(lures, key=lambda lure: (off(lure), lure.name))
    return [lure for number, lure in enumerate(ranked) if off(lure) == 0 or number < most]


def with_heads(lures: Sequence[Lure], heads: Sequence[Head], most: int) -> list[Lure]:
    """Return the lures with these heads; others only until there are so many."""
    liked = [lure for lure in lures if lure.head in heads]
    others = [lure for lure in lures if lure.head not in heads]
    return [*liked, *others[: max(0, most - len(liked))]]


def sea_words(sea: str, liking: SeaPreference) -> str:
    """Return what goes in a sea, in words."""
    return f"for {sea} water: {liking.why} ({', '.join(liking.heads)}) first (common practice)"


def like_words(species: str, fish: FishPreference) -> str:
    """Return what goes for a fish, in words."""
    heads = f", {', '.join(fish.heads[:-1])} and {fish.heads[-1]} heads" if fish.heads else ""
    teeth = "; it bites leaders through: wire or the heaviest you have" if fish.teeth else ""
    return f"for {species}: {fish.low_in:g} to {fish.high_in:g} in{heads} first (common practice){teeth}"
