"""Sound to the log mel bands that Whisper takes. Arithmetic only."""

from functools import lru_cache

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float32]

_RATE = 16_000
_HOP, _WINDOW, _BANDS = 160, 400, 80


def log_mel(sound: Floats) -> Floats:
    """Return 80 log mel bands every 10 ms, scaled as Whisper was trained (Radford and others, 2022, 2.2)."""
    padded = np.pad(sound, _WINDOW // 2, mode="reflect")
    frames = np.lib.stride_tricks.sliding_window_view(padded, _WINDOW)[::_HOP][:-1]
    hann = np.hanning(_WINDOW + 1)[:-1].astype(np.float32)
    power = np.abs(np.fft.rfft(frames * hann, axis=1)) ** 2
    bands = np.log10(np.maximum(mel_filters() @ power.T, 1e-10))
    bands = np.maximum(bands, bands.max() - 8.0)
    return np.asarray((bands + 4.0) / 4.0, np.float32)


@lru_cache(maxsize=1)
def mel_filters() -> Floats:
    """Return Slaney's triangular mel filters of area one: linear to 1 kHz, then 27 to a factor of 6.4."""
    step, knee = 200.0 / 3, 15.0
    factor = np.log(6.4) / 27.0
    top = knee + np.log(_RATE / 2 / 1000.0) / factor
    mels = np.linspace(0.0, top, _BANDS + 2)
    hertz = np.where(mels < knee, mels * step, 1000.0 * np.exp(factor * (mels - knee)))
    bins = np.fft.rfftfreq(_WINDOW, 1 / _RATE)
    low, mid, high = hertz[:-2, None], hertz[1:-1, None], hertz[2:, None]
    rising, falling = (bins - low) / (mid - low), (high - bins) / (high - mid)
    shape = np.maximum(0.0, np.minimum(rising, falling))
    return np.asarray(shape * 2.0 / (high - low), np.float32)
