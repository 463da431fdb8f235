"""Many voices saying sentences, on all cores at once: what the ear is trained on.

`python -m bot.bench ear_speak TEXTS CLIPS` says the sentences of `ear_pack texts` by espeak-ng, flite and
Pico (`ear_voices`), or with `--kokoro` by Kokoro (`ear_kokoro`), each faster or slower, higher or lower. None
of the voices, heads or accents with which `hear_data` judges. Writes arrays of samples for each process, with
what they hold; `ear_train` reads them.
"""

import argparse
import json
import os
import time
from collections.abc import Callable, Iterable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from multiprocessing import Pool
from pathlib import Path
from random import Random

import numpy as np
import numpy.typing as npt
from scipy.signal import resample_poly

from bot.bench import ear_kokoro, ear_voices

RATE = 16_000
GAP = 800
"""Samples of silence after each clip of a packed file."""
_BRITISH = "gmw/en"
"""British English by its file: as `en-gb` espeak-ng passes over the head that is asked for."""
ACCENTS = f"en-us en-us en-us {_BRITISH} {_BRITISH} en-gb-x-gbclan en-gb-x-gbcwmd en-us-nyc".split()
HEADS = (
    "m1 m2 m3 m4 m6 m8 f1 f2 f3 Alex Alicia Andrea Annie adam anika antonio aunty belinda benjamin boris"
    " caleb david ed edward edward2 gustave iven iven2 iven3 iven4 john klatt klatt2 klatt4 klatt5 klatt6"
    " max michel miguel norbert pablo paul pedro quincy rob robert sandro shelby steph steph3 travis"
    " victor Denis Diogo Gene Gene2 Hugo Jacky Lee Marco Mario Michael Mike Nguyen Storm grandma grandpa"
    " marcelo Henrique announcer RicishayMax RicishayMax2 RicishayMax3"
).split()
SHARES: Mapping[str, float] = {"espeak-ng": 0.62, "pico": 0.28, "flite": 0.10}
NATURAL: Mapping[str, float] = {"kokoro": 1.0}
_LONGEST_S = 14.0
_LOUDEST = 16_000
APART = "apart"
"""The kind of the sentences that are not trained on; they are said first."""
_OFTEN: Mapping[str, int] = {
    "call": 2,
    "talk": 1,
    "call-swapped": 1,
    "talk-swapped": 1,
    "answer": 6,
    "words": 1,
    "plain": 3,
    APART: 1,
}
"""How many voices say a sentence of a kind; two where it is not named."""
_CHUNK = 500
"""Clips in a file."""
_IN_A_ROW: Mapping[str, int] = {"kokoro": 8}
"""How many sentences a program says in a row, where it is not one."""
_SAY_S = 60
"""Seconds after which a process says how far it is."""

Samples = npt.NDArray[np.int16]
Floats = ear_voices.Floats
Said = tuple[Floats, int]
"""A sentence, and its samples a second."""


@dataclass(frozen=True, slots=True)
class ClipSample:
    """One clip among the samples of its process."""

    text: str
    kind: str
    program: str
    count: int
    """Samples."""


