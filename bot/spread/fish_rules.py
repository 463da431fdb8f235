"""What a crew would like to tow for a fish or a sea, where it has a wish and no record. Pure.

All of it is common practice without a source; it picks among the lures that are ready while there are enough,
and is said in words, never a rule that forbids.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from bot.tackle.items import Head, Lure


@dataclass(frozen=True, slots=True)
class FishTaste:
    """What is towed for a kind of fish."""

    low_in: float
    high_in: float
    heads: tuple[Head, ...] = ()
    """Heads that go first; empty: any."""
    teeth: bool = False
    """True where it bites through a light leader."""


FOR_FISH: Final[Mapping[str, FishTaste]] = {
    "marlin": FishTaste(9, 16), "blue marlin": FishTaste(9, 16), "black marlin": FishTaste(9, 16),
    "striped marlin": FishTaste(7, 10), "white marlin": FishTaste(5, 8), "sailfish": FishTaste(5, 8),
    "shortbill spearfish": FishTaste(5, 8), "spearfish": FishTaste(5, 8),
    "tuna": FishTaste(4, 8, ("slim", "jet")), "yellowfin tuna": FishTaste(4, 9, ("slim", "jet")),
    "bigeye tuna": FishTaste(6, 10, ("slim", "jet")), "bluefin tuna": FishTaste(6, 10, ("slim", "jet")),
    "albacore": FishTaste(4, 7, ("slim", "jet")), "skipjack tuna": FishTaste(3, 6, ("slim", "jet")),
    "mahi-mahi": FishTaste(5, 8), "wahoo": FishTaste(6, 10, ("jet", "slim", "plug"), teeth=True),
    "spanish mackerel": FishTaste(5, 8, ("jet", "slim", "plug"), teeth=True),
    "king mackerel": FishTaste(5, 8, ("jet", "slim", "plug"), teeth=True),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class SeaTaste:
    """What is towed in a kind of sea."""

    heads: tuple[Head, ...]
    """Heads that go first."""
    why: str


FOR_SEA: Final[Mapping[str, SeaTaste]] = {
    "rough": SeaTaste(("slim", "jet", "slanted"), "heads that hold it"),
    "calm": SeaTaste(("cupped", "blunt", "slanted"), "heads that stir it up"),
}
"""In a rough sea cupped and blunt heads blow out; in a calm one a straight runner shows little."""


def sized_for(lures: Sequence[Lure], fish: FishTaste) -> list[Lure]:
    """Return the lures of the sizes that go for a fish."""
    return [lure for lure in lures if fish.low_in <= lure.size_in <= fish.high_in]


def nearest(lures: Sequence[Lure], fish: FishTaste, most: int) -> list[Lure]:
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


def sea_words(sea: str, liking: SeaTaste) -> str:
    """Return what goes in a sea, in words."""
    return f"for {sea} water: {liking.why} ({', '.join(liking.heads)}) first (common practice)"


def like_words(species: str, fish: FishTaste) -> str:
    """Return what goes for a fish, in words."""
    heads = f", {', '.join(fish.heads[:-1])} and {fish.heads[-1]} heads" if fish.heads else ""
    teeth = "; it bites leaders through: wire or the heaviest you have" if fish.teeth else ""
    return f"for {species}: {fish.low_in:g} to {fish.high_in:g} in{heads} first (common practice){teeth}"
