"""The tones: two to three thousand hertz, where an engine is weak and the ear is keen. Pure.

Rising: the ear is open. Two alike: done. Falling: not understood, and closed. Between 2 and 3 kHz hearing
is most sensitive (ISO 226), and the sound of a diesel falls off well below it.
"""

from collections.abc import Mapping
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
    wave = np.sin(2 * np.pi * hertz * at_s) + 0.25 * np.sin(4 * np.pi * hertz * at_s)
    fade = np.minimum(1.0, np.minimum(at_s, at_s[::-1]) / _FADE_S)
    return np.asarray(LEVEL * wave * fade / 1.25, np.float32)
