"""Lines that are made for the training of the reader: what the grammar says surely, and plain orders.

The grammar labels sentences of its own and lines of stories where it is sure of them; orders over
several lines, lures put back, and answers to the program's questions are made from patterns, since corpora
hold few of them.
"""

import re
import tomllib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from random import Random
from typing import Any, Final

import numpy as np

from bot.bench.hear_sample import read_jsgf
from bot.calls.language import Language
from bot.calls.sample import sentence
from bot.calls.template import Alt, Node, Word, parse_template
from bot.calls.understand import understand
from bot.transcript import typed_transcript
from bot.trip.acts import QUESTIONS

Line = dict[str, Any]
"""One line of a corpus: `text`, `calls`, and `question_lines` where it answers a question."""

SURE: Final = 0.85
SENTENCES: Final = 6000
"""How many sentences of the exported grammar are tried."""
POSITIONS: Final = ("short corner", "long corner", "short rigger", "long rigger", "shotgun")
SHORT: Final = {
    "lr": "long rigger", "sr": "short rigger", "sg": "shotgun", "lc": "long corner", "sc": "short corner",
    "the gun": "shotgun",
}  # fmt: skip
COLOURS: Final = (
    "black", "blue", "green", "pink", "purple", "red", "orange", "silver", "white", "yellow", "glow", "gold",
    "brown", "black white", "green gold", "purple black",
)  # fmt: skip
SIZES_IN: Final = (6, 7, 8, 9, 10, 12, 14)
OPENERS: Final = ("", "", "", "okay ", "right ", "go on then, ", "yeah ", "and ")
_CLEARS: Final = ("clear {}", "wind in {}", "bring in {}", "reel in {}", "pull {} in", "get {} in")
_PLACES: Final = (
    "{}", "the {}", "on the {}", "{} mate", "it was the {}", "{} i think", "uh {}", "{}, sorry", "{}!",
    "sorry {}",
)  # fmt: skip
_NAMED: Final = (
    "{}", "the {}", "{} i mean", "it was the {}", "{} mate", "uh the {}", "the {} one",
)  # fmt: skip
_ASKED_TOO: Final = frozenset({"undo", "ready", "rework", "mark"})
_PATTERN: Final = "pattern"
_OFTEN: Final = 14
_MOST_WORDS: Final = 12
"""How often a pattern of the grammar is tried, and the longest sentence that is kept."""
_STORY_LINE: Final = re.compile(r"\d\d:\d\d\s\s+(?:\w+: )?(.*?)(?:\s\s+|$)")


def labelled_lines(language: Language, root: Path, seed: int = 5) -> Iterator[Line]:
    """Return lines of stories and the exported grammar that the grammar alone is sure of."""
    said = set(_of_stories(root))
    said |= {example.say for example in language.grammar.examples}
    sampler = read_jsgf((root / "grammar/exported/deckcall.jsgf").read_text("utf-8"))
    rng = np.random.default_rng(seed)
    made: set[str] = set()
    while len(made) < SENTENCES:
        made.add(sampler.sentence(rng))
    return _sure([*sorted(said), *sorted(made)], language)


def _sure(texts: Iterable[str], language: Language) -> Iterator[Line]:
    for text in texts:
        found = understand(typed_transcript(text), language)
        if found.calls and not found.ask and found.confidence >= SURE:
            yield {"text": text, "calls": [call.to_json() for call in found.calls], "tags": []}


def _of_stories(root: Path) -> Iterator[str]:
    for path in sorted((root / "fixtures/stories").glob("*.txt")):
        for line in path.read_text("utf-8").splitlines():
            if found := _STORY_LINE.match(line):
                yield re.sub(r"^~[\d.]+ ", "", found[1])


