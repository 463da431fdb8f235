"""The positions of a spread: which is nearer, on which side, how far out and on which wave.

The five usual positions and their order back from the boat are common practice without a source, and so
are the waves. A boat's own positions take their place from the list in its settings.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import ceil
from typing import Final

from bot.tackle.items import STANDARD_POSITIONS
from bot.water.wake import WaveCount, face_m, wave_at, wave_length_m

PORT: Final = -1
STARBOARD: Final = 1
CENTRE: Final = 0

_USUAL_SIDE: Final[Mapping[str, int]] = {
    "short corner": PORT, "long corner": STARBOARD, "short rigger": STARBOARD,
    "long rigger": PORT, "shotgun": CENTRE,
}  # fmt: skip
"""Short and long run on opposite sides, so that the spread is staggered (common practice)."""
_KIND_RANK: Final[Mapping[str, float]] = {"corner": 0.5, "flat": 0.5, "rigger": 2.5}
CORNER_OUT_M: Final = 2.4
RIGGER_OUT_M: Final = 7.0
"""How far from the middle line a lure swims (estimate for a boat of ten metres)."""
NEAREST_M: Final = 12.0
"""The nearest lure runs on the first wave that is so far back; nearer is white water (estimate)."""
SPACING_M: Final = 8.0
"""Each next lure runs a wave further, at low speed as many as come nearest to this distance (estimate)."""
SHOTGUN_EXTRA: Final = 1
"""The shotgun runs by itself, one step more behind the rest (common practice)."""


@dataclass(frozen=True, slots=True)
class Place:
    """Where one position runs."""

    position: str
    order: int
    """0 for the nearest to the boat."""
    step: int
    """Steps of waves behind the nearest."""
    across_m: float
    """Distance from the middle line; port is negative. Port and starboard are named looking forward."""


def in_order(positions: Iterable[str]) -> tuple[str, ...]:
    """Return positions from the nearest to the farthest.

    The usual ones stand as practice has them, another corner or rigger among its kind; one of the boat's
    own follows the one before it in the list.
    """
    ranked: list[tuple[float, str]] = []
    rank = -1.0
    for position in positions:
        usual = _usual(position)
        kind = next((r for word, r in _KIND_RANK.items() if word in position.casefold()), rank)
        rank = STANDARD_POSITIONS.index(usual) if usual is not None else kind
        ranked.append((rank, position))
    return tuple(position for _, position in sorted(ranked, key=lambda pair: pair[0]))


def places(positions: Sequence[str]) -> tuple[Place, ...]:
    """Return the place of every position, in the order given."""
    found = {}
    extra = 0
    for order, position in enumerate(in_order(positions)):
        if _usual(position) == "shotgun" and order > 0:
            extra = SHOTGUN_EXTRA
        across_m = _side(position, order) * _out_m(position, order)
        found[position] = Place(position, order, order + extra, across_m)
    return tuple(found[position] for position in positions)


def waves(
    positions: Sequence[str], speed_kn: float, count: WaveCount | None = None
) -> Mapping[str, int]:
    """Return the number of the wave on whose face every position runs at this speed (above 0)."""
    first = max(1, ceil(wave_at(NEAREST_M, speed_kn, count) - 1e-9))
    apart = max(1, round(SPACING_M / wave_length_m(speed_kn)))
    return {place.position: first + apart * place.step for place in places(positions)}


def distances_m(
    positions: Sequence[str], speed_kn: float, count: WaveCount | None = None
) -> Mapping[str, float]:
    """Return how far back every position runs at this speed, on the face of its wave."""
    on_wave = waves(positions, speed_kn, count)
    return {position: face_m(wave, speed_kn, count) for position, wave in on_wave.items()}


def is_short(place: Place, count: int) -> bool:
    """Return whether a place is in the nearer half of so many."""
    return 2 * place.order < count - 1


def is_long(place: Place, count: int) -> bool:
    """Return whether a place is in the farther half of so many."""
    return 2 * place.order > count - 1


def _usual(position: str) -> str | None:
    return next((usual for usual in STANDARD_POSITIONS if usual in position.casefold()), None)


def _side(position: str, order: int) -> int:
    words = position.casefold().split()
    if "port" in words or "left" in words:
        return PORT
    if "starboard" in words or "right" in words:
        return STARBOARD
    if any(word in words for word in ("centre", "center", "middle")):
        return CENTRE
    usual = _usual(position)
    return _USUAL_SIDE[usual] if usual else (STARBOARD, PORT)[order % 2]


def _out_m(position: str, order: int) -> float:
    words = position.casefold().split()
    if "corner" in words or "flat" in words:
        return CORNER_OUT_M
    if "rigger" in words or "outrigger" in words:
        return RIGGER_OUT_M
    return CORNER_OUT_M + order % 3
