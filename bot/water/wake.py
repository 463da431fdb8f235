"""The waves that a boat draws behind it, and where the crew's wave numbers lie in metres.

Linear theory of a point source on deep water (Lord Kelvin 1887; NIST Digital Library of Mathematical
Functions, section 36.13). Speeds are through the water, never over the ground. What the crew calls the
first wave is not fixed by theory, so a `WaveCount` says it: before anyone has told us, the first full
wave behind the transom is number one, and distances are good to a quarter (estimate).
"""

from dataclasses import dataclass
from math import pi, sqrt
from typing import Final

from bot.water.sea import GRAVITY_MS2, speed_ms

FACE: Final = 0.25
"""The face of a wave, the side towards the boat, lies this part of a wave length before its crest."""


@dataclass(frozen=True, slots=True)
class WaveCount:
    """How this crew counts waves: crest 1 stands `skipped` wave lengths and `shift_m` behind the transom."""

    skipped: int = 1
    shift_m: float = 0.0


def wave_length_m(speed_kn: float) -> float:
    """Return the length of the transverse waves, 2 pi V squared over g; deep water, any speed from 0."""
    return 2 * pi * speed_ms(speed_kn) ** 2 / GRAVITY_MS2


def wedge_half_width_m(back_m: float) -> float:
    """Return how far to each side the wedge of waves reaches at this distance back."""
    return back_m / sqrt(8)


def crest_m(wave: float, speed_kn: float, count: WaveCount | None = None) -> float:
    """Return how far behind the transom the crest of a wave stands, in metres."""
    count = count or WaveCount()
    return (wave - 1 + count.skipped) * wave_length_m(speed_kn) + count.shift_m


def face_m(wave: float, speed_kn: float, count: WaveCount | None = None) -> float:
    """Return how far behind the transom the middle of the face of a wave lies, in metres."""
    return crest_m(wave - FACE, speed_kn, count)


def crew_count(back_m: float, wave: float, speed_kn: float) -> WaveCount:
    """Return the count of a crew who say that the face of this wave is so far back at this speed.

    Whole wave lengths before crest 1 are the crew's way of counting and grow with the speed; the rest
    is the boat's and stays. Raises ValueError for a speed that makes no waves.
    """
    length = wave_length_m(speed_kn)
    if length <= 0:
        raise ValueError("without speed through the water there is no wave to count")
    first_m = back_m - (wave - FACE - 1) * length
    skipped = round(first_m / length)
    return WaveCount(skipped, first_m - skipped * length)


def wave_at(back_m: float, speed_kn: float, count: WaveCount | None = None) -> float:
    """Return the number of the wave whose face is at this distance, with its part.

    2.0 is the face of wave 2, 2.25 its crest, 2.5 its back. Raises ValueError for no speed.
    """
    if speed_kn <= 0:
        raise ValueError("without speed through the water there is no wave to count")
    count = count or WaveCount()
    return (back_m - count.shift_m) / wave_length_m(speed_kn) + 1 - count.skipped + FACE