def question_lines(language: Language, root: Path, seed: int = 8) -> Iterator[Line]:
    """Return sentences of the grammar's questions, undoings and notes of lures, where it is sure of them."""
    rng, grammar = Random(seed), language.grammar
    terms = {name: sorted(kinds) for name, kinds in grammar.words.items() if kinds}
    terms["where"] = [f"the {p}" for p in POSITIONS]
    terms["lure"] = [f"{c} {n}" for c in COLOURS for n in SIZES_IN]
    rules = {**grammar.rules, **{f"{{{t}}}": Alt(tuple(map(Word, terms[t]))) for t in terms}}
    said: dict[str, None] = {}
    for act, row in tomllib.loads((root / "grammar/calls.toml").read_text("utf-8")).items():
        if act in QUESTIONS | _ASKED_TOO:
            for pattern in [*row.get("whole", ()), *row.get("say", ())]:
                said |= dict.fromkeys(_made_of(parse_template(pattern), rules, rng))
    return _sure(said, language)


def _made_of(node: Node, rules: Mapping[str, Node], rng: Random) -> Iterator[str]:
    """Yield sentences of a pattern; none where it holds free text or a term that has no list."""
    for _ in range(_OFTEN):
        try:
            said = sentence({**rules, _PATTERN: node}, rng.randrange, _PATTERN)
        except KeyError:
            return
        if 0 < len(said.split()) <= _MOST_WORDS:
            yield said


def orders(names: Sequence[str], seed: int = 4, count: int = 500) -> Iterator[Line]:
    """Yield orders over one to four lines; `names` are the boat's lures."""
    rng = Random(seed)
    for _ in range(count):
        text, calls = _order(rng, names)
        yield {"text": rng.choice(OPENERS) + text, "calls": calls, "tags": []}


def _order(rng: Random, names: Sequence[str]) -> tuple[str, list[Line]]:
    a, b = rng.sample(POSITIONS, 2)
    (one, its), (other, others) = _lure(rng, names), _lure(rng, names)
    swap = [{"act": "swap", "position": a, **its}, {"act": "swap", "position": b, **others}]
    back = [{"act": "set", "position": a, **its}, {"act": "set", "position": b, **others}]
    kind = rng.random()
    if kind < 0.3:
        return f"swap the {a} to the {one} and swap the {b} to the {other}", swap
    if kind < 0.5:
        return f"put the {one} back on the {a}", back[:1]
    if kind < 0.65:
        return f"put the {one} back on the {a} and put the {other} back on the {b}", back
    if kind < 0.85:
        lines = rng.sample(POSITIONS, rng.randint(2, 4))
        said = " and ".join(f"the {line}" for line in lines)
        cleared: list[Line] = [{"act": "clear", "position": line} for line in lines]
        return rng.choice(_CLEARS).format(said), cleared
    if kind < 0.93:
        return f"put the {a} back out", [{"act": "set", "position": a}]
    return f"strike on the {a}", [{"act": "strike", "position": a}]


def _lure(rng: Random, names: Sequence[str]) -> tuple[str, Line]:
    if names and rng.random() < 0.3:
        name = rng.choice(names)
        return name, {"lure": name}
    colours, size = rng.choice(COLOURS), rng.choice(SIZES_IN)
    return f"{colours} {size} inch", {"colours": colours.split(), "size_in": size}


def answers(names: Sequence[str], seed: int = 4, count: int = 200) -> Iterator[Line]:
    """Yield answers to the program's own questions: a position, a lure."""
    rng = Random(seed)
    for said, position in ({p: p for p in POSITIONS} | SHORT).items():
        for wording in _PLACES:
            text = wording.format(said).replace("the the", "the")
            for asked in ("position", "call"):
                calls = [{"act": "amend", "position": position}]
                yield {"text": text, "calls": calls, "asked": asked}
    for _ in range(count):
        said, slots = _lure(rng, names)
        yield {
            "text": rng.choice(_NAMED).format(said),
            "calls": [{"act": "amend", **slots}],
            "asked": rng.choice(("lure", "lure", "call")),
        }
