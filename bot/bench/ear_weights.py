"""Whisper's weights as CTranslate2 keeps them: a model.bin read, packed into bytes, and written.

The format is version 6 of CTranslate2's model.bin. Knows files and arrays; no network, no training.
"""

import io
import struct
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[Any]

_TYPES = {0: np.float32, 1: np.int8, 2: np.int16, 3: np.int32, 4: np.float16}
_CODES = {np.dtype(kind): code for code, kind in _TYPES.items()}
EMBEDDINGS = "decoder/embeddings/weight"
"""The vectors of the tokens, going in and coming out; never trained here."""
_WHOLE = ("conv1/weight", "conv2/weight", "position_encodings/encodings")
"""Weights that CTranslate2 does not compute with in bytes."""


@dataclass(frozen=True, slots=True)
class Model:
    """What a model.bin holds."""

    version: int
    spec: str
    revision: int
    weights: Mapping[str, Array]
    aliases: tuple[tuple[str, str], ...]


def read(path: Path) -> Model:
    """Read a model.bin."""
    file = io.BytesIO(path.read_bytes())
    (version,) = _numbers(file, "I")
    spec = _text(file)
    revision, count = _numbers(file, "II")
    weights: dict[str, Array] = {}
    for _ in range(count):
        name = _text(file)
        (rank,) = _numbers(file, "B")
        shape = _numbers(file, "I" * rank)
        code, size = _numbers(file, "BI")
        weights[name] = np.frombuffer(file.read(size), _TYPES[code]).reshape(shape)
    (others,) = _numbers(file, "I")
    return Model(
        version, spec, revision, weights, tuple((_text(file), _text(file)) for _ in range(others))
    )


def write(model: Model, path: Path) -> None:
    """Write a model.bin."""
    out = io.BytesIO()
    out.write(struct.pack("<I", model.version) + _packed(model.spec))
    out.write(struct.pack("<II", model.revision, len(model.weights)))
    for name, weight in model.weights.items():
        data = np.array(weight, order="C")
        out.write(_packed(name) + struct.pack("<B", data.ndim))
        out.write(struct.pack(f"<{data.ndim}I", *data.shape))
        out.write(struct.pack("<BI", _CODES[data.dtype], data.nbytes) + data.tobytes())
    out.write(struct.pack("<I", len(model.aliases)))
    for alias, name in model.aliases:
        out.write(_packed(alias) + _packed(name))
    path.write_bytes(out.getvalue())


def whole(weights: Mapping[str, Array]) -> dict[str, Array]:
    """Return weights as 32-bit floats, bytes multiplied by their scales."""
    found: dict[str, Array] = {}
    for name, weight in weights.items():
        if name.endswith("_scale"):
            continue
        scale = weights.get(f"{name}_scale")
        floats = weight.astype(np.float32)
        found[name] = floats if scale is None else floats / scale[:, None].astype(np.float32)
    return found


def pack(weights: Mapping[str, Array]) -> dict[str, Array]:
    """Return matrices as bytes with a scale for each row, as CTranslate2 computes with them.

    A byte is the weight times 127 over the largest of its row.
    """
    found: dict[str, Array] = {}
    for name, weight in weights.items():
        if not _is_matrix(name, weight):
            found[name] = weight
            continue
        rows = weight.astype(np.float32)
        scale = 127.0 / np.maximum(np.abs(rows).max(axis=1), 1e-9)
        found[name] = np.round(rows * scale[:, None]).astype(np.int8)
        found[f"{name}_scale"] = scale.astype(np.float32)
    return found


def _is_matrix(name: str, weight: Array) -> bool:
    floats = weight.dtype in (np.float16, np.float32)
    return floats and weight.ndim == 2 and not name.endswith(_WHOLE)


def _numbers(file: io.BytesIO, form: str) -> tuple[int, ...]:
    return struct.unpack(f"<{form}", file.read(struct.calcsize(f"<{form}")))


def _text(file: io.BytesIO) -> str:
    (length,) = _numbers(file, "H")
    return file.read(length)[:-1].decode()


def _packed(text: str) -> bytes:
    data = text.encode() + b"\0"
    return struct.pack("<H", len(data)) + data
