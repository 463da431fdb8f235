"""Recordings to samples: bytes of a sound file in, 16 kHz mono 16 bit out.

Knows file formats and nothing of speech. What a person can get wrong (a file that is empty, no
sound, too long, silent) is an AudioError whose one line says what to do. Called by the desk and
by the bench; nothing here opens a file.

What phones' own recorders write (M4A, MP4 and 3GP, WebM, AMR, CAF) is decoded by PyAV (FFmpeg's libraries,
inside its wheel). What a file says of itself decides the demuxer and no other is tried, so nothing but these
containers is ever opened by it.
"""

from dataclasses import dataclass
from io import BytesIO
from typing import Final

import numpy as np
import numpy.typing as npt
import soundfile
import soxr

from bot.errors import AudioError
from bot.recording import format_of

SAMPLE_RATE = 16_000
"""Samples per second that every engine gets."""
MAX_SECONDS = 60.0
"""Longer recordings are refused where nothing else was set: a call takes seconds."""
SILENT_DBFS = -65.0
"""Loudest 50 ms below this is silence; raise it to refuse more. A quiet phone gives about -45."""
DEAD_CHANNEL_DB = 30.0
"""A channel this far below the loudest carries no speech and is left out of the mix."""
_BLOCK_FRAMES = 1 << 16

Samples = npt.NDArray[np.int16]
Floats = npt.NDArray[np.float32]
MOST_A_SECOND: Final = 400_000
"""Samples of all channels in a second; stereo at 192 kHz has 384 000."""


@dataclass(frozen=True, slots=True, eq=False)
class Pcm:
    """Sound at 16 kHz, mono, 16 bit."""

    samples: Samples

    @property
    def seconds(self) -> float:
        """Return the length in seconds."""
        return len(self.samples) / SAMPLE_RATE

    def slice(self, start_s: float, end_s: float) -> "Pcm":
        """Return the part between two times in seconds; times beyond the ends are cut to them."""
        first = max(0, round(start_s * SAMPLE_RATE))
        last = min(len(self.samples), round(end_s * SAMPLE_RATE))
        return Pcm(self.samples[first : max(first, last)])


def to_pcm(data: bytes, name: str = "", max_s: float = MAX_SECONDS) -> Pcm:
    """Decode WAV, FLAC, OGG, MP3 or what phones record (M4A, 3GP, WebM), any rate and channels.

    Raises AudioError.
    """
    label = f"recording {name}" if name else "the recording"
    if not data:
        raise AudioError(f"{label} is empty (0 bytes): record it again, or send it again")
    sound, rate = _decode(data, label, max_s)
    if not len(sound):
        raise AudioError(f"{label} holds no sound: record it again, or send it again")
    mono = _mix(np.nan_to_num(sound, nan=0.0, posinf=1.0, neginf=-1.0))
    if rate != SAMPLE_RATE:
        mono = soxr.resample(mono, rate, SAMPLE_RATE).astype(np.float32)
    if _loudest_dbfs(mono) < SILENT_DBFS:
        raise AudioError(
            f"{label} is silent: check the microphone and its permission, say it again"
        )
    peak = float(np.max(np.abs(mono)))
    scaled = mono * (32767.0 / max(peak, 1.0))
    return Pcm(np.round(scaled).astype(np.int16))


def _decode(data: bytes, label: str, max_s: float) -> tuple[Floats, int]:
    """Return samples (frames, channels) and their rate, reading no more than the limit."""
    phone = container(data)
    try:
        sound, rate = decode(data, phone[0], max_s) if phone else _read(data, max_s)
    except (soundfile.SoundFileError, RuntimeError, ValueError, OSError) as exc:
        if phone:
            raise AudioError(
                f"{label} is {phone[1]} file that holds no sound that can be read: record it again, "
                "or send it as a voice message of the messenger"
            ) from exc
        raise AudioError(
            f"{label} is damaged or no sound file that can be read: "
            "send WAV, FLAC, OGG or M4A, or record it again"
        ) from exc
    if len(sound) > max_s * rate:
        raise AudioError(f"{label} is longer than {max_s:g} s: say one call in one recording")
    return sound, rate


def _read(data: bytes, max_s: float) -> tuple[Floats, int]:
    blocks: list[Floats] = []
    with soundfile.SoundFile(BytesIO(data)) as file:
        rate = int(file.samplerate)
        refuse_flood(rate, int(file.channels))
        frames = 0
        while frames <= max_s * rate:
            block = file.read(_BLOCK_FRAMES, dtype="float32", always_2d=True)
            if not len(block):
                break
            blocks.append(block)
            frames += len(block)
        channels = int(file.channels)
    whole = np.concatenate(blocks) if blocks else np.zeros((0, channels), np.float32)
    return whole, rate


def _mix(sound: Floats) -> Floats:
    """Mix the live channels; where they cancel each other take the loudest alone."""
    centred = sound - sound.mean(axis=0, keepdims=True)
    levels = np.sqrt(np.mean(np.square(centred), axis=0))
    loudest = int(np.argmax(levels))
    live = levels >= levels[loudest] * 10 ** (-DEAD_CHANNEL_DB / 20)
    mixed = centred[:, live].mean(axis=1)
    if np.sqrt(np.mean(np.square(mixed))) < 0.3 * levels[loudest]:
        mixed = centred[:, loudest]
    return np.ascontiguousarray(mixed, dtype=np.float32)


def _loudest_dbfs(mono: Floats) -> float:
    """Return the level of the loudest 50 ms in decibels below full scale."""
    width = SAMPLE_RATE // 20
    padded = np.pad(mono, (0, -len(mono) % width))
    power = np.mean(np.square(padded.reshape(-1, width)), axis=1)
    return float(10 * np.log10(np.max(power) + 1e-20))


def refuse_flood(rate: int, channels: int) -> None:
    """Raise ValueError where a second holds more than microphones give: a small file can claim any amount."""
    if rate * channels > MOST_A_SECOND:
        raise ValueError(f"{channels} channels of {rate} Hz")


def container(data: bytes) -> tuple[str, str] | None:
    """Return demuxer and name of a phone's container; None where it is none of them."""
    found = format_of(data)
    return (found.demuxer, found.called) if found is not None and found.demuxer else None


def decode(data: bytes, demuxer: str, max_s: float) -> tuple[Floats, int]:
    """Return samples (frames, channels) and their rate, reading little more than the limit.

    Raises ValueError where there is no sound in it or it is damaged.
    """
    import av

    try:
        with av.open(BytesIO(data), "r", format=demuxer) as file:
            if not file.streams.audio:
                raise ValueError("no sound in it")
            stream = file.streams.audio[0]
            rate = int(stream.rate)
            refuse_flood(rate, int(stream.channels))
            resampler = av.AudioResampler(format="fltp")
            blocks: list[Floats] = []
            frames = 0
            for frame in file.decode(stream):
                for block in resampler.resample(frame):
                    blocks.append(block.to_ndarray().astype(np.float32).T)
                    frames += block.samples
                if frames > max_s * rate:
                    break
    except (av.error.FFmpegError, EOFError, IndexError, OSError) as exc:
        raise ValueError(str(exc)) from exc
    return (np.concatenate(blocks) if blocks else np.zeros((0, 1), np.float32)), rate
