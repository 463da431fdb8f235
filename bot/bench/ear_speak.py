"""Many voices saying sentences, on all cores at once: what the ear is trained on.

Runs espeak-ng, flite and Pico's voices (package py-nanotts), each sentence faster or slower, higher or lower.
None of the voices, heads or accents that `hear_data` judges with. Writes arrays of samples for each
process, with what they hold; `ear_train` reads them.
"""

import json
import os
import subprocess
import time
import wave
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from multiprocessing import Pool
from pathlib import Path
from random import Random

import numpy as np
import numpy.typing as npt
from scipy.signal import resample_poly

RATE = 16_000
GAP = 800
"""Samples of silence after each clip of a packed file."""
ACCENTS = "en-us en-us en-us en-gb en-gb en-gb-x-gbclan en-gb-x-gbcwmd en-us-nyc".split()
HEADS = (
    "m1 m2 m3 m4 m6 m8 f1 f2 f3 Alex Alicia Andrea Annie adam anika antonio aunty belinda benjamin boris"
    " caleb david ed edward edward2 gustave iven iven2 iven3 iven4 john klatt klatt2 klatt4 klatt5 klatt6"
    " max michel miguel norbert pablo paul pedro quincy rob robert sandro shelby steph steph3 travis"
    " victor Denis Diogo Gene Gene2 Hugo Jacky Lee Marco Mario Michael Mike Nguyen Storm grandma grandpa"
    " marcelo Henrique announcer RicishayMax RicishayMax2 RicishayMax3"
).split()
SHARES: Mapping[str, float] = {"espeak-ng": 0.62, "pico": 0.28, "flite": 0.10}
_LONGEST_S = 9.5
_LOUDEST = 16_000
APART = "apart"
"""The kind of the sentences that are not trained on; they are said first."""
_OFTEN: Mapping[str, int] = {
    "call": 5,
    "talk": 5,
    "answer": 6,
    "numbers": 2,
    "plain": 2,
    "words": 1,
    APART: 1,
}
"""How many voices say a sentence of a kind; two where it is not named."""
_CHUNK = 500
"""Clips in a file."""

Samples = npt.NDArray[np.int16]
Floats = npt.NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class Said:
    """One clip among the samples of its process."""

    text: str
    kind: str
    program: str
    count: int
    """Samples."""


def speak_all(
    sentences: Sequence[tuple[str, str]], folder: Path, *, limit_s: float, seed: int, cores: int
) -> None:
    """Say (text, kind) rows until done or out of time; files come as they are full."""
    folder.mkdir(parents=True, exist_ok=True)
    os.nice(10)
    jobs = _jobs(sentences, Random(seed))
    parts = [(n, jobs[n::cores], folder, time.time() + limit_s, seed) for n in range(cores)]
    with Pool(cores) as pool:
        for number, tried, kept, wrong in pool.imap_unordered(_speak, parts):
            print("speak", number, tried, kept, wrong, flush=True)


def read_new(folder: Path, read: set[Path]) -> tuple[list[Samples], list[Said]]:
    """Return the samples of each file that was not read yet, and all its clips in the same order."""
    sounds, said = [], list[Said]()
    for file in sorted(set(folder.glob("*.json")) - read):
        read.add(file)
        sounds.append(np.load(file.with_suffix(".npy")))
        said += [Said(*row) for row in json.loads(file.read_text("utf-8"))]
    return sounds, said


def _jobs(sentences: Iterable[tuple[str, str]], rng: Random) -> list[tuple[str, str]]:
    jobs = []
    for text, kind in sentences:
        often = _OFTEN.get(kind, 2)
        jobs += [(text, kind)] * often
    rng.shuffle(jobs)
    return sorted(jobs, key=lambda job: job[1] != APART)


