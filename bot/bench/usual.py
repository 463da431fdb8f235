"""What it brings that the ear learns its crew: forty calls of a speaker, then forty more, with and without.

`python -m bot.bench usual --part test` lets crews of `fixtures/crews` speak, each in a voice of its own, over
made noise: 80 calls that it draws from its own, some often and some once. What was logged rightly or
confirmed is learnt, as the desk does; scored are the second forty. Then somebody else's calls are heard by
what was learnt of the first, which must do them no harm.
"""

import argparse
import json
from collections import Counter
from collections.abc import Sequence
from pathlib import Path
from random import Random
from types import SimpleNamespace

import numpy as np

from bot.bench.corpus import corpus_language
from bot.bench.ear import VOICES, SpokenClip, _end, _noises
from bot.bench.hear_fixtures import opus
from bot.bench.hear_noise import RATE, add_noise
from bot.bench.hear_voices import Voice, speak
from bot.calls.language import Language
from bot.calls.usual import NOTHING_USUAL, Usual, Utterance as Learnt, usual_of
from bot.calls.weigh import Hints
from bot.desk.understood import understand_transcript
from bot.shipped import data_folder
from bot.speech.audio import to_pcm
from bot.speech.open_ear import OpenEngine
from bot.transcript import Transcript

CREWS = {"fit": ("a", "b"), "test": ("s1", "s2", "s3", "f")}
SNRS_DB = (3.0,)
HALF = 40
USUAL = 24
"""Calls that a crew says again and again, the first the oftenest (by Zipf's law)."""
FRESH = 0.15
"""Share of calls that are none of them."""
ENDS = ("done", "asked", "asked wrongly", "none", "wrong")

Day = Sequence[tuple[SpokenClip, Transcript]]


def main(argv: list[str]) -> int:
    """Speak, hear, learn, score."""
    parser = argparse.ArgumentParser(prog="python -m bot.bench usual", description=__doc__)
    parser.add_argument("--part", choices=tuple(CREWS), default="test")
    parser.add_argument("--noise", type=Path, help="a folder with recordings of noise")
    args = parser.parse_args(argv)
    engine, words = OpenEngine(), corpus_language()
    for snr_db in SNRS_DB:
        days = [day(crew, n, snr_db, args, engine) for n, crew in enumerate(CREWS[args.part])]
        show(snr_db, days, words)
    return 0


def day(
    crew: str,
    number: int,
    snr_db: float,
    args: argparse.Namespace | SimpleNamespace,
    ear: OpenEngine,
) -> Day:
    """Return what a crew says and what the ear makes of it."""
    rng, chance = Random(number), np.random.default_rng(number)
    file = data_folder("fixtures") / "crews" / crew / "spoken.jsonl"
    rows = [json.loads(line) for line in file.read_text("utf-8").splitlines()]
    calls = [row for row in rows if row["calls"] and "misheard" not in row["tags"]]
    rng.shuffle(calls)
    often = [1 / (1 + rank) for rank in range(USUAL)]
    voices = [one for one in VOICES[args.part] if one[0] != "piper"]  # which is not always there
    voice = Voice("", *voices[number % len(voices)])
    noise, found = _noises(args.noise, args.part, chance), []
    for _ in range(2 * HALF):
        is_fresh = rng.random() < FRESH
        row = rng.choice(calls[USUAL:]) if is_fresh else rng.choices(calls[:USUAL], often)[0]
        speech = speak(row["text"], voice, rng.uniform(0.87, 1.2), rng.uniform(0.94, 1.06))
        sound = add_noise(
            np.pad(speech, int(0.4 * RATE)), noise(len(speech) + 2 * int(0.4 * RATE), rng), snr_db
        )
        pcm = to_pcm(opus(sound * rng.uniform(0.15, 0.9) / np.max(np.abs(sound))))
        found.append(
            (SpokenClip(row["text"], tuple(row["calls"]), snr_db, pcm), ear.transcribe(pcm))
        )
    return found


def show(snr_db: float, days: Sequence[Day], words: Language) -> None:
    """Print what becomes of the second forty calls of every crew, and of somebody else's."""
    print(f"{snr_db:g} dB:", " | ".join(ENDS))
    without, learning, others, others_without = (Counter[str]() for _ in range(4))
    for number, heard in enumerate(days):
        learnt: list[Learnt] = []
        for at, (said, transcript) in enumerate(heard):
            usual = usual_of(learnt, "A") if learnt else NOTHING_USUAL
            end, text = _ended(said, transcript, usual, words)
            if end in ("done", "asked") and text:  # logged rightly, or confirmed
                learnt.append(Learnt(text, "A"))
            if at >= HALF:
                learning[end] += 1
                without[_ended(said, transcript, NOTHING_USUAL, words)[0]] += 1
        for said, transcript in days[(number + 1) % len(days)][HALF:]:
            others[_ended(said, transcript, usual_of(learnt, "B"), words)[0]] += 1
            others_without[_ended(said, transcript, NOTHING_USUAL, words)[0]] += 1
    named = {
        "does not learn": without, "learns": learning,
        "another speaker, does not learn": others_without, "another speaker, after the first": others,
    }  # fmt: skip
    for name, ends in named.items():
        total = sum(ends.values())
        print(
            f"   {name}:",
            " | ".join(f"{100 * ends[end] / total:.1f} %" for end in ENDS),
            f"of {total}",
        )


def _ended(
    said: SpokenClip, transcript: Transcript, usual: Usual, words: Language
) -> tuple[str, str]:
    found = understand_transcript(transcript, words, Hints(usual=usual))
    return _end(said, found, transcript), found.text
