"""`python -m bot.bench hear_people`: the ear on other people's grammars, in human and synthetic voices.

What `deckcall hear --jsgf` does, with grammars that have nothing to do with trolling: telephone prompts
as they stand, dates and times joined from single human words, and orders at a counter in synthetic voices.
Half of the prompts are no sentence of their grammar, and each set hears some of another set's sentences:
those should be refused. The human recordings are one speaker's (Debian: asterisk-core-sounds-en-g722).
"""

import argparse
import gzip
import re
import statistics
import time
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import numpy as np

from bot.bench import hear_data
from bot.bench.hear_noise import RATE, Sound
from bot.bench.hear_sample import read_jsgf
from bot.bench.hear_voices import BY_NAME, speak
from bot.desk.settle import ACCEPT_FROM, TALK_BELOW
from bot.errors import DeckcallError
from bot.speech.audio import Pcm
from bot.speech.engine import EngineGrammar
from bot.speech.sphinx_engine import SphinxEngine
from bot.transcript import Transcript

TEXTS = Path("/usr/share/doc/asterisk-core-sounds-en/core-sounds-en.txt.gz")
SNRS_DB = (40.0, 12.0, 6.0, 0.0)
NOISES = ("deck", "rain", "babble")
VOICES = ("scot", "caribbean", "slt", "joe")
_HEAD = "#JSGF V1.0;\ngrammar g;\n"
ORDERS = _HEAD + (
    "public <order> = [<please>] <size> <drink> [with <extra> [and <extra>]] | (cancel|repeat) [my|the]"
    " (last | first) order | [i will] pay (by card | in cash) | <number> <drink> to take away;\n"
    "<please> = can i have a | i would like a | give me a;\n"
    "<size> = small | medium | large | double;\n"
    "<drink> = espresso | cappuccino | latte | mocha | green tea | hot chocolate | orange juice"
    " | glass of water | flat white | americano;\n"
    "<extra> = milk | sugar | brown sugar | honey | cinnamon | ice | lemon | cream | vanilla;\n"
    "<number> = two | three | four | five | six;\n"
)


@dataclass(frozen=True, slots=True)
class SpokenSentence:
    """One recording and what was said."""

    said: str
    is_of_grammar: bool
    sound: Sound
    snr_db: float
    number: int


@dataclass(frozen=True, slots=True)
class Set:
    """A grammar and what is played to it."""

    name: str
    jsgf: str
    items: tuple[SpokenSentence, ...]


def main(argv: list[str]) -> int:
    """Play every set and print its table."""
    parser = argparse.ArgumentParser(prog="python -m bot.bench hear_people", description=__doc__)
    parser.add_argument("--count", type=int, default=120, help="sentences of each set")
    parser.add_argument("--seed", type=int, default=60)
    parser.add_argument("--only", choices=("prompts", "dates", "orders"))
    args = parser.parse_args(argv)
    if not TEXTS.exists():
        raise DeckcallError("install asterisk-core-sounds-en-g722 (Debian): no human recordings")
    for one in sets(args.count, args.seed):
        if args.only not in (None, one.name):
            continue
        engine = SphinxEngine()
        engine.prepare(EngineGrammar(one.jsgf))
        show(one, [(item, *hear(engine, item)) for item in one.items])
    return 0


def hear(engine: SphinxEngine, item: SpokenSentence) -> tuple[Transcript, float]:
    """Return what was heard and how long it took, from the decoded sound on."""
    pcm = make_recording(item)
    started = time.perf_counter()
    return engine.transcribe(pcm), time.perf_counter() - started


def make_recording(item: SpokenSentence) -> Pcm:
    """Lay noise over a sentence and send it as a messenger does."""
    return hear_data.in_noise(
        item.sound, NOISES[item.number % len(NOISES)], item.snr_db, item.number
    )


def show(one: Set, results: Sequence[tuple[SpokenSentence, Transcript, float]]) -> None:
    """Print what became of the sentences of the grammar, and of the others."""
    print(f"\n{one.name}\n  dB  count  first right  right+accepted  right+asked  wrong+asked"
          "  WRONG+ACCEPTED  refused  | others accepted  asked")  # fmt: skip
    for snr in SNRS_DB:
        mine = [(s, t) for s, t, _ in results if s.snr_db == snr and s.is_of_grammar]
        others = [t for s, t, _ in results if s.snr_db == snr and not s.is_of_grammar]
        kinds = [(t.best == s.said, outcome(t)) for s, t in mine]
        counts = [
            sum(right for right, _ in kinds),
            *(kinds.count(k) for k in ((True, "accepted"), (True, "asked"), (False, "asked"))),
            kinds.count((False, "accepted")),
            sum(o == "refused" for _, o in kinds),
        ]
        row = "".join(f"{n / max(1, len(mine)):13.1%}" for n in counts)
        taken = [sum(outcome(t) == o for t in others) for o in ("accepted", "asked")]
        print(f"  {snr:2.0f}  {len(mine):5d}{row}  | {taken[0]} and {taken[1]} of {len(others)}")
    print(f"  median {statistics.median(took for *_, took in results):.2f} s of"
          f" {statistics.mean(t.seconds for _, t, _ in results):.1f} s")  # fmt: skip


