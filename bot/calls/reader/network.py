"""The network itself: a small transformer over the pieces of a line, in numpy.

Four layers, 256 wide, weights of eight bits; made by `bot/bench/reader_train.py`. It gives for each word
the log probability of every act, of beginning a call, and of every role. Several of them look at a line at
once: the first axis of every array is that of the networks. Pure once loaded.
"""

from collections.abc import Mapping, Sequence
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
_BLOCK: Final = 25_000
"""Most weights of a block: a line times so few is worked out at once, without copying the weights first."""


@dataclass(frozen=True, slots=True)
class WordScores:
    """What networks say of each word."""

    act: Floats
    """Log probabilities, networks x words x acts."""
    begin: Floats
    """Log odds that a call begins here, networks x words."""
    role: Floats
    """Log probabilities, networks x words x roles."""


@dataclass(frozen=True, slots=True)
class _Rows:
    """A table of which few rows are used, kept in eight bits: a quarter of the memory."""

    steps: NDArray[np.int8]
    size: Floats
    """Size of a step, for each row."""

    def __getitem__(self, rows: tuple[slice, Sequence[int]]) -> Floats:
        """Return rows of each network as numbers."""
        found: Floats = self.steps[rows].astype(np.float32)
        found *= self.size[rows]
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
    """One network, or several of the same labels that look together; the cache changes no answer."""

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
    """Most pieces of the lines before that they have learnt to read."""
    _pieces: dict[str, tuple[int, ...]] = field(default_factory=dict)

    def look(
        self,
        words: Sequence[str],
        known: Sequence[Sequence[bool]],
        flags: Sequence[bool],
        before: Sequence[tuple[str, Sequence[bool]]] = (),
    ) -> WordScores:
        """Return what the networks say of words, given what is known of each and what is going on.

        `before` are the words of the lines before, with what is known of each.
        """
        ids, firsts = [self._vocab[_CLS]], []
        rows: list[Sequence[bool]] = [(False,) * self._known.shape[1]]
        for word, row in zip(words, known, strict=True):
            pieces = self._pieces_of(word)
            if len(ids) + len(pieces) > LONGEST - 1:
                break
            firsts.append(len(ids))
            ids += pieces
            rows += [row] * len(pieces)
        places = list(range(len(ids)))
        if before and self._before and len(ids) <= LONGEST - self._before:
            pieces_before = [(p, row) for word, row in before for p in self._pieces_of(word)]
            earlier = pieces_before[-self._before :]
            ids += [piece for piece, _ in earlier]
            rows += [row for _, row in earlier]
            places += range(LONGEST - len(earlier), LONGEST)
        x: Floats = self._word[:, ids]
        x += self._place[:, places]
        x += np.array(rows, np.float32) @ self._known
        x[:, 0] += np.asarray(flags, np.float32)[: self._flags.shape[1]] @ self._flags
        x = _normed(x, self._norm)
        *layers, last = self._layers
        for layer in layers:
            x = self._through(x, layer)
        out = self._through(x, last, firsts) @ self._out + self._out_bias
        count = len(self.acts)
        return WordScores(_logs(out[..., :count]), out[..., count], _logs(out[..., count + 1 :]))

    def _through(self, x: Floats, layer: _Layer, rows: Sequence[int] | None = None) -> Floats:
        """Return what a layer makes of pieces, or of some rows of them, which look at all the others."""
        count, size, width = x.shape
        each = width // self._heads
        qkv = _times(x, layer.qkv)
        qkv += layer.qkv_bias
        q, k, v = qkv.reshape(count, size, 3, self._heads, each).transpose(2, 0, 3, 1, 4)
        if rows is not None:
            q, x = q[:, :, rows], x[:, rows]
        weights = q @ k.swapaxes(-1, -2)
        weights *= np.float32(each**-0.5)
        weights -= weights.max(-1, keepdims=True)
        np.exp(weights, out=weights)
        weights /= weights.sum(-1, keepdims=True)
        attended = _times((weights @ v).swapaxes(1, 2).reshape(x.shape), layer.out)
        attended += layer.out_bias
        attended += x
        x = _normed(attended, layer.norm1)
        inner = _times(x, layer.up)
        inner += layer.up_bias
        through = _times(_gelu(inner), layer.down)
        through += layer.down_bias
        through += x
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


