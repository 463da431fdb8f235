"""Tones and words that are heard: the voice that is installed, and the loudspeaker.

Piper where its package and a voice of it are there, else espeak-ng, else none: replies are always shown.
"""

import io
import shutil
import subprocess
import time
import wave
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path
from typing import Any, Final, Protocol

import numpy as np
import soundfile
import soxr

from bot.errors import TransportError
from bot.transports.listen.sources import device_of, sound_devices
from bot.transports.listen.tones import RATE, Samples, tone
from bot.transports.listen.watch import Tone

WORDS_A_MINUTE: Final = 155
"""A little slower than espeak-ng's own: there is an engine to be heard over."""
VOICES_FOLDER: Final = "voices"
"""Under the home folder; the voices of Piper lie there (`*.onnx`, with `*.onnx.json`)."""
_SPEAK_S: Final = 20
_POLL_S: Final = 0.03
_HANGS_S: Final = 3.0
"""A device that has not ended so long after the sound should have is left."""
_DEVICE_RATE: Final = 48_000

Stop = Callable[[], bool]
StartWatch = Callable[[Samples], Stop]
"""Is told what is about to be read; returns what says whether to leave off."""


def never_stop(_reading: Samples) -> Stop:
    """Let a reading come to its end."""
    return lambda: False


class Voice(Protocol):
    """Text to sound."""

    def speak(self, text: str) -> Samples:
        """Return samples at the rate of the tones; raises TransportError."""
        ...


@dataclass(frozen=True, slots=True)
class Espeak:
    """The program espeak-ng."""

    program: str

    def speak(self, text: str) -> Samples:
        """Return a text; it goes in by a pipe, so that no word of it is taken for an option."""
        try:
            done = subprocess.run(
                [self.program, "--stdin", "--stdout", "-s", str(WORDS_A_MINUTE)],
                input=text.encode(), capture_output=True, check=True, timeout=_SPEAK_S,
            )  # fmt: skip
        except (OSError, subprocess.SubprocessError) as exc:
            raise TransportError(f"espeak-ng does not speak ({exc}); replies are shown") from exc
        # A stream's header holds no length, so the samples are taken as they are.
        samples = np.frombuffer(done.stdout[44:], "<i2").astype(np.float32) / np.float32(32768)
        return _levelled(samples, 22_050)


class Piper:
    """The package piper with a voice of it."""

    def __init__(self, model: Path) -> None:
        from piper import PiperVoice

        try:
            self._voice = PiperVoice.load(str(model))
        except Exception as exc:  # the library raises nothing narrower
            raise TransportError(
                f"the voice {model} cannot be loaded: fetch it again, with its .json beside it"
            ) from exc

    def speak(self, text: str) -> Samples:
        """Return a text."""
        out = io.BytesIO()
        with wave.open(out, "wb") as file:
            self._voice.synthesize_wav(text, file)
        samples, rate = soundfile.read(io.BytesIO(out.getvalue()), dtype="float32")
        return _levelled(samples, int(rate))


def open_voice(said: str, home: Path) -> Voice | None:
    """Return the voice of a setting: `auto`, `off`, `espeak-ng` or the file of a Piper voice.

    None where it is off, or `auto` finds none; raises TransportError where the one wanted is not there.
    """
    if said == "off":
        return None
    espeak = shutil.which("espeak-ng")
    if said not in ("auto", "espeak-ng"):
        model = home / Path(said).expanduser()
        if not model.is_file():
            raise TransportError(f"there is no voice {model}: correct [listen] voice")
        if find_spec("piper") is None:
            raise TransportError("a Piper voice needs its package; run: pip install piper-tts")
        return Piper(model)
    if said == "auto" and find_spec("piper") is not None and (found := next(voices(home), None)):
        return Piper(found)
    if espeak is not None:
        return Espeak(espeak)
    if said == "espeak-ng":
        raise TransportError("espeak-ng is not installed (Debian, Ubuntu: apt install espeak-ng)")
    return None


def voices(home: Path) -> Iterator[Path]:
    """Yield the Piper voices in the home folder, by name."""
    yield from sorted((home / VOICES_FOLDER).glob("*.onnx"))


class Speaker(Protocol):
    """What tones and words come out of."""

    def play(self, samples: Samples, stop: Stop) -> None:
        """Play samples at the rate of the tones until they end, or until told to stop."""
        ...


class Loudspeaker:
    """A sound device."""

    def __init__(self, device: str = "") -> None:
        self._sd: Any = sound_devices()
        self._device = device_of(device)
        try:
            self._sd.check_output_settings(self._device, channels=1, samplerate=_DEVICE_RATE)
        except (self._sd.PortAudioError, ValueError) as exc:
            raise TransportError(
                f"no loudspeaker can be used ({' '.join(str(exc).split())}): name one with"
                " [listen] loudspeaker, or run with --quiet"
            ) from exc

    def play(self, samples: Samples, stop: Stop) -> None:
        """Play, and return when the last sample has left the device."""
        sound = soxr.resample(samples, RATE, _DEVICE_RATE)
        self._sd.play(sound, _DEVICE_RATE, device=self._device)
        stream = self._sd.get_stream()
        give_up = time.monotonic() + len(sound) / _DEVICE_RATE + _HANGS_S
        while stream.active and time.monotonic() < give_up and not stop():
            time.sleep(_POLL_S)
        self._sd.stop()


@dataclass(slots=True)
class Aloud:
    """Tones and replies through a loudspeaker; without one, nothing is heard."""

    speaker: Speaker | None
    voice: Voice | None
    stop: Stop = lambda: False
    """Return whether somebody wants it to be quiet."""
    tones: bool = True

    def signal(self, name: Tone) -> bool:
        """Play a tone; says whether anything was heard."""
        return self._played(tone(name)) if self.speaker is not None and self.tones else False

    def say(self, text: str, watched: StartWatch = never_stop) -> bool:
        """Read a reply aloud; says whether anything was heard."""
        if self.speaker is None or self.voice is None or not text.strip():
            return False
        samples = self.voice.speak(text)
        over = watched(samples)
        self.speaker.play(samples, lambda: self.stop() or over())
        return True

    def _played(self, samples: Samples) -> bool:
        if self.speaker is not None:
            self.speaker.play(samples, self.stop)
        return True


def _levelled(samples: Samples, rate: int) -> Samples:
    """Return speech at the rate of the tones, as loud as it goes without clipping."""
    if not len(samples):
        return np.zeros(0, np.float32)
    sound = soxr.resample(samples, rate, RATE)
    return np.asarray(0.9 * sound / max(1e-6, float(np.max(np.abs(sound)))), np.float32)
