"""Noise taken out of a recording, and noise put in: what the engines hear best.

Taking out is RNNoise (BSD licence), whose library the package `pyrnnoise` carries; without it the
recording passes unchanged. Putting in is a steady hiss well below the speech: it covers the talk of
others in the pauses, which PocketSphinx would take for words, and digital silence, which wrecks it.
"""

import ctypes
import importlib.util
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
import soxr

from bot.speech.audio import SAMPLE_RATE, Pcm

COVER_DB = 25.0
"""How far below the speech the hiss lies. Measured: 20 hurts, over 35 lets faint talk through."""
RNNOISE_RATE = 48_000
RNNOISE_FRAME = 480
"""RNNoise takes 10 ms at a time."""
_LIBRARIES = ("librnnoise.so", "librnnoise.dylib", "rnnoise.dll")
FLOAT_POINTER = ctypes.POINTER(ctypes.c_float)
_LOUD_PERCENTILE = 90.0
_PINK_FROM_HZ = 100.0

Sound = npt.NDArray[np.float64]


def suppress_noise(pcm: Pcm) -> Pcm:
    """Take noise out with RNNoise; return the same recording where it is not installed."""
    library = rnnoise()
    if library is None or not len(pcm.samples):
        return pcm
    up = soxr.resample(pcm.samples.astype(np.float32), SAMPLE_RATE, RNNOISE_RATE)
    sound = np.ascontiguousarray(np.pad(up, (0, -len(up) % RNNOISE_FRAME)), dtype=np.float32)
    state = library.rnnoise_create(None)
    try:
        for start in range(0, len(sound), RNNOISE_FRAME):
            frame = ctypes.cast(sound.ctypes.data + 4 * start, FLOAT_POINTER)
            library.rnnoise_process_frame(state, frame, frame)
    finally:
        library.rnnoise_destroy(state)
    down = soxr.resample(sound[: len(up)], RNNOISE_RATE, SAMPLE_RATE)
    padded = np.pad(down, (0, max(0, len(pcm.samples) - len(down))))
    return _pcm(padded[: len(pcm.samples)].astype(np.float64))


def blend(one: Pcm, other: Pcm, share: float) -> Pcm:
    """Mix two recordings of the same length: so much of the first, the rest of the second."""
    mixed = share * one.samples.astype(np.float64) + (1 - share) * other.samples
    return _pcm(mixed)


def add_hiss(pcm: Pcm, below_db: float = COVER_DB) -> Pcm:
    """Add a steady hiss so far below the speech, the same for the same length; at least dither."""
    sound = pcm.samples.astype(np.float64)
    frames = sound[: len(sound) // 320 * 320].reshape(-1, 320)
    if not len(frames):
        return pcm
    loud = float(np.percentile(np.mean(frames**2, axis=1), _LOUD_PERCENTILE))
    level = max(np.sqrt(loud) * 10 ** (-below_db / 20), 4.0)
    mixed = sound + level * _hiss(len(sound))
    return _pcm(mixed * min(1.0, 32_000 / float(np.max(np.abs(mixed)))))


def _pcm(sound: Sound) -> Pcm:
    return Pcm(np.clip(np.round(sound), -32_768, 32_767).astype(np.int16))


@lru_cache(maxsize=4)
def _hiss(count: int) -> Sound:
    """Make pink noise of power one."""
    spectrum = np.fft.rfft(np.random.default_rng(9).normal(0, 1, count))
    hertz = np.fft.rfftfreq(count, 1 / SAMPLE_RATE)
    noise = np.fft.irfft(spectrum / np.sqrt(np.maximum(hertz, _PINK_FROM_HZ)), count)
    return np.asarray(noise / (np.std(noise) + 1e-12))


@lru_cache(maxsize=1)
def rnnoise() -> Any:
    """Load RNNoise from the package that carries it, without the package's own imports."""
    spec = importlib.util.find_spec("pyrnnoise")
    if spec is None or spec.origin is None:
        return None
    for name in _LIBRARIES:
        path = Path(spec.origin).parent / name
        if path.is_file():
            try:
                return _typed(ctypes.CDLL(str(path)))
            except OSError:
                return None
    return None


def _typed(library: Any) -> Any:
    library.rnnoise_create.argtypes = [ctypes.c_void_p]
    library.rnnoise_create.restype = ctypes.c_void_p
    library.rnnoise_destroy.argtypes = [ctypes.c_void_p]
    library.rnnoise_process_frame.argtypes = [ctypes.c_void_p, FLOAT_POINTER, FLOAT_POINTER]
    library.rnnoise_process_frame.restype = ctypes.c_float
    return library
