"""The network itself: a small transformer over the pieces of a line, in numpy.

Four layers, 256 wide, weights of eight bits; made by `bot/bench/reader_train.py`. It gives for each word
the log probability of every act, of beginning a call, and of every role. Pure once loaded.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from io import BytesIO
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float32]

LONGEST: Final = 80
"""Most pieces of a line that are read."""
BEFORE: Final = 32
"""Most pieces that are read of the lines before; they stand in the last places."""
_PAD, _UNK, _CLS = "[PAD]", "[UNK]", "[CLS]"
_EPS: Final = 1e-12


@dataclass(frozen=True, slots=True)
class Seen:
    """What the network says of each word; one row a word."""

    act: Floats
    """Log probabilities, words x acts."""
    begin: Floats
    """Log odds that a call begins here."""
    role: Floats
    """Log probabilities, words x roles."""


@dataclass(frozen=True, slots=True)
class _Rows:
    """A table of which few rows are used, kept in eight bits: a quarter of the memory."""

    steps: NDArray[np.int8]
    size: Floats
    """Size of a step, for each row."""

    def __getitem__(self, rows: Sequence[int]) -> Floats:
        """Return rows as numbers."""
        found: Floats = self.steps[rows].astype(np.float32) * self.size[rows]
        return found


@dataclass(slots=True)
class _Layer:
    qkv: Floats
    qkv_bias: Floats
    out: Floats
    out_bias: Floats
    norm1: tuple[Floats, Floats]
    up: Floats
    up_bias: Floats
    down: Floats
    down_bias: Floats
    norm2: tuple[Floats, Floats]


@dataclass
class Network:
    """A network with its pieces and labels; its cache changes no answer."""

    acts: tuple[str, ...]
    roles: tuple[str, ...]
    _vocab: dict[str, int]
    _heads: int
    _word: _Rows | Floats
    _place: Floats
    _known: Floats
    _flags: Floats
    _norm: tuple[Floats, Floats]
    _layers: tuple[_Layer, ...]
    _out: Floats
    _out_bias: Floats
    _before: int
    """Most pieces of the lines before that it has learnt to read."""
    _pieces: dict[str, tuple[int, ...]] = field(default_factory=dict)

    def look(
        self,
        words: Sequence[str],
        known: Sequence[Sequence[bool]],
        flags: Sequence[bool],
        before: Sequence[tuple[str, Sequence[bool]]] = (),
    ) -> Seen:
        """Return what the network says of words, given what is known of each and what is going on.

        `before` are the words of the lines before, with what is known of each.
        """
        ids, firsts, rows = [self._vocab[_CLS]], [], [np.zeros(self._known.shape[0], np.float32)]
        for word, row in zip(words, known, strict=True):
            pieces = self._pieces_of(word)
            if len(ids) + len(pieces) > LONGEST - 1:
                break
            firsts.append(len(ids))
            ids += pieces
            rows += [np.asarray(row, np.float32)] * len(pieces)
        places = list(range(len(ids)))
        if before and self._before and len(ids) <= LONGEST - self._before:
            pieces_before = [(p, row) for word, row in before for p in self._pieces_of(word)]
            earlier = pieces_before[-self._before :]
            ids += [piece for piece, _ in earlier]
            rows += [np.asarray(row, np.float32) for _, row in earlier]
            places += range(LONGEST - len(earlier), LONGEST)
        x: Floats = self._word[ids] + self._place[places] + np.stack(rows) @ self._known
        x[0] += np.asarray(flags, np.float32)[: len(self._flags)] @ self._flags
        x = _normed(x, self._norm)
        for layer in self._layers:
            x = self._through(x, layer)
        out = x[firsts] @ self._out + self._out_bias
        count = len(self.acts)
        return Seen(_logs(out[:, :count]), out[:, count], _logs(out[:, count + 1 :]))

    def _through(self, x: Floats, layer: _Layer) -> Floats:
        size, width = x.shape
        each = width // self._heads
        qkv = (x @ layer.qkv + layer.qkv_bias).reshape(size, 3, self._heads, each)
        q, k, v = qkv.transpose(1, 2, 0, 3)
        weights = q @ k.transpose(0, 2, 1) * np.float32(each**-0.5)
        weights -= weights.max(-1, keepdims=True)
        np.exp(weights, out=weights)
        weights /= weights.sum(-1, keepdims=True)
        mixed: Floats = (weights @ v).transpose(1, 0, 2).reshape(size, width)
        attended: Floats = x + mixed @ layer.out + layer.out_bias
        x = _normed(attended, layer.norm1)
        through: Floats = x + _gelu(x @ layer.up + layer.up_bias) @ layer.down + layer.down_bias
        return _normed(through, layer.norm2)

    def _pieces_of(self, word: str) -> tuple[int, ...]:
        found = self._pieces.get(word)
        if found is None:
            found = tuple(_split(word, self._vocab))
            if len(self._pieces) < 20_000:
                self._pieces[word] = found
        return found


def _split(word: str, vocab: dict[str, int]) -> list[int]:
    """Return the pieces of a word, longest first."""
    found: list[int] = []
    at = 0
    while at < len(word):
        end = len(word)
        while end > at and (word[at:end] if at == 0 else "##" + word[at:end]) not in vocab:
            end -= 1
        if end == at:
            return [vocab[_UNK]]
        found.append(vocab[word[at:end] if at == 0 else "##" + word[at:end]])
        at = end
    return found or [vocab[_UNK]]


def _normed(x: Floats, norm: tuple[Floats, Floats]) -> Floats:
    y: Floats = x - x.mean(-1, keepdims=True)
    y /= np.sqrt((y * y).mean(-1, keepdims=True) + np.float32(_EPS))
    found: Floats = y * norm[0] + norm[1]
    return found


_ERF: Final = (0.254829592, -0.284496736, 1.421413741, -1.453152027, 1.061405429)
"""Coefficients of the error function, Abramowitz and Stegun 7.1.26 (within 1.5e-7)."""


def _gelu(x: Floats) -> Floats:
    z = np.abs(x) * np.float32(0.7071067811865476)
    t = 1.0 / (1.0 + np.float32(0.3275911) * z)
    a1, a2, a3, a4, a5 = (np.float32(a) for a in _ERF)
    erf = 1.0 - ((((a5 * t + a4) * t + a3) * t + a2) * t + a1) * t * np.exp(-z * z)
    found: Floats = np.float32(0.5) * x * (1.0 + np.copysign(erf, x))
    return found


def _logs(x: Floats) -> Floats:
    x = x - x.max(-1, keepdims=True)
    logs: Floats = x - np.log(np.exp(x).sum(-1, keepdims=True))
    return logs


@lru_cache(maxsize=2)
def _numbered(pieces: str) -> dict[str, int]:
    """Return pieces of words, one a line, with their numbers; networks of the same pieces share them."""
    return {piece: number for number, piece in enumerate(pieces.split("\n"))}


def load(data: bytes) -> Network:
    """Return the network that a file of weights holds."""
    with np.load(BytesIO(data)) as held:
        found = {name: held[name] for name in held.files}

    def get(name: str) -> Floats:
        if name + ".q" in found:
            weights: Floats = found[name + ".q"].astype(np.float32) * found[name + ".s"]
            return weights
        return np.asarray(found[name], np.float32)

    def rows(name: str) -> _Rows | Floats:
        steps, size = found.get(f"{name}.q"), found.get(f"{name}.s")
        return get(name) if steps is None or size is None else _Rows(steps, size)

    def turned(name: str) -> Floats:
        return np.ascontiguousarray(get(name).T)

    def norm(name: str) -> tuple[Floats, Floats]:
        return get(name + ".weight"), get(name + ".bias")

    def layer(at: str) -> _Layer:
        return _Layer(
            turned(at + "qkv.weight"), get(at + "qkv.bias"), turned(at + "out.weight"), get(at + "out.bias"),
            norm(at + "norm1"), turned(at + "up.weight"), get(at + "up.bias"),
            turned(at + "down.weight"), get(at + "down.bias"), norm(at + "norm2"),
        )  # fmt: skip

    def text(name: str) -> tuple[str, ...]:
        return tuple(str(found[name]).split("\n"))

    layers = sum(1 for name in found if name.startswith("layers.") and name.endswith("norm1.bias"))
    heads: list[Any] = ["act", "begin", "role"]
    return Network(
        text("acts"), text("roles"), _numbered(str(found["pieces"])), int(found["heads"]),
        rows("word.weight"), get("place.weight"),
        turned("known.weight"), turned("flags.weight"), norm("norm"),
        tuple(layer(f"layers.{n}.") for n in range(layers)),
        np.concatenate([turned(f"{h}.weight") for h in heads], axis=1),
        np.concatenate([get(f"{h}.bias") for h in heads]),
        int(found["before"]) if "before" in found else 0,
    )  # fmt: skip