def main(argv: list[str]) -> int:
    """Say sentences until done or out of time."""
    parser = argparse.ArgumentParser(prog="python -m bot.bench ear_speak", description=__doc__)
    parser.add_argument("texts", type=Path)
    parser.add_argument("clips", type=Path)
    parser.add_argument("--seconds", type=float, default=480)
    parser.add_argument("--cores", type=int, default=16)
    parser.add_argument("--count", type=int, help="sentences at most, of all kinds")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--kokoro", action="store_true", help="by Kokoro alone")
    args = parser.parse_args(argv)
    texts = json.loads(args.texts.read_text("utf-8"))
    texts = texts[:: max(1, len(texts) // args.count)] if args.count else texts
    shares = NATURAL if args.kokoro else SHARES
    speak_all(
        texts, args.clips, limit_s=args.seconds, seed=args.seed, cores=args.cores, shares=shares
    )
    return 0


def speak_all(
    sentences: Sequence[tuple[str, str]],
    folder: Path,
    *,
    limit_s: float,
    seed: int,
    cores: int,
    shares: Mapping[str, float] = SHARES,
) -> None:
    """Say (text, kind) rows until done or out of time; files come as they are full."""
    folder.mkdir(parents=True, exist_ok=True)
    os.nice(10)
    jobs = _jobs(sentences, Random(seed))
    until = time.time() + limit_s
    parts = [(n, jobs[n::cores], folder, until, seed, shares) for n in range(cores)]
    print("speak", len(jobs), "jobs", flush=True)
    with Pool(cores) as pool:
        for number, tried, kept, wrong in pool.imap_unordered(_speak, parts):
            print("speak", number, tried, kept, wrong, flush=True)


def read_new(folder: Path, read: set[Path]) -> tuple[list[Samples], list[ClipSample]]:
    """Return the samples of each file that was not read yet, and all its clips in the same order."""
    files = sorted(set(folder.glob("*.json")) - read)
    read.update(files)
    with ThreadPoolExecutor(8) as pool:
        sounds = list(pool.map(np.load, [file.with_suffix(".npy") for file in files]))
    rows = (row for file in files for row in json.loads(file.read_text("utf-8")))
    return sounds, [ClipSample(*row) for row in rows]


def _jobs(sentences: Iterable[tuple[str, str]], rng: Random) -> list[tuple[str, str]]:
    jobs = []
    for text, kind in sentences:
        often = _OFTEN.get(kind, 2)
        jobs += [(text, kind)] * often
    rng.shuffle(jobs)
    return sorted(jobs, key=lambda job: job[1] != APART)


def _speak(
    part: tuple[int, list[tuple[str, str]], Path, float, int, Mapping[str, float]],
) -> tuple[int, int, int, dict[str, int]]:
    number, jobs, folder, until, seed, shares = part
    rng = Random(seed * 1000 + number)
    clips: list[Samples] = []
    said: list[tuple[str, str, str, int]] = []
    wrong: dict[str, int] = {}
    tried = kept = 0
    told = time.time()
    while tried < len(jobs) and time.time() <= until:
        if number == 0 and time.time() > told + _SAY_S:
            told = time.time()
            print("speak", tried, "of", len(jobs), "in the first process", flush=True)
        program = rng.choices(list(shares), list(shares.values()))[0]
        some = jobs[tried : tried + _IN_A_ROW.get(program, 1)]
        tried += len(some)
        try:
            sounds = _PROGRAMS[program]([text for text, _ in some], rng)
        except Exception as exc:  # a synthesiser that fails costs what it said then alone
            wrong[f"{program} {exc!r}"[:90]] = wrong.get(f"{program} {exc!r}"[:90], 0) + 1
            continue
        for (text, kind), sound in zip(some, sounds, strict=False):
            clip = _clip(*sound, rng)
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
    voice = rng.choice(ACCENTS)
    if voice == _BRITISH or rng.random() < 0.93:  # by itself it is a voice that judges
        voice += f"+{rng.choice(HEADS)}"
    speed, pitch = rng.randint(115, 215), rng.randint(20, 80)
    gap = rng.randint(1, 4) if rng.random() < 0.25 else 0
    speaker = ear_voices.espeak()
    return speaker.say(text, voice, speed, pitch, gap), speaker.hertz


def _flite(text: str, rng: Random) -> tuple[Floats, int]:
    return ear_voices.flite().say(text, round(rng.uniform(0.75, 1.3), 2))


def _pico(text: str, rng: Random) -> tuple[Floats, int]:
    language = rng.choice(("en-US", "en-GB"))
    return ear_voices.pico(text, language, rng.uniform(0.75, 1.35), rng.uniform(0.7, 1.3))


def _alone(does: Callable[[str, Random], Said]) -> Callable[[Sequence[str], Random], list[Said]]:
    return lambda texts, rng: [does(text, rng) for text in texts]


_PROGRAMS = {
    "espeak-ng": _alone(_espeak),
    "pico": _alone(_pico),
    "flite": _alone(_flite),
    "kokoro": ear_kokoro.speak_row,
}
