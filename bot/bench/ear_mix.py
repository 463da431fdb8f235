"""Clips to recordings as a microphone on deck hears them, many at a time, on the device that trains.

Rooms, colours, noise (made and recorded), other people's talk, level, clipping, narrow bands; a share goes
through Opus on the processor meanwhile. Wants torch.
"""

import io
import math
import random
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt
import torch

from bot.bench import hear_noise
from bot.bench.hear_noise import RATE, slope, slow, unit

Tensor = Any
Samples = npt.NDArray[np.int16]

MADE = ("diesel", "diesel", "diesel", "water", "water", "water", "outboard", "outboard")
"""Noises made for the bank, again and again; none of those that `ear` tests with."""
NOISE_S = 20
LEAST_DB, MOST_DB = -4.0, 24.0
TALK_LEAST_DB = 2.0
CLEAN = 0.12
"""Share without noise."""
BABBLE, WITH_TALK = 0.15, 0.10
"""Shares with others' talk as the noise, and beside it."""
EMPTY = 0.03
"""Share with noise alone; nothing is to be written."""
_LONG = (1.0, 0.45, 0.2)
"""How likely a first, second and third noise are."""


def made_noise(job: tuple[str, int]) -> Samples:
    """Return one stretch for the bank, of a kind of `hear_noise` or `coloured`."""
    kind, seed = job
    rng = np.random.default_rng(seed)
    count = NOISE_S * RATE
    sound = _coloured(count, rng) if kind == "coloured" else hear_noise.NOISES[kind](count, rng)
    return np.asarray(sound / np.abs(sound).max() * 30_000, np.int16)


def _coloured(count: int, rng: np.random.Generator) -> hear_noise.Sound:
    sound = unit(slope(count, rng, float(rng.uniform(-0.3, 2.3))))
    if rng.random() < 0.5:
        sound = sound * (0.2 + slow(count, rng, float(rng.uniform(0.3, 4.0))))
    if rng.random() < 0.3:
        clicks = (rng.random(count) < rng.uniform(5, 60) / RATE) * rng.normal(0, 1, count)
        ring = np.exp(-np.arange(400) / rng.uniform(5, 80)) * rng.normal(0, 1, 400)
        sound = sound + rng.uniform(0.2, 1.0) * unit(np.convolve(clicks, ring)[:count])
    return unit(sound)


def through_opus(job: tuple[str, int, int]) -> bool:
    """Code some rows of a file of recordings as a messenger sends them, in place; False where that fails."""
    path, first, last = job
    sounds = np.load(path, mmap_mode="r+")
    for row in range(first, min(last, len(sounds))):
        coded = _through_opus(np.array(sounds[row]))
        if coded is None:
            return False
        sounds[row] = coded
    return True


def _through_opus(sound: Samples) -> Samples | None:
    import soundfile

    rate = random.choice((16, 24, 24, 24, 32))
    try:
        file = io.BytesIO()
        soundfile.write(
            file, sound.astype(np.float32) / 32768, RATE, format="OGG", subtype="OPUS",
            compression_level=1 - (rate - 6) / 250,
        )  # fmt: skip
        file.seek(0)
        back, _ = soundfile.read(file, dtype="float32")
    except (soundfile.LibsndfileError, ValueError):
        return None
    back = np.clip(back[: len(sound)], -1, 1)
    return np.pad((back * 32767).astype(np.int16), (0, len(sound) - len(back)))


def stage(values: Any, device: str) -> Tensor:
    """Return an array as a tensor on the device, without waiting for it."""
    tensor = torch.from_numpy(np.ascontiguousarray(values))
    if device == "cpu":
        return tensor
    return tensor.pin_memory().to(device, non_blocking=True)