def outcome(found: Transcript) -> str:
    """Return what `deckcall hear --jsgf` makes of a transcript."""
    accept = found.signals["accept"] if found.best else 0.0
    if accept < TALK_BELOW:
        return "refused"
    return "accepted" if accept >= ACCEPT_FROM else "asked"


def sets(count: int, seed: int) -> Iterator[Set]:
    """Yield the three sets."""
    texts = prompts()
    rng = np.random.default_rng(seed)
    lines = sorted({text: name for name, text in texts.items() if _is_sentence(name, text)}.items())
    order = rng.permutation(len(lines))
    chosen = [lines[at] for at in order if not lines[at][1].startswith("silence/")][:count]
    half = len(chosen) // 2
    own = [(t, _prompt(n)) for t, n in chosen[:half]]
    others = [(t, _prompt(n)) for t, n in chosen[half:]]
    jsgf = _HEAD + "public <p> = " + " | ".join(text for text, _ in own) + ";\n"
    dates = [_date(rng) for _ in range(count)]
    said = [(text, _joined(files, rng)) for text, files in dates]
    orders = [read_jsgf(ORDERS).sentence(rng) for _ in range(count)]
    spoken = [
        (t, speak(t, BY_NAME[VOICES[n % len(VOICES)]], float(rng.uniform(0.85, 1.25))))
        for n, t in enumerate(orders)
    ]
    yield Set("prompts", jsgf, _items(own, others))
    yield Set("dates", _dates(), _items(said, others))
    yield Set("orders", ORDERS, _items(spoken, said[: count // 2]))


def _items(
    own: Iterable[tuple[str, Sound]], others: Iterable[tuple[str, Sound]]
) -> tuple[SpokenSentence, ...]:
    rows = [(True, *row) for row in own] + [(False, *row) for row in others]
    return tuple(
        SpokenSentence(said, mine, sound, SNRS_DB[number % len(SNRS_DB)], number)
        for number, (mine, said, sound) in enumerate(rows)
    )


_DAYS = tuple(f"digits/day-{n}" for n in range(7))
_MONTHS = tuple(f"digits/mon-{n}" for n in range(12))
_NTH = tuple(f"digits/h-{n}" for n in (*range(1, 21), 30))
_HOURS = tuple(f"digits/{n}" for n in range(1, 13))
_MINUTES = tuple(f"digits/{n}" for n in (10, 15, 20, 30, 40, 50))
_HALVES = ("digits/a-m", "digits/p-m")
_OTHER_DAYS = ("digits/today", "digits/tomorrow", "digits/yesterday")
_NAMES = tuple(f"phonetic/{c}_p" for c in "abcdefghijklmnopqrstuvwxyz")


def _date(rng: np.random.Generator) -> tuple[str, tuple[str, ...]]:
    """Return words and files of a day with a time, or of a place of three letters at a time."""

    def one(names: Sequence[str]) -> str:
        return names[int(rng.integers(0, len(names)))]

    day = (one(_DAYS), one(_MONTHS), one(_NTH)) if rng.random() < 0.6 else (one(_OTHER_DAYS),)
    clock = (one(_HOURS), one(_MINUTES), one(_HALVES))
    if rng.random() < 0.3:
        files = (one(_NAMES), one(_NAMES), one(_NAMES), "digits/at", *clock)
    else:
        files = (*day, "digits/at", *clock)
    return " ".join(prompts()[file] for file in files), files


def _dates() -> str:
    day = f"({_any(_DAYS)} {_any(_MONTHS)} {_any(_NTH)} | {_any(_OTHER_DAYS)})"
    names = " ".join([_any(_NAMES)] * 3)
    clock = f"at {_any(_HOURS)} {_any(_MINUTES)} {_any(_HALVES)}"
    return _HEAD + f"public <when> = ({day} | {names}) {clock};\n"


def _any(names: Iterable[str]) -> str:
    return "(" + " | ".join(prompts()[name] for name in names) + ")"


@lru_cache(maxsize=1)
def prompts() -> dict[str, str]:
    """Return the words of every prompt, by its file's name."""
    found: dict[str, str] = {}
    for line in gzip.decompress(TEXTS.read_bytes()).decode("utf-8", "replace").splitlines():
        name, _, text = line.partition(":")
        words = re.sub(r"\[.*?\]|\.", lambda m: " " if len(m[0]) > 1 else "", text.lower())
        if not line.startswith(";") and text:
            found[name] = " ".join(re.findall(r"[a-z]+(?:['-][a-z]+)*", words))
    return found


def _is_sentence(name: str, text: str) -> bool:
    return 2 <= len(text.split()) <= 11 and (hear_data.PROMPTS / f"{name}.g722").exists()


@lru_cache(maxsize=256)
def _prompt(name: str) -> Sound:
    return hear_data.prompt(hear_data.PROMPTS / f"{name}.g722")


def _joined(files: Sequence[str], rng: np.random.Generator) -> Sound:
    """Lay single words one after the other, as they would be said: without their silence."""
    parts: list[Sound] = []
    for file in files:
        sound = _prompt(file)
        loud = np.flatnonzero(np.abs(sound) > 0.02 * np.max(np.abs(sound)))
        parts += [sound[loud[0] : loud[-1] + 1], np.zeros(int(RATE * rng.uniform(0.02, 0.1)))]
    return np.concatenate(parts)
