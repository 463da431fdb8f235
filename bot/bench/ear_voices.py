"""The synthesisers that speak what the ear is trained on, in the process that asks them.

A program started anew for each sentence costs more than the sentence; so the libraries of espeak-ng and flite
are called (`ESPEAK_LIB`, `ESPEAK_DATA`, `FLITE_LIBS` say where they lie, else the system is asked), and Pico
(package py-nanotts). Knows nothing of sentences or of training.
"""

import ctypes
import os
from functools import lru_cache
from typing import Any

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float32]

_SYNCHRONOUS, _UTF8 = 2, 1
_SPEED, _PITCH, _GAP = 1, 3, 7
"""espeak-ng's numbers of what can be set."""
_PICO_HERTZ = 16_000
_HEARD = ctypes.CFUNCTYPE(
    ctypes.c_int, ctypes.POINTER(ctypes.c_short), ctypes.c_int, ctypes.c_void_p
)


class _Espeak(ctypes.Structure):
    """The beginning of espeak-ng's `espeak_VOICE`, and room for the rest."""

    _fields_ = (
        ("name", ctypes.c_char_p),
        ("languages", ctypes.c_char_p),
        ("identifier", ctypes.c_char_p),
        ("rest", ctypes.c_char * 32),
    )


class _Wave(ctypes.Structure):
    """Flite's `cst_wave`."""

    _fields_ = (
        ("type", ctypes.c_char_p),
        ("hertz", ctypes.c_int),
        ("count", ctypes.c_int),
        ("channels", ctypes.c_int),
        ("samples", ctypes.POINTER(ctypes.c_short)),
    )


class _FliteVoice(ctypes.Structure):
    """The beginning of flite's `cst_voice`."""

    _fields_ = (("name", ctypes.c_char_p), ("features", ctypes.c_void_p))


class Espeak:
    """espeak-ng's library."""

    def __init__(self) -> None:
        self._lib = ctypes.CDLL(os.environ.get("ESPEAK_LIB", "libespeak-ng.so.1"))
        data = os.environ.get("ESPEAK_DATA")
        self.hertz = self._lib.espeak_Initialize(_SYNCHRONOUS, 0, data and data.encode(), 0)
        if self.hertz <= 0:
            raise OSError("espeak-ng does not find its data")
        self._chunks: list[Floats] = []
        self._heard = _HEARD(self._hear)  # kept, for the library calls it
        self._lib.espeak_SetSynthCallback(self._heard)

    def say(self, text: str, voice: str, speed: int, pitch: int, gap: int) -> Floats:
        """Return a sentence; raises OSError where there is no such voice."""
        language = _Espeak(languages=voice.encode())
        if self._lib.espeak_SetVoiceByName(voice.encode()) and (
            self._lib.espeak_SetVoiceByProperties(ctypes.byref(language))
        ):
            raise OSError(f"no voice {voice}")
        for what, value in ((_SPEED, speed), (_PITCH, pitch), (_GAP, gap)):
            self._lib.espeak_SetParameter(what, value, 0)
        self._chunks = [np.zeros(0, np.float32)]
        said = text.encode() + b"\0"
        self._lib.espeak_Synth(said, ctypes.c_size_t(len(said)), 0, 1, 0, _UTF8, None, None)
        return np.concatenate(self._chunks)

    def _hear(self, samples: Any, count: int, _events: Any) -> int:
        if samples and count > 0:
            self._chunks.append(_floats(np.ctypeslib.as_array(samples, (count,))))
        return 0


class Flite:
    """Flite's voice rms."""

    def __init__(self) -> None:
        folder = os.environ.get("FLITE_LIBS")
        where = f"{folder}/" if folder else ""
        names = ("flite", "flite_cmulex", "flite_usenglish", "flite_cmu_us_rms")
        libs = [ctypes.CDLL(f"{where}lib{n}.so.1", ctypes.RTLD_GLOBAL) for n in names]
        self._lib = libs[0]
        self._lib.flite_init()
        begin = libs[-1].register_cmu_us_rms
        begin.restype = ctypes.POINTER(_FliteVoice)
        self._voice = begin(None)
        self._lib.flite_text_to_wave.restype = ctypes.POINTER(_Wave)

    def say(self, text: str, stretch: float) -> tuple[Floats, int]:
        """Return a sentence, spoken slower by a factor, and its rate."""
        features = ctypes.c_void_p(self._voice.contents.features)
        self._lib.feat_set_float(features, b"duration_stretch", ctypes.c_float(stretch))
        wave = self._lib.flite_text_to_wave(text.encode(), self._voice)
        count = wave.contents.count
        sound = _floats(np.ctypeslib.as_array(wave.contents.samples, (count,)))
        hertz = int(wave.contents.hertz)
        self._lib.delete_wave(wave)
        return sound, hertz


@lru_cache(maxsize=1)
def espeak() -> Espeak:
    """Return espeak-ng, begun once in a process."""
    return Espeak()


@lru_cache(maxsize=1)
def flite() -> Flite:
    """Return flite, begun once in a process."""
    return Flite()


def pico(text: str, language: str, speed: float, pitch: float) -> tuple[Floats, int]:
    """Return a sentence by Pico and its rate."""
    from py_nanotts import NanoTTS

    data = NanoTTS().speak(text, language, speed, pitch)
    return _floats(np.frombuffer(data, "<i2")), _PICO_HERTZ


def _floats(samples: npt.NDArray[np.int16]) -> Floats:
    return np.asarray(samples / 32768, np.float32)