@dataclass(frozen=True, slots=True, eq=False)
class Clips:
    """All clean clips in one row of samples on the device."""

    samples: Tensor
    starts: Tensor
    lengths: Tensor

    @classmethod
    def of(cls, sounds: Sequence[Samples], lengths: Sequence[int], device: str) -> "Clips":
        """Return clips that lie one after the other in some arrays."""
        counts = np.asarray(lengths, np.int64)
        starts = np.concatenate([[0], np.cumsum(counts)[:-1]])
        return cls(
            torch.cat([torch.from_numpy(sound).to(device) for sound in sounds]),
            torch.tensor(starts, device=device),
            torch.tensor(counts, device=device),
        )

    def and_more(self, others: "Clips") -> "Clips":
        """Return these clips and others after them."""
        return Clips(
            torch.cat([self.samples, others.samples]),
            torch.cat([self.starts, others.starts + len(self.samples)]),
            torch.cat([self.lengths, others.lengths]),
        )

    def laid(self, rows: Tensor, count: int, before: Tensor) -> Tensor:
        """Return some clips, each after so much silence, as (rows, count) between -1 and 1."""
        length = self.lengths[rows][:, None]
        at = torch.arange(count, device=rows.device)[None] - before[:, None]
        inside = (at >= 0) & (at < length)
        places = self.starts[rows][:, None] + at.clamp(min=0).minimum(length - 1)
        return self.samples[places].float() / 32768 * inside


