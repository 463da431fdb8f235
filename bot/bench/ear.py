"""The ear of the calls on lines of writers: what the desk would do with each, by ratio of speech to noise.

`python -m bot.bench ear LINES.jsonl... --part test` speaks the spoken lines of files in the form of the
corpora, lays noise over them (recordings in `--noise`, else made noise), sends them through Opus and scores
what would be logged. Beside it stand the words as typed, and Whisper as it comes with its line typed. `--fit`
fits the weights of `calls/heard` on the same recordings and prints them.
"""

import argparse
import json
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from random import Random
from typing import Any

import numpy as np
import numpy.typing as npt
import soundfile
import soxr

from bot.bench import ear_kokoro
from bot.bench.corpus import corpus_language, same_calls
from bot.bench.hear_fixtures import opus
from bot.bench.hear_noise import NOISES, RATE, Sound, add_noise, babble
from bot.bench.hear_voices import Voice, speak
from bot.bench.word_errors import plain_words, word_errors
from bot.calls import heard
from bot.calls.language import Language
from bot.calls.likely_words import in_likely_order
from bot.calls.understand import Understanding, understand
from bot.calls.weigh import Hints
from bot.desk.understood import understand_transcript, would_do
from bot.errors import AudioError
from bot.speech.audio import Pcm, to_pcm
from bot.speech.open_ear import OpenEngine
from bot.speech.written_ear import writer
from bot.transcript import Transcript, typed_transcript

SNRS_DB = (20.0, 10.0, 5.0, 0.0)
VOICES: Mapping[str, Sequence[tuple[str, str]]] = {
    "fit": (
        ("flite", "awb"), ("espeak-ng", "en-us-nyc+m7"), ("espeak-ng", "en-gb-x-gbclan+f4"),
        ("espeak-ng", "en-us+Andy"), ("espeak-ng", "en-gb+steph2"), ("espeak-ng", "en-us+klatt3"),
        ("espeak-ng", "en-gb-x-gbcwmd+zac"), ("espeak-ng", "en-us+f4"), ("espeak-ng", "en-gb+m7"),
    ),
    "test": (
        ("flite", "slt"), ("piper", "en_US-joe-medium"), ("espeak-ng", "en-us+m5"),
        ("espeak-ng", "en-gb+f5"), ("espeak-ng", "en-us+linda"), ("espeak-ng", "en-029+m4"),
        ("espeak-ng", "en-gb-scotland+m3"), ("espeak-ng", "en-gb-scotland+f2"),
        ("espeak-ng", "en-us+shelby"), ("espeak-ng", "en-029+kaukovalta"),
    ),
    "natural": tuple(("kokoro", speaker) for speaker in ear_kokoro.JUDGING),
}  # fmt: skip
"""Voices that the ear was not trained on; those of `test` and `natural` nothing was chosen on either."""
_TESTED = ("deck", "rain", "wind")
MADE: Mapping[str, Sequence[str]] = {
    "fit": ("diesel", "water"),
    "test": _TESTED,
    "natural": _TESTED,
}
_BABBLE = 0.15
_OTHERS = (
    "well i told him the boat was never going to be ready in time for the weekend",
    "she was talking about the new restaurant down by the harbour",
    "you know what they say about the weather in these parts it changes every hour",
)
_TALKERS = ("en-us+m2", "en-gb+f3", "en-us+f1")
_AT = datetime(2026, 1, 1, tzinfo=UTC)
_SOFT = 1.0
"""Strength of the pull of the weights towards zero."""

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class SpokenClip:
    """A recording with what was said in it and what must come of it."""

    text: str
    calls: tuple[Mapping[str, Any], ...]
    snr_db: float
    pcm: Pcm


def main(argv: list[str]) -> int:
    """Speak, hear, score; with --fit, fit."""
    parser = argparse.ArgumentParser(prog="python -m bot.bench ear", description=__doc__)
    parser.add_argument("lines", type=Path, nargs="+")
    parser.add_argument("--part", choices=tuple(VOICES), default="test")
    parser.add_argument("--noise", type=Path, help="a folder with recordings of noise")
    parser.add_argument("--count", type=int, default=10_000, help="lines at most")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--fit", action="store_true")
    args = parser.parse_args(argv)
    words = corpus_language()
    engine = OpenEngine()
    heard_all = [(said, engine.transcribe(said.pcm)) for said in recordings(args)]
    if args.fit:
        _fit(heard_all, words)
    _show(heard_all, words)
    return 0


def recordings(args: argparse.Namespace) -> Iterator[SpokenClip]:
    """Return every line once at each ratio, in voices and noises drawn from the seed."""
    rng, chance = Random(args.seed), np.random.default_rng(args.seed)
    noise = _noises(args.noise, args.part, chance)
    others = [speak(t, Voice("", "espeak-ng", v)) for t in _OTHERS for v in _TALKERS]
    for row in _rows(args.lines)[: args.count]:
        for snr_db in SNRS_DB:
            voice = Voice("", *rng.choice(VOICES[args.part]))
            speech = speak(row["text"], voice, rng.uniform(0.87, 1.2), rng.uniform(0.94, 1.06))
            speech = np.pad(speech, int(0.4 * RATE))
            over = rng.random() < _BABBLE
            made = babble(len(speech), chance, others) if over else noise(len(speech), rng)
            sound = add_noise(speech, made, snr_db)
            sound *= rng.uniform(0.15, 0.9) / np.max(np.abs(sound))
            try:
                pcm = to_pcm(opus(sound))
            except AudioError:
                continue
            yield SpokenClip(row["text"], tuple(row["calls"]), snr_db, pcm)