def _speak(
    part: tuple[int, list[tuple[str, str]], Path, float, int],
) -> tuple[int, int, int, dict[str, int]]:
    number, jobs, folder, until, seed = part
    rng = Random(seed * 1000 + number)
    clips: list[Samples] = []
    said: list[tuple[str, str, str, int]] = []
    wrong: dict[str, int] = {}
    tried = kept = 0
    for text, kind in jobs:
        if time.time() > until:
            break
        tried += 1
        program = rng.choices(list(SHARES), list(SHARES.values()))[0]
        try:
            clip = _clip(*_PROGRAMS[program](text, rng), rng)
        except Exception as exc:  # a synthesiser that fails on a line costs that line alone
            wrong[f"{program} {exc!r}"[:90]] = wrong.get(f"{program} {exc!r}"[:90], 0) + 1
            continue
        if clip is not None:
            kept += 1
            clips.append(clip)
            said.append((text, kind, program, len(clip)))
        if len(said) >= _CHUNK:
            _write(folder / f"{seed}_{number}_{tried}", clips, said)
    _write(folder / f"{seed}_{number}_{tried}", clips, said)
    return number, tried, kept, wrong


def _write(path: Path, clips: list[Samples], said: list[tuple[str, str, str, int]]) -> None:
    """Write clips and empty the lists; the table comes last, so that what has one is whole."""
    if clips:
        np.save(path.with_suffix(".npy"), np.concatenate(clips))
        table = path.with_suffix(".part")
        table.write_text(json.dumps(said), "utf-8")
        table.rename(path.with_suffix(".json"))
        clips.clear()
        said.clear()


def _clip(sound: Floats, hertz: int, rng: Random) -> Samples | None:
    """Return a clip at 16 kHz, its tape a little faster or slower, cut to what is said."""
    tape = rng.uniform(0.88, 1.13) if rng.random() < 0.6 else 1.0
    sound = resample_poly(sound, int(RATE / tape) // 20, hertz // 20)
    if not 3000 <= len(sound) <= _LONGEST_S * RATE:
        return None
    loud = np.flatnonzero(np.abs(sound) > 0.01 * np.abs(sound).max())
    sound = sound[max(0, loud[0] - 400) : loud[-1] + 800]
    return np.asarray(sound / np.abs(sound).max() * _LOUDEST, np.int16)


def _espeak(text: str, rng: Random) -> tuple[Floats, int]:
    voice = rng.choice(ACCENTS) + (f"+{rng.choice(HEADS)}" if rng.random() < 0.93 else "")
    options = ["-v", voice, "-s", str(rng.randint(115, 215)), "-p", str(rng.randint(20, 80))]
    if rng.random() < 0.25:
        options += ["-g", str(rng.randint(1, 4))]
    command = [os.environ.get("ESPEAK", "espeak-ng"), *options, "--stdout", text]
    done = subprocess.run(command, capture_output=True, timeout=10, check=True).stdout
    return _floats(done[44 : len(done) // 2 * 2]), 22_050


def _flite(text: str, rng: Random) -> tuple[Floats, int]:
    path = f"/dev/shm/ear{os.getpid()}.wav"
    stretch = f"duration_stretch={rng.uniform(0.75, 1.3):.2f}"
    command = [os.environ.get("FLITE", "flite"), "-voice", "rms", "--setf", stretch]
    subprocess.run([*command, "-t", text, "-o", path], capture_output=True, timeout=20, check=True)
    with wave.open(path) as file:
        return _floats(file.readframes(file.getnframes())), int(file.getframerate())


def _pico(text: str, rng: Random) -> tuple[Floats, int]:
    from py_nanotts import NanoTTS

    data = NanoTTS().speak(
        text, rng.choice(("en-US", "en-GB")), rng.uniform(0.75, 1.35), rng.uniform(0.7, 1.3)
    )
    return _floats(data), RATE


def _floats(data: bytes) -> Floats:
    return np.asarray(np.frombuffer(data, "<i2") / 32768, np.float32)


_PROGRAMS = {"espeak-ng": _espeak, "pico": _pico, "flite": _flite}
