"""Where the sound comes from: a microphone, a recording, raw samples through a pipe. Block after block."""

import queue
import time
from collections import deque
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from typing import Any, BinaryIO, Final

import numpy as np
import soxr

from bot.errors import TransportError, TransportMissing
from bot.speech.audio import SAMPLE_RATE, Pcm
from bot.speech.voice_activity import BLOCK, BLOCK_S

INSTALL: Final = "pip install 'deckcall[microphone]'"
_STALLED_S: Final = 5.0
"""A microphone that gives nothing for so long is gone."""


@dataclass(frozen=True, slots=True, eq=False)
class Block:
    """A short piece of sound, and when it began in seconds of the stream."""

    at_s: float
    pcm: Pcm

    @property
    def end_s(self) -> float:
        """Return when it ended."""
        return self.at_s + BLOCK_S


def recorded_blocks(pcm: Pcm) -> Iterator[Block]:
    """Yield a recording as fast as it is taken; its last, short block is filled with silence."""
    for first in range(0, len(pcm.samples), BLOCK):
        piece = pcm.samples[first : first + BLOCK]
        padded = np.pad(piece, (0, BLOCK - len(piece)))
        yield Block(first / SAMPLE_RATE, Pcm(padded))


def piped_blocks(stream: BinaryIO) -> Iterator[Block]:
    """Yield raw samples (16 kHz, mono, 16 bit, little end first) as they come, until the pipe ends."""
    number = 0
    while piece := stream.read(2 * BLOCK):
        samples = np.frombuffer(piece[: len(piece) // 2 * 2], "<i2").astype(np.int16)
        yield Block(number * BLOCK_S, Pcm(np.pad(samples, (0, BLOCK - len(samples)))))
        number += 1


def sound_devices() -> Any:
    """Return the module that knows the sound devices; raises TransportMissing."""
    try:
        import sounddevice
    except ImportError as exc:
        raise TransportMissing(f"the microphone is not installed; run: {INSTALL}") from exc
    except OSError as exc:  # the wheel for this system carries no PortAudio
        raise TransportMissing(
            "the PortAudio library is missing; install it (Debian, Ubuntu: apt install libportaudio2)"
        ) from exc
    return sounddevice


def device_of(said: str) -> int | str | None:
    """Return a device as PortAudio takes it: its number, a part of its name, or the usual one."""
    return int(said) if said.isdecimal() else said or None


@contextmanager
def microphone(device: str = "") -> Iterator["Live"]:
    """Open a microphone and yield its blocks; raises TransportError where there is none."""
    sd = sound_devices()
    came: queue.Queue[Any] = queue.Queue()
    start = time.monotonic()

    def take(data: Any, _frames: int, _when: Any, _status: Any) -> None:
        came.put((time.monotonic() - start, data[:, 0].copy()))

    chosen = device_of(device)
    try:
        rate = _rate(sd, chosen)
        stream = sd.InputStream(
            rate, device=chosen, channels=1, dtype="float32", callback=take, blocksize=0
        )
        with stream:
            yield Live(came, rate)
    except (sd.PortAudioError, ValueError) as exc:
        raise TransportError(
            f"no microphone can be opened ({' '.join(str(exc).split())}): plug one in, or name it with"
            " [listen] microphone; deckcall doctor lists them"
        ) from exc


def _rate(sd: Any, device: int | str | None) -> float:
    """Return the rate to open a device at: ours, else its own."""
    try:
        sd.check_input_settings(device, channels=1, dtype="float32", samplerate=SAMPLE_RATE)
    except sd.PortAudioError:
        return float(sd.query_devices(device, "input")["default_samplerate"])
    return float(SAMPLE_RATE)


class Live:
    """Blocks cut from what a device hands over, as it comes; the stream's time is the clock's."""

    def __init__(self, came: "queue.Queue[Any]", rate: float) -> None:
        self._came, self._rate = came, rate
        self._resample = soxr.ResampleStream(rate, SAMPLE_RATE, 1, dtype="float32")
        self._left = np.zeros(0, np.float32)
        self._ready: deque[Block] = deque()

    def __iter__(self) -> Iterator[Block]:
        return self

    def __next__(self) -> Block:
        while not self._ready:
            try:
                self._cut(*self._came.get(timeout=_STALLED_S))
            except queue.Empty:
                raise TransportError(
                    "the microphone gives no sound any more: plug it in again, and start anew"
                ) from None
        return self._ready.popleft()

    def waiting_blocks(self) -> tuple[Block, ...]:
        """Return the blocks that came in and were not taken yet; they stay to be taken."""
        with suppress(queue.Empty):
            while True:
                self._cut(*self._came.get_nowait())
        return tuple(self._ready)

    def _cut(self, end_s: float, fresh: Any) -> None:
        if self._rate != SAMPLE_RATE:
            fresh = self._resample.resample_chunk(fresh)
        self._left = np.concatenate((self._left, fresh))
        while len(self._left) >= BLOCK:
            piece, self._left = self._left[:BLOCK], self._left[BLOCK:]
            samples = np.clip(np.round(piece * 32767), -32768, 32767).astype(np.int16)
            at_s = end_s - (len(self._left) + BLOCK) / SAMPLE_RATE
            self._ready.append(Block(at_s, Pcm(samples)))