def _in_blocks(weights: Floats) -> Floats:
    """Return weights (networks x out x in) for `_times`: networks x blocks x in x columns of a block."""
    count, out, into = weights.shape
    columns = 1 << max(0, (_BLOCK // into).bit_length() - 1)
    columns = out if out % columns else columns
    blocks = weights.reshape(count, out // columns, columns, into)
    return np.ascontiguousarray(blocks.swapaxes(-1, -2))


def _times(x: Floats, weights: Floats) -> Floats:
    """Return rows of numbers times the weights of a layer, which stand in blocks."""
    count, blocks, _, columns = weights.shape
    found = np.empty((count, x.shape[1], blocks * columns), np.float32)
    np.matmul(x[:, None], weights, out=found.reshape(*x.shape[:2], blocks, columns).swapaxes(1, 2))
    return found


def _normed(x: Floats, norm: tuple[Floats, Floats]) -> Floats:
    """Return rows with their mean 0 and their deviation 1, then scaled; it writes over them."""
    x -= x.mean(-1, keepdims=True)
    spread = np.einsum("nij,nij->ni", x, x)[..., None]
    spread /= x.shape[-1]
    spread += np.float32(_EPS)
    x /= np.sqrt(spread, out=spread)
    x *= norm[0]
    x += norm[1]
    return x


_ERF: Final = (0.254829592, -0.284496736, 1.421413741, -1.453152027, 1.061405429)
"""Coefficients of the error function, Abramowitz and Stegun 7.1.26 (within 1.5e-7)."""


def _gelu(x: Floats) -> Floats:
    """Return what is above 0 of each number less its size times half of one less the error function of that.

    It writes over the numbers.
    """
    size = np.abs(x)
    t = size * np.float32(0.3275911 * 0.7071067811865476)
    t += np.float32(1.0)
    np.reciprocal(t, out=t)
    *others, last = (np.float32(a / 2) for a in _ERF)
    below = t * last
    for a in reversed(others):
        below += a
        below *= t
    np.multiply(size, size, out=t)
    t *= np.float32(-0.5)
    below *= np.exp(t, out=t)
    below *= size
    np.maximum(x, np.float32(0.0), out=x)
    x -= below
    return x


def _logs(x: Floats) -> Floats:
    x = x - x.max(-1, keepdims=True)
    logs: Floats = x - np.log(np.exp(x).sum(-1, keepdims=True))
    return logs


@lru_cache(maxsize=2)
def _numbered(pieces: str) -> dict[str, int]:
    """Return pieces of words, one a line, with their numbers; networks of the same pieces share them."""
    return {piece: number for number, piece in enumerate(pieces.split("\n"))}


def _weights(held: Mapping[str, Any], name: str) -> Floats:
    if name + ".q" in held:
        weights: Floats = held[name + ".q"].astype(np.float32)
        weights *= held[name + ".s"]
        return weights
    return np.asarray(held[name], np.float32)


def load(*files: bytes) -> Network:
    """Return the networks that files of weights hold, which have the same pieces and labels."""
    each = [np.load(BytesIO(data)) for data in files]  # what is not asked for is not read
    found = each[0]

    def get(name: str) -> Floats:
        return np.stack([_weights(held, name) for held in each])

    def rows(name: str) -> _Rows | Floats:
        if name + ".q" not in found:
            return get(name)
        return _Rows(*(np.stack([held[name + part] for held in each]) for part in (".q", ".s")))

    def bias(name: str) -> Floats:
        return get(name)[:, None]

    def turned(name: str) -> Floats:
        return np.ascontiguousarray(get(name).swapaxes(1, 2))

    def norm(name: str) -> tuple[Floats, Floats]:
        return bias(name + ".weight"), bias(name + ".bias")

    def blocks(name: str) -> Floats:
        return _in_blocks(get(name))

    def layer(at: str) -> _Layer:
        return _Layer(
            blocks(at + "qkv.weight"), bias(at + "qkv.bias"),
            blocks(at + "out.weight"), bias(at + "out.bias"), norm(at + "norm1"),
            blocks(at + "up.weight"), bias(at + "up.bias"),
            blocks(at + "down.weight"), bias(at + "down.bias"), norm(at + "norm2"),
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
        np.concatenate([turned(f"{h}.weight") for h in heads], axis=2),
        np.concatenate([bias(f"{h}.bias") for h in heads], axis=2),
        int(found["before"]) if "before" in found else 0,
    )  # fmt: skip
