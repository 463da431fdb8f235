"""Tell whether somebody speaks, as the sound comes: RNNoise's own estimate, else the WebRTC detector.

RNNoise (BSD licence) gives for each 10 ms how likely they hold a voice; measured in made-up wheelhouse
sound it was the best of those tried. Where its library is not installed, the detector of WebRTC stands
in, which PocketSphinx carries and which takes engines for voices far more often.
"""

import ctypes
from typing import Any, Final, Protocol

import numpy as np
import soxr

from bot.speech.audio import SAMPLE_RATE, Pcm
from bot.speech.suppress import FLOAT_POINTER, RNNOISE_FRAME, RNNOISE_RATE, rnnoise

BLOCK_S: Final = 0.02
"""Seconds of sound that are judged at a time."""
BLOCK: Final = round(BLOCK_S * SAMPLE_RATE)
VOICE_FROM: Final = 0.5
"""A share of voice from which a block counts as one. Measured: 0.3 to 0.7 are alike, 0.9 misses much."""


class VoiceDetector(Protocol):
    """Judges block after block of one stream."""

    name: str

    def share(self, block: Pcm) -> float:
        """Return how likely the latest sound is a voice, 0 to 1; blocks have `BLOCK` samples."""
        ...


class RnnoiseDetector:
    """RNNoise listens at 48 kHz; what it makes of the sound besides is not used."""

    name = "rnnoise"

    def __init__(self, library: Any) -> None:
        self._library = library
        self._state = library.rnnoise_create(None)
        self._up = soxr.ResampleStream(SAMPLE_RATE, RNNOISE_RATE, 1, dtype="float32")
        self._left = np.zeros(0, np.float32)
        self._share = 0.0

    def __del__(self) -> None:
        if state := getattr(self, "_state", None):
            self._library.rnnoise_destroy(state)

    def share(self, block: Pcm) -> float:
        """Return the likelihood of the last 10 ms that are whole."""
        fresh = self._up.resample_chunk(block.samples.astype(np.float32))
        sound = np.ascontiguousarray(np.concatenate((self._left, fresh)), np.float32)
        whole = len(sound) // RNNOISE_FRAME * RNNOISE_FRAME
        for start in range(0, whole, RNNOISE_FRAME):
            frame = ctypes.cast(sound.ctypes.data + 4 * start, FLOAT_POINTER)
            found = self._library.rnnoise_process_frame(self._state, frame, frame)
            self._share = float(found)
        self._left = sound[whole:]
        return self._share


class WebrtcDetector:
    """The detector of WebRTC; `mode` 0 to 3, at its strictest if nothing is said."""

    name = "webrtc"

    def __init__(self, mode: int = 3) -> None:
        from pocketsphinx import Vad

        self._vad = Vad(mode, SAMPLE_RATE, 0.03)
        self._size = self._vad.frame_bytes
        self._left = b""
        self._share = 0.0

    def share(self, block: Pcm) -> float:
        """Return 1 or 0 for the last 30 ms that are whole."""
        sound = self._left + block.samples.astype("<i2").tobytes()
        while len(sound) >= self._size:
            self._share = float(self._vad.is_speech(sound[: self._size]))
            sound = sound[self._size :]
        self._left = sound
        return self._share


def open_detector() -> VoiceDetector:
    """Return the best detector that is installed."""
    library = rnnoise()
    return WebrtcDetector() if library is None else RnnoiseDetector(library)