class Deck:
    """What lays noise over clips."""

    def __init__(self, clips: Clips, noises: Tensor, talkers: npt.NDArray[np.int64]) -> None:
        self._clips = clips
        self._noises = noises
        self._talkers = talkers
        self._device = str(clips.samples.device)

    def heard(
        self, rows: npt.NDArray[np.int64], count: int, snr_db: float | None = None
    ) -> tuple[Tensor, npt.NDArray[np.bool_]]:
        """Return recordings (rows, count), and which of them hold noise alone.

        With `snr_db` they are mixed with the bank at that ratio and nothing else is done to them.
        """
        plainly = snr_db is not None
        drawn = np.random.rand(len(rows)) if not plainly else np.ones(len(rows))
        empty = (np.random.rand(len(rows)) < EMPTY) & (drawn > BABBLE + WITH_TALK)
        empty &= not plainly
        talk = np.flatnonzero(drawn < BABBLE + WITH_TALK)
        kind = stage(drawn.astype(np.float32), self._device)
        rows = stage(rows, self._device)
        room = (count - self._clips.lengths[rows]).clamp(min=1)
        before = torch.minimum(self._chance(len(rows), 0.05, 0.8) * RATE, room * 0.7).long()
        speech = self._clips.laid(rows, count, before)
        size = 1 << math.ceil(math.log2(count + 4800))
        if not plainly:
            speech = self._in_room(self._coloured(speech, size, 9.0, 0.65), size)
        noise = self._noise(len(rows), count, size, kind, talk, plainly)
        ratio = self._ratio(kind, snr_db)
        power = _active(speech).sqrt() * 10 ** (-ratio / 20)
        sound = speech + noise * power[:, None]
        if not plainly:
            sound = torch.where(stage(empty, self._device)[:, None], noise * 0.1, sound)
            sound = self._banded(sound, size)
        sound = sound / sound.abs().amax(1, keepdim=True).clamp(min=1e-6)
        if not plainly:
            clipped = (self._chance(len(rows)) < 0.12)[:, None]
            over = self._chance(len(rows), 1.2, 4.0)[:, None]
            sound = torch.where(clipped, (sound * over).clamp(-1, 1), sound)
        return sound * self._chance(len(rows), 0.05, 0.95)[:, None], empty

    def _chance(self, rows: int, low: float = 0.0, high: float = 1.0) -> Tensor:
        return torch.rand(rows, device=self._device) * (high - low) + low

    def _curve(self, rows: int, bins: int, spread_db: float) -> Tensor:
        """Return smooth random gains over the frequencies."""
        hertz = torch.linspace(0, RATE / 2, bins, device=self._device)
        points = torch.randn(rows, 8, device=self._device) * spread_db / 2
        place = (torch.log(hertz + 1) - math.log(80)) / (math.log(8000) - math.log(80)) * 7
        place = place.clamp(0, 6.999)
        low, part = place.long(), place - place.long()
        return torch.as_tensor(
            10 ** ((points[:, low] * (1 - part) + points[:, low + 1] * part) / 20)
        )

    def _coloured(self, sound: Tensor, size: int, spread_db: float, share: float) -> Tensor:
        gains = self._curve(len(sound), size // 2 + 1, spread_db)
        kept = (self._chance(len(sound)) < share)[:, None]
        gains = torch.where(kept, gains, torch.ones_like(gains))
        return torch.fft.irfft(torch.fft.rfft(sound, size) * gains, size)[:, : sound.shape[1]]

    def _in_room(self, sound: Tensor, size: int) -> Tensor:
        length = 4800
        time = torch.arange(length, device=self._device)[None] / RATE
        tail = torch.randn(len(sound), length, device=self._device)
        tail = tail * torch.exp(-time / self._chance(len(sound), 0.008, 0.05)[:, None])
        level = 10 ** (-self._chance(len(sound), 3, 18)[:, None] / 20)
        tail = tail / tail.norm(dim=1, keepdim=True) * level
        tail[:, 0] = 1.0
        dry = torch.zeros_like(tail)
        dry[:, 0] = 1.0
        tail = torch.where((self._chance(len(sound)) < 0.35)[:, None], tail, dry)
        spectrum = torch.fft.rfft(sound, size) * torch.fft.rfft(tail, size)
        return torch.fft.irfft(spectrum, size)[:, : sound.shape[1]]

    def _banded(self, sound: Tensor, size: int) -> Tensor:
        rows = len(sound)
        hertz = torch.linspace(0, RATE / 2, size // 2 + 1, device=self._device)[None]
        low = 1 / (1 + (self._chance(rows, 50, 350)[:, None] / (hertz + 1)) ** 4)
        gains = low / (1 + (hertz / self._chance(rows, 3000, 7500)[:, None]) ** 8)
        kept = (self._chance(rows) < 0.15)[:, None]
        gains = torch.where(kept, gains, torch.ones_like(gains))
        return torch.fft.irfft(torch.fft.rfft(sound, size) * gains, size)[:, : sound.shape[1]]

    def _noise(
        self,
        rows: int,
        count: int,
        size: int,
        kind: Tensor,
        with_talk: npt.NDArray[np.int64],
        plainly: bool,
    ) -> Tensor:
        noise = self._bank(rows, count)
        if plainly or not len(with_talk):
            return noise
        noise = _even(self._coloured(noise, size, 8.0, 0.5))
        talk = torch.zeros_like(noise)
        talk[stage(with_talk, self._device)] = self._talk(len(with_talk), count)
        beside = noise + talk * self._chance(rows, 0.2, 0.8)[:, None]
        noise = torch.where((kind < BABBLE + WITH_TALK)[:, None], beside, noise)
        return _even(torch.where((kind < BABBLE)[:, None], talk, noise))

    def _bank(self, rows: int, count: int) -> Tensor:
        total = torch.zeros(rows, count, device=self._device)
        over = torch.arange(count, device=self._device)[None]
        for often in _LONG:
            loud = self._chance(rows, 0.2, 1.0) * (self._chance(rows) < often)
            which = torch.randint(0, len(self._noises), (rows,), device=self._device)
            start = torch.randint(0, self._noises.shape[1], (rows,), device=self._device)
            places = (start[:, None] + over) % self._noises.shape[1]
            total += _even(self._noises[which[:, None], places].float()) * loud[:, None]
        return _even(total)

    def _talk(self, rows: int, count: int) -> Tensor:
        total = torch.zeros(rows, count, device=self._device)
        over = torch.arange(count, device=self._device)[None]
        for _ in range(int(np.random.randint(3, 7))):
            who = stage(np.random.choice(self._talkers, rows), self._device)
            length = self._clips.lengths[who][:, None]
            start = (self._chance(rows)[:, None] * length).long()
            places = self._clips.starts[who][:, None] + (start + over) % length
            voice = self._clips.samples[places].float()
            total += _even(voice) * self._chance(rows, 0.5, 1.0)[:, None]
        return _even(total)

    def _ratio(self, kind: Tensor, snr_db: float | None) -> Tensor:
        if snr_db is not None:
            return torch.full_like(kind, snr_db)
        ratio = self._chance(len(kind), LEAST_DB, MOST_DB)
        ratio = torch.where(kind < BABBLE, ratio.clamp(min=TALK_LEAST_DB), ratio)
        return torch.where(self._chance(len(kind)) < CLEAN, torch.full_like(ratio, 45.0), ratio)


def _even(sound: Tensor) -> Tensor:
    """Return sound at power one."""
    return sound / (sound.pow(2).mean(1, keepdim=True).sqrt() + 1e-6)


def _active(sound: Tensor) -> Tensor:
    """Return the mean power where there is speech."""
    loud = (sound.abs() > 0.02 * sound.abs().amax(1, keepdim=True)).float()
    power: Any = (sound**2 * loud).sum(1) / loud.sum(1).clamp(min=1)
    return torch.as_tensor(power)
