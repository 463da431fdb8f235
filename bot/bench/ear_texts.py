"""What the ear is trained to write: sentences in words, each with what it is.

Calls and talk of the corpora and of writers, their classes swapped (colours, positions, fish, numbers),
joined and prefixed; sentences of the grammar; rows of numbers; answers; plain English. From a seed.
"""

import json
import re
import tomllib
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from random import Random
from typing import Any

import numpy as np
from num2words import num2words

from bot.bench.hear_sample import read_jsgf
from bot.shipped import data_folder
from bot.speech.pronunciations import pronunciations

SIZES: Mapping[str, int] = {
    "call-swapped": 16_000,
    "talk-swapped": 4_500,
    "grammar": 2_000,
    "numbers": 2_000,
    "answer": 700,
    "plain": 6_000,
    "words": 2_000,
}
"""How many of each kind are made."""
MOST_WORDS = 20
_SWAPPED = 0.75
_ITSELF = 0.55
"""Share of swapped words that are said by their plain name."""
_SHORT = frozenset(
    "sc lc sr lr sg stbd prt blk grn yft bm wm min mins kg lb lbs kn kt kts cm ft in. m c f deg temp spd"
    " tmrw pls thx rdy qty hr hrs u r n ur".split()
)
"""Abbreviations of those who type."""
_ODD = frozenset(
    "of a o chart char org sil pur col clr grey gry gra bull cow fry net log wood tree drum marks mark"
    " rip rips tails fin fins blues whites blacks sail sails stripe stripes kings grass weed boat ship"
    " the".split()
)
"""Forms that mean something else as often."""
_KINDS = ("position", "both", "side", "colour", "head", "species", "what")
_ONES = "one two three four five six seven eight nine".split()
_TEENS = "ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen".split()
_TENS = "twenty thirty forty fifty sixty seventy eighty ninety".split()
_OTHERS: Mapping[str, Sequence[str]] = {
    "ones": _ONES,
    "teens": _TEENS,
    "tens": _TENS,
    "order": "first second third fourth fifth sixth seventh eighth ninth tenth".split(),
    "weight": "kilos pounds kilograms kilo".split(),
    "length": "metres feet inches centimetres fathoms".split(),
    "hand": (
        "dave mick sally tom jenny pete steve kate bob luke ben jack sam nick joe anna mark paul john mike"
        " chris maria ana leo finn rosa ollie jess harry grace theo mia"
    ).split(),
}
_BEFORE = (
    "okay|ok|alright|hey|yeah|right|so|um|uh|skipper|mate|log|captain|yep|hey skip|well|oh|listen|we got|got|"
    "ah|righto|now|all right|hang on"
).split("|")
_AFTER = (
    "mate|skipper|over|now|just now|please|guys|boys|again|okay|thanks|there|right now|on the boat|good one|"
    "come on|lovely|beautiful|yes|nice|folks|everybody|copy that"
).split("|")
_ANSWERS = (
    "yes|no|yep|nope|yeah|negative|affirmative|first|second|the first|the second|first one|second one|"
    "the first one|the second one|number one|number two|one|two|correct|that's right|right|wrong|undo|"
    "undo that|do it|done|log it|leave it|not that|yes please|no thanks|yes do it|no leave it|yes log it|"
    "scratch that|cancel|cancel that|repeat that|say again|say it again|help|why|why that one|okay|sure|"
    "never mind|forget it"
).split("|")
_DRILLS = (
    "{n} kilos|{n} pounds|water {n} degrees|speed {n} knots|{n} knots|depth {n} metres|{n} metres|{n} feet|"
    "{n} minutes ago|{n} inch|{n} centimetres|tag number {n} {n}|{c} {c} {n}|{c} and {c} {n} inch on the {p}|"
    "{p} {c} {n}|{h} {c} {n} {p}|{s} about {n} kilos|{n} {s}|{s} {p}|{x} {p}|{w} on the {side}|"
    "{w} {n} metres to {side}|{p} and {p}|{side} {p} {c}|wind {n} knots|drag {n} kilos|{n} point {n}"
).split("|")
_BITES = (
    "strike|bite|hook up|fish on|missed|pulled hook|raised|bumped|clear|set|put out|take|knock down|hit on|"
    "busted off|change|swap"
).split("|")


@dataclass(slots=True)
class Texts:
    """Sentences with their kinds, none twice."""

    rng: Random
    said: dict[str, str] = field(default_factory=dict)

    def put(self, text: str, kind: str) -> None:
        """Add a sentence unless it is there or too long."""
        if text and len(text.split()) <= MOST_WORDS:
            self.said.setdefault(text, kind)

    def of(self, *kinds: str) -> list[str]:
        """Return the sentences of some kinds."""
        return [text for text, kind in self.said.items() if kind in kinds]

    def fill(self, kind: str, one: Iterator[str], share: float = 1.0) -> None:
        """Add sentences of a kind until there are enough, or none new comes."""
        wanted = int(SIZES[kind] * share)
        for _ in range(wanted * 8):
            if wanted <= 0:
                break
            before = len(self.said)
            self.put(next(one), kind)
            wanted -= len(self.said) - before


