"""The phone network as the package `hama` carries it: where the training began."""

import importlib.util
import json
import math
import struct
from pathlib import Path

import numpy as np

from bot.errors import DeckcallError
from bot.speech.phones import SILENT, Floats, Network, columns_of

_PACKAGE = "hama"


def original() -> tuple[Network, list[str]]:
    """Return the network and the names of its outputs; raises DeckcallError where the package is missing."""
    spec = importlib.util.find_spec(_PACKAGE)
    if spec is None or spec.origin is None:
        raise DeckcallError(
            "the network that training begins with is missing: pip install hama==1.7.0"
        )
    folder = Path(spec.origin).parent / "assets"
    names = json.loads((folder / "g2p_vocab.json").read_text(encoding="utf-8"))
    outputs = [*names["decoder"], *SILENT]
    weights = _unpacked((folder / "asr_waveform.hama").read_bytes())
    return Network(weights, columns_of(outputs)), outputs


def _unpacked(data: bytes) -> dict[str, Floats]:
    """Read a weight archive: a mark, the number of arrays, a head for each, then their numbers."""
    if data[:6] != b"HAMAPK":
        raise DeckcallError("the package hama holds no archive of weights: install version 1.7.0")
    (count,) = struct.unpack_from("<I", data, 8)
    heads: list[tuple[str, int, tuple[int, ...], int, int]] = []
    at = 12
    for _ in range(count):
        (length,) = struct.unpack_from("<H", data, at)
        name = data[at + 2 : at + 2 + length].decode()
        kind, dimensions = struct.unpack_from("<BB", data, at + 2 + length)
        at += 4 + length
        shape = struct.unpack_from(f"<{dimensions}I", data, at)
        start, size = struct.unpack_from("<QQ", data, at + 4 * dimensions)
        at += 4 * dimensions + 16
        heads.append((name, kind, shape, start, size))
    base = len(data) - max(start + size for *_, start, size in heads)
    return {
        name: np.frombuffer(
            data, np.float16 if kind else np.float32, math.prod(shape), base + start
        )
        .astype(np.float32)
        .reshape(shape)
        for name, kind, shape, start, _ in heads
    }
