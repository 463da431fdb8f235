"""What the training of the ear learns from: clips on the device and what is to be written of each, growing.

Speech is still being made while the training runs; a `Reader` takes in what is new beside it. Wants torch.
"""

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from threading import Thread
from typing import Any

import numpy as np
import numpy.typing as npt

from bot.bench.ear_mix import Clips
from bot.bench.ear_people import Person
from bot.bench.ear_speak import APART, RATE, ClipSample, Samples, read_new

Rows = npt.NDArray[np.int64]
Spelt = Callable[[Sequence[str]], list[list[int]]]

OFTEN = {"precise": 0.4, "wake": 0.6, "digits": 0.6, "words": 0.45}
"""Sources of people's clips that come less often than others."""
_GENERAL = ("plain", "words")
NATURAL = "kokoro"
"""The synthesiser whose voices are like people's; its clips are fewer and come more often."""


@dataclass(frozen=True, slots=True, eq=False)
class Corpus:
    """All clips, what is to be written of each, and who may be heard in training."""

    clips: Clips
    lengths: Rows
    tokens: list[list[int]]
    soft: dict[int, tuple[Any, Any]]
    """The likeliest tokens and their shares, of clips of people by number."""
    people: Rows
    weights: npt.NDArray[np.float64]
    """How often each of the people comes."""
    deck: Rows
    general: Rows
    apart: Rows
    """Clips of the deck that are not trained on."""
    natural: npt.NDArray[np.bool_]
    """Of every clip whether a synthesiser with voices like people's said it."""
    counts: Counter[str]

    @classmethod
    def of_people(cls, people: Sequence[Person], device: str) -> "Corpus":
        """Return a corpus of people alone."""
        weights = np.array([OFTEN.get(p.source, 1.0) for p in people])
        lengths = [len(p.sound) for p in people]
        none = np.zeros(0, np.int64)
        return cls(
            Clips.of([p.sound for p in people], lengths, device),
            np.asarray(lengths, np.int64),
            [p.tokens for p in people],
            {n: p.likeliest for n, p in enumerate(people) if p.likeliest is not None},
            np.arange(len(people)),
            weights / max(weights.sum(), 1e-9),
            none,
            none,
            none,
            np.zeros(len(people), bool),
            Counter(people=len(people)),
        )

    def and_more(
        self,
        sounds: Sequence[Samples],
        said: Sequence[ClipSample],
        spelt: Spelt,
        device: str,
    ) -> "Corpus":
        """Return this corpus and clips of made speech after it."""
        texts = list({one.text for one in said})
        known = dict(zip(texts, spelt(texts), strict=True))
        lengths = [one.count for one in said]
        first = len(self.tokens)
        kinds = np.array([one.kind for one in said])
        general = np.isin(kinds, _GENERAL)
        apart = kinds == APART
        return Corpus(
            self.clips.and_more(Clips.of(sounds, lengths, device)),
            np.concatenate([self.lengths, np.asarray(lengths, np.int64)]),
            [*self.tokens, *(known[one.text] for one in said)],
            self.soft,
            self.people,
            self.weights,
            np.concatenate([self.deck, first + np.flatnonzero(~general & ~apart)]),
            np.concatenate([self.general, first + np.flatnonzero(general)]),
            np.concatenate([self.apart, first + np.flatnonzero(apart)]),
            np.concatenate([self.natural, np.array([one.program == NATURAL for one in said])]),
            self.counts
            + Counter(one.program for one in said)
            + Counter(seconds=sum(lengths) // RATE),
        )


def draw_rows(rows: Rows, natural: npt.NDArray[np.bool_], count: int, share: float) -> Rows:
    """Return so many of some rows by chance, a share of them by voices like people's if there are any."""
    two = rows[natural[rows]], rows[~natural[rows]]
    if not len(two[0]) or not len(two[1]):
        return np.random.choice(rows, count)
    many = int(count * share)
    return np.concatenate(
        [np.random.choice(part, n) for part, n in zip(two, (many, count - many), strict=True)]
    )


class Reader:
    """Takes in speech that was made since, in a thread."""

    def __init__(self, folder: Path, corpus: Corpus, spelt: Spelt, device: str) -> None:
        self.corpus = corpus
        self._folder, self._spelt, self._device = folder, spelt, device
        self._read: set[Path] = set()
        self._next: Corpus | None = None
        self._thread: Thread | None = None

    def begin(self) -> None:
        """Begin to take in what is there, unless that is going on."""
        if self._thread is None:
            self._thread = Thread(target=self._go, daemon=True)
            self._thread.start()

    def wait(self) -> Corpus:
        """Return the corpus with all that is there now."""
        self.begin()
        assert self._thread is not None
        self._thread.join()
        return self.newest() or self.corpus

    def newest(self) -> Corpus | None:
        """Return the grown corpus once it is there, and once only."""
        if self._thread is None or self._thread.is_alive():
            return None
        self._thread, found, self._next = None, self._next, None
        if found is not None:
            self.corpus = found
        return found

    def _go(self) -> None:
        sounds, said = read_new(self._folder, self._read)
        if said:
            self._next = self.corpus.and_more(sounds, said, self._spelt, self._device)