def _rows(files: Sequence[Path]) -> list[Any]:
    rows = [json.loads(line) for file in files for line in file.read_text("utf-8").splitlines()]
    return [r for r in rows if "spoken" in r["tags"] and "misheard" not in r["tags"]]


def _noises(
    folder: Path | None, part: str, chance: np.random.Generator
) -> Callable[[int, Random], Sound]:
    if folder is None:
        return lambda count, rng: NOISES[rng.choice(MADE[part])](count, chance)
    kept = []
    for file in sorted(folder.iterdir()):
        sound, hertz = soundfile.read(file, always_2d=True)
        kept.append(soxr.resample(sound.mean(axis=1), hertz, RATE))

    def one(count: int, rng: Random) -> Sound:
        sound = rng.choice(kept)
        return np.resize(np.roll(sound, -rng.randrange(len(sound))), count)

    return one


def _show(rows: Sequence[tuple[SpokenClip, Transcript]], words: Language) -> None:
    """Print what becomes of the calls and of talk, and how many words of the best line are wrong."""
    peer = writer()
    print("right and done | right, asked | wrong, asked | not understood | wrong and logged")
    for snr_db in SNRS_DB:
        part = [row for row in rows if row[0].snr_db == snr_db]
        calls = [row for row in part if row[0].calls]
        if not calls:
            continue
        ends = Counter(_end(said, understand_transcript(t, words, Hints()), t) for said, t in calls)
        talk = Counter(
            would_do(understand_transcript(t, words, Hints()), t, _AT)[0]
            for said, t in part
            if not said.calls
        )
        cells = [f"{100 * ends[end] / len(calls):.1f} %" for end in _ENDS]
        print(f"{snr_db:g} dB, {len(calls)} calls:", " | ".join(cells), "; talk:", dict(talk))
        errors = sum(word_errors(plain_words(s.text), plain_words(t.best)) for s, t in part)
        said = sum(len(plain_words(s.text)) for s, _ in part)
        right = Counter[str]()
        for one, transcript in calls:
            lines = {"typed": one.text, "best line typed": transcript.best}
            if peer is not None:
                lines["Whisper as it comes, typed"] = next(
                    iter(peer.write(peer.listen(one.pcm))), ""
                )
            for name, line in lines.items():
                meant = understand(typed_transcript(line), words)
                right[name] += meant.ask is None and _is_right(one, meant)
        shares = {name: f"{100 * n / len(calls):.1f} %" for name, n in right.items()}
        print(f"   wrong words {100 * errors / max(1, said):.1f} %;", shares)


_ENDS = ("done", "asked", "asked wrongly", "none", "wrong")


def _end(said: SpokenClip, meant: Understanding, transcript: Transcript) -> str:
    outcome, _ = would_do(meant, transcript, _AT)
    right = _is_right(said, meant)
    if outcome in ("logged", "answered"):
        wrong = "wrong" if outcome == "logged" else "none"
        return "done" if right else wrong
    if outcome == "asked":
        return "asked" if right else "asked wrongly"
    return "none"


def _is_right(said: SpokenClip, meant: Understanding) -> bool:
    return same_calls(said.calls, [call.to_json() for call in meant.calls])


def _fit(rows: Sequence[tuple[SpokenClip, Transcript]], words: Language) -> None:
    """Fit how likely the calls are those of the words that were said, whatever is right to make of them."""
    figures: list[tuple[float, ...]] = []
    right: list[bool] = []
    for said, transcript in rows:
        transcript = in_likely_order(transcript, words)
        lines = heard.read_transcript(transcript, words, Hints())
        groups = heard.shares(lines)
        calls = [one for one in groups if one]
        if calls:
            best = max(calls, key=groups.__getitem__)
            figures.append(heard.figures(best, lines, transcript.signals))
            right.append(understand(typed_transcript(said.text), words).calls == best)
    found = _logistic(np.array(figures), np.array(right, float))
    print("NAMES", heard.NAMES)
    print("WEIGHTS", tuple(round(float(weight), 2) for weight in found))
    _reliability(np.array(figures) @ found, np.array(right))


def _logistic(figures: Floats, right: Floats) -> Floats:
    """Return weights by Newton's method, drawn towards zero but for the base."""
    spread = figures.std(axis=0) + 1e-6
    spread[0] = 1.0
    scaled, weights = figures / spread, np.zeros(figures.shape[1])
    pull = np.full(len(weights), _SOFT)
    pull[0] = 1e-3
    for _ in range(50):
        likely = 1 / (1 + np.exp(-scaled @ weights))
        slope = scaled.T @ (right - likely) - pull * weights
        bend = (scaled.T * (likely * (1 - likely))) @ scaled + np.diag(pull)
        weights = weights + np.linalg.solve(bend, slope)
    return np.asarray(weights / spread)


def _reliability(scores: Floats, right: npt.NDArray[np.bool_]) -> None:
    likely = 1 / (1 + np.exp(-scores))
    bins: dict[int, list[int]] = defaultdict(list)
    for one, was in zip(likely, right, strict=True):
        bins[min(9, int(one * 10))].append(int(was))
    for place in sorted(bins):
        share = sum(bins[place]) / len(bins[place])
        print(f"said {place / 10:.1f} to {place / 10 + 0.1:.1f}: {share:.2f} of {len(bins[place])}")
