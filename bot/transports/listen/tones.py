"""The tones: two to three thousand hertz, where an engine is weak and the ear is keen. Pure.

Rising: the ear is open. Two alike: done. Falling: not understood, and closed. Between 2 and 3 kHz hearing
is most sensitive (ISO 226), and the sound of a diesel falls off well below it.
"""

from collections.abc import Mapping
from functools import lru_cache
from typing import Final

import numpy as np
import numpy.typing as npt

from bot.transports.listen.watch import Tone

RATE: Final = 24_000
"""Samples per second of the tones."""
LEVEL: Final = 0.6
_NOTE_S: Final = 0.09
_GAP_S: Final = 0.03
_FADE_S: Final = 0.008
"""Without a fade a tone clicks."""
NOTES_HZ: Final[Mapping[Tone, tuple[float, ...]]] = {
    "listening": (2093.0, 2794.0),
    "done": (2637.0, 2637.0),
    "not understood": (2794.0, 2349.0, 2093.0),
}

OCTAVE: Final = 0.25
"""How loud the octave of a note is beside it."""
PIECE_S: Final = 0.01
"""A tone is taken out piece by piece: longer takes less of a voice with it, and leaves more of the tone."""

Samples = npt.NDArray[np.float32]


def tone(name: Tone) -> Samples:
    """Return a tone as samples between -1 and 1 at `RATE`."""
    gap = np.zeros(int(_GAP_S * RATE), np.float32)
    parts: list[Samples] = []
    for hertz in NOTES_HZ[name]:
        parts += [_note(hertz), gap]
    return np.concatenate(parts[:-1])


def _note(hertz: float) -> Samples:
    """Return one note; its octave above, softer, lets it stand out from a single whistle."""
    at_s = np.arange(int(_NOTE_S * RATE)) / RATE
    wave = np.sin(2 * np.pi * hertz * at_s) + OCTAVE * np.sin(4 * np.pi * hertz * at_s)
    fade = np.minimum(1.0, np.minimum(at_s, at_s[::-1]) / _FADE_S)
    return np.asarray(LEVEL * wave * fade / (1 + OCTAVE), np.float32)


def without(name: Tone, sound: npt.NDArray[np.int16], rate: int) -> npt.NDArray[np.int16]:
    """Return sound in which a tone was playing, with the tone taken out; what is said meanwhile stays.

    Its frequencies are known, so in each piece the waves of these frequencies that fit best (least squares,
    each rising or falling evenly) are taken off, whatever the room made of their strength and delay.
    """
    size = round(PIECE_S * rate)
    whole = len(sound) // size * size
    pieces = sound[:whole].reshape(-1, size).astype(np.float64)
    waves = _waves(name, size, rate)
    left = pieces - (pieces @ waves) @ waves.T
    clean = np.clip(np.round(left.reshape(-1)), -32_768, 32_767).astype(np.int16)
    return np.concatenate((clean, sound[whole:]))


@lru_cache(maxsize=8)
def _waves(name: Tone, size: int, rate: int) -> npt.NDArray[np.float64]:
    """Return the waves of a tone's notes and octaves as columns that are at right angles to each other."""
    at_s = np.arange(size) / rate
    slope = np.linspace(-1.0, 1.0, size)
    columns = []
    for hertz in dict.fromkeys(NOTES_HZ[name]):
        for one in (hertz, 2 * hertz):
            for wave in (np.sin, np.cos):
                columns.append(wave(2 * np.pi * one * at_s))
                columns.append(slope * columns[-1])
    return np.asarray(np.linalg.qr(np.column_stack(columns))[0])