def plain(text: str) -> str:
    """Return a line in words: lower case, no marks but apostrophes, numbers written out."""
    line = text.lower().replace("\u2019", "'").replace("-", " ")
    line = re.sub(r"(\d+)\.(\d+)", lambda m: f"{_said(m[1])} point {_figures(m[2])}", line)
    line = re.sub(r"\b(\d+)(st|nd|rd|th)\b", lambda m: _said(m[1], "ordinal"), line)
    line = re.sub(r"\d+", lambda m: f" {_said(m[0])} ", line).replace("-", " ")
    line = re.sub(r"(^|\s)'+|'+(\s|$)", " ", re.sub(r"[^a-z' ]", " ", line))
    return " ".join(line.split())


def _said(figures: str, to: str = "cardinal") -> str:
    return str(num2words(int(figures), to=to)).replace(",", "")


def _figures(figures: str) -> str:
    return " ".join(_said(figure) for figure in figures)


def gathered(corpora: Path, writers: Sequence[Path], english: Path | None, seed: int) -> Texts:
    """Return all sentences; `writers` are folders with JSON lines, `english` one of cookie files."""
    texts = Texts(Random(seed))
    for file in (*sorted(corpora.glob("*.jsonl")), *(p for w in writers for p in _files(w))):
        for row in map(json.loads, file.read_text("utf-8").splitlines()):
            for text, is_call, tags in _lines(row):
                _corpus(texts, text, is_call, tags)
    for name in ("acts.txt", "as_people_say_it.txt"):
        for line in (corpora / name).read_text("utf-8").splitlines():
            _typed(texts, line.split("=>")[0].strip(), True)
    calls = tomllib.loads((data_folder("grammar") / "calls.toml").read_text("utf-8"))
    for text in _examples(calls):
        _typed(texts, text, True)
    _more(texts, english)
    return texts


def _files(folder: Path) -> list[Path]:
    return sorted(p for p in folder.glob("*.jsonl") if p.name != "reserve.jsonl")


def _lines(row: Mapping[str, Any]) -> Iterator[tuple[str, bool, Sequence[str]]]:
    """Return the lines of a row: one, or those of a conversation."""
    if "text" in row:
        yield row["text"], bool(row.get("calls")), row.get("tags", ())
    meant = row.get("line_calls", ())
    for number, line in enumerate(row.get("lines", ())):
        text = line if isinstance(line, str) else str(line[-1])
        yield text, not meant or (number < len(meant) and bool(meant[number])), ("typed",)


def _corpus(texts: Texts, text: str, is_call: bool, tags: Sequence[str]) -> None:
    if "spoken" in tags and "misheard" not in tags:
        texts.put(plain(text), "call" if is_call else "talk")
    elif "typed" in tags and not re.search(r"\d", text):
        _typed(texts, text, is_call)


def _typed(texts: Texts, text: str, is_call: bool) -> None:
    """Add a typed line that has nothing of typing in it."""
    words = plain(text).split()
    if text[:1] not in ("", "#") and not any(w in _SHORT for w in words) and _are_known(words):
        texts.put(" ".join(words), "call" if is_call else "talk")


def _are_known(words: Sequence[str]) -> bool:
    known = pronunciations()
    return all(word in known or word.replace("'s", "") in known for word in words)


def _examples(node: Any) -> Iterator[str]:
    if isinstance(node, dict):
        for key, value in node.items():
            if key == "example":
                for one in value if isinstance(value, list) else [value]:
                    said = one.values() if isinstance(one, dict) else (one,)
                    yield from (s for s in said if isinstance(s, str))
            else:
                yield from _examples(value)
    elif isinstance(node, list):
        for one in node:
            yield from _examples(one)


def _more(texts: Texts, english: Path | None) -> None:
    """Add what is made of what is there."""
    rng, words = texts.rng, _classes()
    calls, talk = texts.of("call"), texts.of("talk")
    texts.fill("call-swapped", _calls(calls, words, rng))
    texts.fill("talk-swapped", iter(lambda: _swapped(rng.choice(talk), words, rng), None))
    sampler = read_jsgf((data_folder("grammar") / "exported/deckcall.jsgf").read_text("utf-8"))
    chance = np.random.default_rng(rng.randrange(1 << 30))
    texts.fill("grammar", iter(lambda: plain(sampler.sentence(chance)), None))
    texts.fill("numbers", iter(lambda: _drill(words, rng), None))
    texts.fill("answer", iter(lambda: _answer(words, rng), None))
    if english is not None:
        sentences = list(dict.fromkeys(_sentences(english)))
        rng.shuffle(sentences)
        for text in sentences[: SIZES["plain"]]:
            texts.put(text, "plain")
    known = dict.fromkeys(w for t in (*calls, *talk) for w in t.split())
    deck = [w for w in known if w in pronunciations()]
    row = iter(lambda: " ".join(rng.choice(deck) for _ in range(rng.randint(1, 6))), None)
    texts.fill("words", row)


