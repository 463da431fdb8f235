"""Whether somebody speaks over what the boat says: more sound comes in than the reading can account for.

The reading is known, so how late and how loud it comes back is learnt from it, band by band; what exceeds
that and the noise before it, for longer than a slap of water, is somebody. Until that is learnt nothing is
taken for one. A voice much softer at the microphone than the reading is not noticed. Pure.
"""

from collections import deque
from collections.abc import Iterable
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Final

import numpy as np
import numpy.typing as npt
import soxr

from bot.speech.audio import SAMPLE_RATE, Pcm
from bot.speech.voice_activity import BLOCK, BLOCK_S
from bot.transports.listen.tones import RATE, Samples

EDGES_HZ: Final = (200, 400, 600, 900, 1300, 1800, 2500, 3400, 4600, 6000)
"""Bands of about the width that the ear hears at once."""
LATEST_S: Final = 0.4
"""Longest delay of the devices."""
TAIL_S: Final = 0.4
"""Echo of the room: it dies away by 60 dB in so long."""
EXCESS: Final = 2.0
"""Times the power that is accounted for; larger misses more who speak softly."""
BANDS: Final = 2
"""Bands that exceed it at once."""
VOICED_BLOCKS: Final = 8
"""Blocks with an excess, of the last `OF`, that are somebody; fewer stop for bangs."""
OF: Final = 20
_LEARNT: Final = 40
"""Blocks (of noise, of a reading) from which is learnt; without them nothing is noticed."""
_KEPT: Final = round(30 / BLOCK_S)
_ECHO: Final = 0.95
"""Share of the blocks whose echo is to be accounted for."""
_WINDOW: Final = np.hanning(BLOCK)
_BINS: Final = np.round(np.array(EDGES_HZ) * BLOCK / SAMPLE_RATE).astype(int)
_SPAN: Final = len(EDGES_HZ) - 1
_LATEST: Final = round(LATEST_S / BLOCK_S)
_TAIL: Final = 10.0 ** (-6 * np.arange(round(TAIL_S / BLOCK_S)) * BLOCK_S / TAIL_S)
_ROOM: Final = np.concatenate((np.ones(3), _TAIL[1:]))[:, None]
"""What is left of a block's power so many blocks later: its neighbours count whole."""

Floats = npt.NDArray[np.float64]


@dataclass(slots=True)
class Over:
    """Notices who speaks over a reading; what it has learnt of the room it keeps for the next."""

    since_s: float | None = None
    """When somebody began to speak; None while nobody has."""
    _start_s: float = 0.0
    _played: Floats = field(default_factory=lambda: np.zeros((0, _SPAN)))
    _noise: Floats = field(default_factory=lambda: np.full(_SPAN, np.inf))
    _late: int | None = None
    """Blocks by which this reading comes in late; None until that is learnt."""
    _came: list[tuple[int, Floats]] = field(default_factory=list)
    """Of this reading: the block of it that was played, and the power that came in."""
    _shares: deque[Floats] = field(default_factory=lambda: deque(maxlen=_KEPT))
    """By block, how much of what was played came back in each band."""
    _share: Floats = field(default_factory=lambda: np.full(_SPAN, np.inf))
    _recent: deque[tuple[float, bool]] = field(default_factory=lambda: deque(maxlen=OF))

    def begin(self, reading: Samples, start_s: float, before: Iterable[Pcm]) -> None:
        """Begin a reading (at the rate of the tones) at a second of the stream, after blocks of noise."""
        sound = soxr.resample(reading, RATE, SAMPLE_RATE)
        sound = np.pad(sound, (0, -len(sound) % BLOCK)).reshape(-1, BLOCK)
        self._played = _bands(sound)
        heard = [block.samples for block in before]
        if len(heard) >= _LEARNT:
            self._noise = np.quantile(_bands(np.stack(heard) / 32768), _ECHO, axis=0)
        self._start_s, self.since_s, self._late = start_s, None, None
        self._came.clear()
        self._recent.clear()

    def take_block(self, at_s: float, block: Pcm) -> bool:
        """Take a block that came in meanwhile; return whether somebody speaks."""
        at = self._came[-1][0] + 1 if self._came else round((at_s - self._start_s) / BLOCK_S)
        if at < 0 or at - _LATEST >= len(self._played):
            return self.since_s is not None
        came = _bands(block.samples[None] / 32768)[0]
        self._came.append((at, came))
        if len(self._came) % _LEARNT == 0:
            self._learn()
        if self._late is not None:
            echo = self._echo(at - self._late)
            excess = came > EXCESS * (self._noise + echo * self._share)
            self._recent.append((at_s, bool(np.sum(excess) >= BANDS)))
            self._count(came, echo)
        if self.since_s is None and sum(one for _, one in self._recent) >= VOICED_BLOCKS:
            self.since_s = next(at for at, one in self._recent if one)
        return self.since_s is not None

    def _echo(self, at: int) -> Floats:
        """Return the power that a block of the reading, and those before it, may leave in the room."""
        first = max(0, at + 2 - len(_ROOM))
        played = self._played[first : max(0, at + 2)][::-1]
        if not len(played):
            return np.zeros(_SPAN)
        return np.asarray((played * _ROOM[: len(played)]).max(axis=0))

    def _count(self, came: Floats, echo: Floats) -> None:
        loud = echo > 1e-3 * self._played.max(axis=0)
        self._shares.append(np.where(loud, came / np.maximum(echo, 1e-12), np.nan))

    def _learn(self) -> None:
        """Learn how late the reading comes in, then how loud."""
        places = np.array([at for at, _ in self._came])
        came = np.log10(np.stack([one for _, one in self._came]) + 1e-9)
        if self._late is None:
            played = np.log10(np.pad(self._played, ((_LATEST, _LATEST), (0, 0))) + 1e-9)
            likes = [_alike(came, played[places + _LATEST - n]) for n in range(_LATEST)]
            self._late = int(np.argmax(likes))
            for at, one in self._came:
                self._count(one, self._echo(at - self._late))
        with np.errstate(all="ignore"):
            share = np.nanquantile(np.stack(self._shares), _ECHO, axis=0)
        self._share = np.where(np.isnan(share), np.inf, share)


def _alike(one: Floats, other: Floats) -> float:
    """Return how alike two courses of power are, over all bands."""
    one, other = one - one.mean(axis=0), other - other.mean(axis=0)
    return float(np.sum(one * other) / np.sqrt(np.sum(other**2) + 1e-9))


def _bands(blocks: Floats) -> Floats:
    """Return the power in each band of each block."""
    power = np.abs(np.fft.rfft(blocks * _WINDOW)) ** 2
    return np.stack([power[:, a:b].sum(axis=1) for a, b in pairwise(_BINS)], axis=1)
