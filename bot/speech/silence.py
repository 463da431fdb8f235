"""Where speech starts and ends, how far it stands over the noise, and the dither that engines need.

Works on energy alone, weighted towards the voice so that diesel (low) and hiss (high) count less.
Pure functions of the samples; nothing is remembered between recordings.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from bot.speech.audio import SAMPLE_RATE, Pcm

MARGIN_S = 0.25
"""Kept before and after the speech. Measured: shorter cuts soft consonants off, longer costs time."""
DITHER_LSB = 12
"""Noise added to each sample, in steps of 16 bit. Digital silence wrecks PocketSphinx; 4 to 16 mend it."""
_FRAME_S = 0.02
_FLOOR_PERCENTILE = 12.0
"""Frames this quiet are taken as noise alone. Higher makes the end-pointing bolder."""
_RISE_SHARE = 0.25
"""Speech starts this share of the way (in dB) from the floor to the loudest. Higher cuts more."""
_MIN_RISE_DB = 3.0
"""Speech stands at least this far over the floor."""
_MIN_RANGE_DB = 5.0
"""Less than this between floor and loudest: nothing stands out, so nothing is cut."""
_MIN_RUN_FRAMES = 3
"""Shorter bursts are clicks of a switch or slaps of water."""
_VOICE_HZ = (300.0, 3400.0)
"""The band of the telephone (ITU-T G.712), where speech is and a diesel is not."""

Levels = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of a recording."""

    start_s: float
    end_s: float


def speech_span(pcm: Pcm) -> Span:
    """Return where the speech is; the whole recording where nothing stands out from the noise."""
    levels = _voice_levels_db(pcm)
    speech = _speech_frames(levels)
    if not speech.any():
        return Span(0.0, pcm.seconds)
    frames = np.flatnonzero(speech)
    return Span(float(frames[0]) * _FRAME_S, min(pcm.seconds, float(frames[-1] + 1) * _FRAME_S))


def cut(pcm: Pcm, margin_s: float = MARGIN_S) -> Pcm:
    """Cut to the speech with a margin in seconds on either side."""
    span = speech_span(pcm)
    return pcm.slice(span.start_s - margin_s, span.end_s + margin_s)


def snr_db(pcm: Pcm) -> float:
    """Estimate how far the speech stands over the noise in the voice band, in dB (-10 to 60)."""
    levels = _voice_levels_db(pcm)
    if not len(levels):
        return -10.0
    speech = _speech_frames(levels)
    if not speech.any():
        return -10.0
    powers = 10 ** (levels / 10)
    noise = float(np.mean(np.sort(powers)[: max(1, len(powers) // 8)]))
    both = float(np.mean(powers[speech]))
    ratio = max(both - noise, 1e-12) / max(noise, 1e-12)
    return float(np.clip(10 * np.log10(ratio), -10.0, 60.0))


def dither(pcm: Pcm, lsb: int = DITHER_LSB, seed: int = 1) -> Pcm:
    """Add uniform noise of so many steps of 16 bit; the same seed gives the same sound."""
    noise = np.random.default_rng(seed).integers(-lsb, lsb + 1, len(pcm.samples))
    mixed = np.clip(pcm.samples.astype(np.int32) + noise, -32768, 32767)
    return Pcm(mixed.astype(np.int16))


def _voice_levels_db(pcm: Pcm) -> Levels:
    """Return the energy in the voice band of each 20 ms, in dB, smoothed over three frames."""
    width = round(_FRAME_S * SAMPLE_RATE)
    count = len(pcm.samples) // width
    if count == 0:
        return np.zeros(0)
    frames = pcm.samples[: count * width].astype(np.float64).reshape(count, width)
    spectrum = np.abs(np.fft.rfft(frames * np.hanning(width), axis=1)) ** 2
    hertz = np.fft.rfftfreq(width, 1 / SAMPLE_RATE)
    band = (hertz >= _VOICE_HZ[0]) & (hertz <= _VOICE_HZ[1])
    levels = 10 * np.log10(spectrum[:, band].mean(axis=1) + 1.0)
    padded = np.pad(levels, 1, mode="edge")
    return np.asarray(np.median([padded[:-2], padded[1:-1], padded[2:]], axis=0))


def _speech_frames(levels: Levels) -> npt.NDArray[np.bool_]:
    """Return whether each frame is speech, short bursts left out."""
    if not len(levels):
        return np.zeros(0, bool)
    floor = float(np.percentile(levels, _FLOOR_PERCENTILE))
    top = float(np.percentile(levels, 98))
    if top - floor < _MIN_RANGE_DB:
        return np.zeros(len(levels), bool)
    loud = levels > floor + max(_MIN_RISE_DB, _RISE_SHARE * (top - floor))
    edges = np.flatnonzero(np.diff(np.concatenate(([0], loud.astype(np.int8), [0]))))
    for start, end in zip(edges[::2], edges[1::2], strict=True):
        if end - start < _MIN_RUN_FRAMES:
            loud[start:end] = False
    return loud
