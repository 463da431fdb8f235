"""A CTranslate2 model with its weights as whole numbers of eight bits, made in memory before it is loaded.

CTranslate2 makes them itself where it is asked to; but then it holds a table that two layers share twice,
20 MB more with Whisper tiny, and needs three times the memory while it loads. The file is read and written as
`ctranslate2.specs.model_spec` of that package (MIT) writes it, and rounded as there: the same numbers.
"""

import struct
from collections.abc import Iterator, Mapping
from io import BytesIO
from pathlib import Path
from typing import BinaryIO, Final

import numpy as np

_VERSION: Final = 6
"""Of the file's layout; another is not read."""
_INT8, _FLOAT16, _FLOAT32 = 1, 4, 0
"""Marks of kinds of numbers."""
_WEIGHT: Final = "weight"
_MODEL: Final = "model.bin"


def whole_files(folder: Path) -> Mapping[str, bytes]:
    """Give the files of a model, by name, as `ctranslate2` takes them; raises OSError, ValueError."""
    others = {path.name: path for path in folder.iterdir() if path.suffix in (".json", ".txt")}
    files = {name: path.read_bytes() for name, path in others.items() if name != "tokenizer.json"}
    with (folder / _MODEL).open("rb") as file:
        return {**files, _MODEL: whole(file)}


def whole(file: BinaryIO) -> bytes:
    """Give a model with the tables of its linear layers, that are of 16 bits, in 8; raises ValueError."""
    try:
        return _whole(file)
    except struct.error as exc:
        raise ValueError("the file of the model ends too early") from exc


def _whole(file: BinaryIO) -> bytes:
    (version,) = _read(file, "<I")
    if version != _VERSION:
        raise ValueError(f"version {version} of a model, not {_VERSION}")
    written = BytesIO()
    written.write(struct.pack("<I", version) + _name_bytes(_name(file)) + file.read(4))
    count_at = written.tell()
    written.write(bytes(4))
    count = 0
    for _ in range(*_read(file, "<I")):
        for variable in _in_eight(*_variable(file)):
            written.write(variable)
            count += 1
    aliases = [(_name(file), _name(file)) for _ in range(*_read(file, "<I"))]
    aliases += [(f"{a}_scale", f"{of}_scale") for a, of in aliases if _is_weight(a)]
    written.write(struct.pack("<I", len(aliases)))
    for alias, of in aliases:
        written.write(_name_bytes(alias) + _name_bytes(of))
    written.seek(count_at)
    written.write(struct.pack("<I", count))
    return written.getvalue()


def _in_eight(name: str, shape: tuple[int, ...], kind: int, data: bytes) -> Iterator[bytes]:
    """Give what is written for a variable: the table and a scale for each row, or it as it is."""
    if not _is_weight(name) or len(shape) != 2 or kind != _FLOAT16:
        yield _variable_bytes(name, shape, kind, data)
        return
    table = np.frombuffer(data, np.float16).astype(np.float32).reshape(shape)
    largest = np.maximum(table.max(axis=1), -table.min(axis=1))
    scales = np.float32(127) / np.where(largest == 0, np.float32(127), largest)
    table *= scales[:, None]
    rounded = np.rint(table, out=table).astype(np.int8)
    yield _variable_bytes(name, shape, _INT8, rounded.tobytes())
    yield _variable_bytes(f"{name}_scale", shape[:1], _FLOAT32, scales.tobytes())


def _is_weight(name: str) -> bool:
    return name.rsplit("/", 1)[-1] == _WEIGHT


def _variable(file: BinaryIO) -> tuple[str, tuple[int, ...], int, bytes]:
    name = _name(file)
    (dimensions,) = _read(file, "<B")
    shape = _read(file, f"<{dimensions}I")
    kind, size = _read(file, "<BI")
    return name, shape, kind, file.read(size)


def _variable_bytes(name: str, shape: tuple[int, ...], kind: int, data: bytes) -> bytes:
    head = _name_bytes(name) + struct.pack(f"<B{len(shape)}I", len(shape), *shape)
    return head + struct.pack("<BI", kind, len(data)) + data


def _name(file: BinaryIO) -> str:
    (length,) = _read(file, "<H")
    return file.read(length)[:-1].decode()


def _name_bytes(name: str) -> bytes:
    return struct.pack("<H", len(name) + 1) + name.encode() + b"\0"


def _read(file: BinaryIO, form: str) -> tuple[int, ...]:
    return struct.unpack(form, file.read(struct.calcsize(form)))
