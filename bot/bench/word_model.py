"""Count the words of calls and talk, and write how likely each is behind those before it.

    python -m bot.bench word_model OUT.npz [--hold crews/s36/ …]

Takes the lines of `fixtures/calls`, `fixtures/crews` and `fixtures/lines`, those of crews as often as
`CREWS`, and prints how well lines that were held out are foreseen: its perplexity by word.
"""

import argparse
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from math import exp, log
from pathlib import Path
from typing import Final
from zlib import crc32

import numpy as np

from bot.bench.corpus import CORPORA, corpus_language
from bot.bench.reader_data import lines_of
from bot.bench.word_errors import plain_words
from bot.calls.word_model import BEGIN, END, STEP, UNKNOWN, WordModel, pack_model

CREWS: Final = 3
"""How often a line of a crew counts: it is as a crew would say it, most others are hard on purpose."""
FEWEST: Final = (2, 2, 3)
"""How often a word, a pair and a triple must have been counted to be kept."""
_OFF: Final = (0.8, 0.85)
"""What is taken off a count of pairs and of triples (Kneser-Ney), as for texts of this size."""

Words = tuple[str, ...]


def main(argv: Sequence[str] | None = None) -> int:
    """Count, prune, write."""
    ap = argparse.ArgumentParser(prog="python -m bot.bench word_model", description=__doc__)
    ap.add_argument("out", type=Path)
    ap.add_argument("--hold", nargs="*", default=[], help="parts of paths of files to hold out")
    args = ap.parse_args(argv)
    folder = CORPORA.parent
    files = [
        f for kind in ("calls", "crews", "lines") for f in sorted((folder / kind).rglob("*.*"))
    ]
    files = [f for f in files if f.suffix in (".jsonl", ".txt")]
    held = [f for f in files if any(part in f.as_posix() for part in args.hold)]
    classes = corpus_language(networks=False).word_classes
    model = count_words((line for f in files if f not in held for line in _lines(f)), classes)
    args.out.write_bytes(pack_model(model))
    print(f"{len(model.keys)} words, pairs and triples, {args.out.stat().st_size} bytes")
    said = [plain_words(text) for f in held for text in _texts(f)]
    if said:
        total = sum(model.likelihood(line, classes).mean * (len(line) + 1) for line in said)
        count = sum(len(line) + 1 for line in said)
        print(f"{len(said)} lines held out: perplexity {exp(-total / count):.1f}")
    return 0


def _lines(path: Path) -> Iterator[list[str]]:
    times = CREWS if path.parent.parent.name == "crews" else 1
    for text in _texts(path):
        yield from [plain_words(text)] * times


def _texts(path: Path) -> Iterator[str]:
    for row in lines_of(path):
        lines = [row["text"]] if "text" in row else row.get("lines", ())
        yield from (line if isinstance(line, str) else line[-1] for line in lines)


def count_words(lines: Iterable[Sequence[str]], classes: Mapping[str, str]) -> WordModel:
    """Return the model of lines, which are words in lower case."""
    said = [tuple(classes.get(word, word) for word in line) for line in lines]
    often = Counter(word for line in said for word in line)
    known = {word for word, count in often.items() if count >= FEWEST[0]}
    triples = Counter[Words]()
    for line in said:
        words = (BEGIN, BEGIN, *(w if w in known else UNKNOWN for w in line), END)
        triples.update(words[at - 2 : at + 1] for at in range(2, len(words)))
    pairs = Counter[Words](words[1:] for words in triples)  # of how many words it is the end
    seen = Counter[Words]()
    for words, count in triples.items():
        seen[words[1:]] += count
    ends = Counter[Words](words[1:] for words in pairs)
    every = sum(ends.values())
    one = {words: count / every for words, count in ends.items()}
    two = _lowered(pairs, one, _OFF[0])
    three = _lowered(triples, two, _OFF[1])
    kept_two = {words: p for words, p in two.items() if seen[words] >= FEWEST[1]}
    kept_three = {
        words: p
        for words, p in three.items()
        if triples[words] >= FEWEST[2] and words[1:] in kept_two
    }
    back = _back(kept_two, one) | _back(kept_three, two)
    return _model(one | kept_two | kept_three, back)


def _lowered(
    counts: Mapping[Words, int], shorter: Mapping[Words, float], off: float
) -> dict[Words, float]:
    """Return the probability of each row of words, some of it given to what was never counted."""
    total, kinds = defaultdict[Words, int](int), defaultdict[Words, int](int)
    for words, count in counts.items():
        total[words[:-1]] += count
        kinds[words[:-1]] += 1
    return {
        words: (count - off) / total[words[:-1]]
        + off * kinds[words[:-1]] / total[words[:-1]] * shorter[words[1:]]
        for words, count in counts.items()
    }


def _back(kept: Mapping[Words, float], shorter: Mapping[Words, float]) -> dict[Words, float]:
    """Return for each context what is left for words that are not kept behind it."""
    used, covered = defaultdict[Words, float](float), defaultdict[Words, float](float)
    for words, p in kept.items():
        used[words[:-1]] += p
        covered[words[:-1]] += shorter[words[1:]]
    return {
        context: max(1e-6, 1 - used[context]) / max(1e-6, 1 - covered[context]) for context in used
    }


def _model(likely: Mapping[Words, float], back: Mapping[Words, float]) -> WordModel:
    rows = {
        crc32(" ".join(words).encode()): (
            _steps(likely.get(words, 0.0)),
            _steps(back.get(words, 1.0)),
        )
        for words in (*back, *likely)
    }
    keys = sorted(rows)
    return WordModel(
        np.array(keys, np.uint32),
        np.array([rows[key][0] for key in keys], np.uint8),
        np.array([rows[key][1] for key in keys], np.uint8),
    )


def _steps(p: float) -> int:
    return 255 if p <= 0 else max(0, min(255, round(-log(p) / STEP)))