def _classes() -> dict[str, list[tuple[str, str]]]:
    """Return the forms of each class with what they mean."""
    known = pronunciations()
    table = tomllib.loads((data_folder("grammar") / "words.toml").read_text("utf-8"))
    found: dict[str, list[tuple[str, str]]] = {}
    for kind in _KINDS:
        found[kind] = [
            (form.replace("-", " "), meaning)
            for meaning, forms in table[kind].items()
            for form in forms
            if form not in _ODD
            and all((w in known and len(w) > 2) or w in ("of", "a") for w in form.split())
        ]
    for kind, words in _OTHERS.items():
        found[kind] = [(word, word) for word in words]
    return found


def _pick(words: Mapping[str, list[tuple[str, str]]], kind: str, rng: Random) -> str:
    form, meaning = rng.choice(words[kind])
    if kind in _KINDS and kind != "both" and rng.random() < _ITSELF:
        form = meaning
    return form.replace("-", " ").replace(",", " and")


def _swapped(text: str, words: Mapping[str, list[tuple[str, str]]], rng: Random) -> str:
    """Return a sentence with words of a class in place of others of it."""
    first: dict[str, list[tuple[list[str], str]]] = defaultdict(list)
    for kind, forms in words.items():
        for form, _ in forms:
            first[form.split()[0]].append((form.split(), kind))
    row, out, at = text.split(), list[str](), 0
    while at < len(row):
        fits = [(f, k) for f, k in first.get(row[at], ()) if row[at : at + len(f)] == f]
        if fits and rng.random() < _SWAPPED:
            longest, kind = max(fits, key=lambda one: len(one[0]))
            out += _pick(words, kind, rng).split()
            at += len(longest)
        else:
            out.append(row[at])
            at += 1
    return " ".join(out)


def _calls(
    calls: Sequence[str], words: Mapping[str, list[tuple[str, str]]], rng: Random
) -> Iterator[str]:
    while True:
        text, how = _swapped(rng.choice(calls), words, rng), rng.random()
        if how < 0.10:
            joint = rng.choice((" and ", " and ", " then ", " "))
            text += joint + _swapped(rng.choice(calls), words, rng)
        elif how < 0.18:
            text = f"{rng.choice(_BEFORE)} {text}"
        elif how < 0.24:
            text = f"{text} {rng.choice(_AFTER)}"
        yield text


def _number(rng: Random) -> str:
    how = rng.random()
    if how < 0.3:
        return _said(str(rng.randint(1, 20)))
    if how < 0.6:
        return plain(str(rng.randint(20, 99)))
    if how < 0.8:
        return plain(str(rng.randint(100, 400)))
    return f"{plain(str(rng.randint(1, 60)))} point {rng.choice(_ONES)}"


def _drill(words: Mapping[str, list[tuple[str, str]]], rng: Random) -> str:
    kinds = {"c": "colour", "p": "position", "s": "species", "h": "head", "w": "what"}

    def one(match: "re.Match[str]") -> str:
        name = match[1]
        if name == "n":
            return _number(rng)
        return rng.choice(_BITES) if name == "x" else _pick(words, kinds.get(name, name), rng)

    return plain(re.sub(r"\{(\w+)\}", one, rng.choice(_DRILLS)))


def _answer(words: Mapping[str, list[tuple[str, str]]], rng: Random) -> str:
    kind = rng.choice(("position", "colour", "species", "side", "head", "both", "", "", "", ""))
    if not kind:
        text = rng.choice(_ANSWERS)
        return text if rng.random() < 0.7 else f"{text} {rng.choice(_AFTER)}"
    text = _pick(words, kind, rng)
    return (
        text
        if rng.random() < 0.6
        else f"{rng.choice(('the', 'on the', 'it was the', 'no the'))} {text}"
    )


def _sentences(folder: Path) -> Iterable[str]:
    """Return the sentences of plain English in the cookie files of a folder."""
    for file in sorted(folder.iterdir()):
        if file.suffix or file.is_dir() or "ascii" in file.name or file.name == "art":
            continue
        for cookie in file.read_text("utf-8", errors="ignore").split("\n%"):
            flat = re.sub(r"\s+", " ", cookie)
            for sentence in re.split(r"(?<=[.!?;:])\s|--|\"", flat):
                words = plain(sentence).split()
                odd = re.search(r"[{}<>=/\\_@#$*|]", sentence)
                if not odd and 3 <= len(words) <= 14 and _are_known(words):
                    yield " ".join(words)
