"""What the ear is trained to write: sentences in words, each with what it is.

Calls and talk of the corpora and of writers, their classes swapped (colours, positions, fish, numbers),
joined and prefixed; sentences of the grammar; rows of numbers; answers; plain English. From a seed.
"""

import json
import re
import tomllib
from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from random import Random
from typing import Any

import numpy as np

from bot.bench import ear_words
from bot.bench.ear_words import aloud, number_words
from bot.bench.hear_sample import read_jsgf
from bot.shipped import data_folder
from bot.speech.pronunciations import pronunciations

SIZES: Mapping[str, int] = {
    "call-swapped": 85_000,
    "talk-swapped": 26_000,
    "grammar": 4_000,
    "numbers": 6_000,
    "answer": 1_500,
    "plain": 12_000,
    "words": 8_000,
}
"""How many of each kind are made."""
MOST_WORDS = 32
_FEW_WORDS = 4
"""A sentence of fewer words may be said by those who judge, too."""
_SWAPPED = 0.75
_JOINED = 0.25
"""Share of made calls that go on with others in one breath."""
_MORE = (1, 1, 2, 3)
"""How many others then."""
_ITSELF = 0.55
"""Share of swapped words that are said by their plain name."""
_ODD = frozenset(
    "of a o chart char org sil pur col clr grey gry gra bull cow fry net log wood tree drum marks mark"
    " rip rips tails fin fins blues whites blacks sail sails stripe stripes kings grass weed boat ship"
    " the".split()
)
"""Forms that mean something else as often."""
_STAYS = frozenset(
    "one will rod mark frank grace max sandy clay val ty guy pat art skip captain boss dad mum ray bob don"
    " may sue jack norm rob dale heath june julian joy faith rusty russ dawn skipper".split()
)
"""Names and numbers that are other words as often, and so are not swapped."""
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
    "hand": ear_words.NAMES,
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
    "{w} {n} metres to {side}|{p} and {p}|"
    "{l} on the {p}|put the {l} out {p}|strike on the {l}|take the {l} in|is the {l} ready|{l} for the {l}|"
    "{a} is on the rod|{a} got a {s}|{a}'s fish {n} kilos|nice one {a}|"
    "{side} {p} {c}|wind {n} knots|drag {n} kilos|{n} point {n}"
).split("|")
_BITES = (
    "strike|bite|hook up|fish on|missed|pulled hook|raised|bumped|clear|set|put out|take|knock down|hit on|"
    "busted off|change|swap"
).split("|")


@dataclass(frozen=True, slots=True)
class _Classes:
    """The forms of each class with what they mean, and what begins with a word."""

    forms: Mapping[str, Sequence[tuple[str, str]]]
    first: Mapping[str, Sequence[tuple[list[str], str]]]


@dataclass(slots=True)
class Texts:
    """Sentences with their kinds, none twice."""

    rng: Random
    said: dict[str, str] = field(default_factory=dict)
    apart: set[str] = field(default_factory=set)
    """Sentences that are kept for judging."""

    def put(self, text: str, kind: str) -> None:
        """Add a sentence unless it is there or too long."""
        count = len(text.split())
        if 0 < count <= MOST_WORDS and (count < _FEW_WORDS or text not in self.apart):
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
    return aloud(text, Random(text))


def gather(
    corpora: Sequence[Path], english: Path | None, seed: int, apart: Sequence[str] = ()
) -> Texts:
    """Return all sentences.

    `corpora` are files or folders of JSON lines and of texts (`line => calls`), `english` a folder of cookie
    files. What a path names that holds one of `apart` as a part (`s7`, `crew_p`) is not read but as sentences
    of the kind `apart`, which nobody trains on.
    """
    texts = Texts(Random(seed))
    rows: list[tuple[str, bool, Sequence[str]]] = []
    for file in (p for path in corpora for p in _files(path)):
        read = list(_rows(file))
        if _is_apart(file, apart):
            texts.apart |= {plain(text) for text, _, tags in read if "misheard" not in tags}
        else:
            rows += read
    for text, is_call, tags in rows:
        if "spoken" in tags and "misheard" not in tags:
            texts.put(plain(text), "call" if is_call else "talk")
    known = {w for t in texts.said for w in t.split()} | set(pronunciations()) | _names(rows)
    for text, is_call, tags in rows:
        if "spoken" not in tags and "misheard" not in tags:
            _typed(texts, text, is_call, known)
    calls = tomllib.loads((data_folder("grammar") / "calls.toml").read_text("utf-8"))
    for text in _examples(calls):
        _typed(texts, text, True, known)
    _more(texts, english)
    return texts


def sentences(file: Path) -> list[str]:
    """Return the sentences of a file, in words, each once."""
    read = (plain(text) for text, _, tags in _rows(file) if "misheard" not in tags)
    return [text for text in dict.fromkeys(read) if 0 < len(text.split()) <= MOST_WORDS]


def _is_apart(file: Path, apart: Sequence[str]) -> bool:
    return any(part in (*file.parts, file.stem) for part in apart)


def _files(path: Path) -> list[Path]:
    if path.is_file():
        return [path]
    found = (p for p in sorted(path.rglob("*")) if p.suffix in (".jsonl", ".txt"))
    return [p for p in found if p.name != "reserve.jsonl"]


def _rows(file: Path) -> Iterator[tuple[str, bool, Sequence[str]]]:
    """Return the lines of a file: what is said, whether it is a call, its tags."""
    for line in file.read_text("utf-8", errors="ignore").splitlines():
        if file.suffix == ".jsonl":
            yield from _lines(json.loads(line))
        elif " =>" in line and not line.startswith("#"):
            text, calls = line.rsplit(" =>", 1)
            yield re.sub(r"^\[[^]]*\]\s*", "", text), bool(calls.strip()), ("typed",)


def _lines(row: Mapping[str, Any]) -> Iterator[tuple[str, bool, Sequence[str]]]:
    """Return the lines of a row: one, or those of a conversation."""
    if "text" in row:
        yield row["text"], bool(row.get("calls")), row.get("tags", ())
    meant = row.get("line_calls", ())
    for number, line in enumerate(row.get("lines", ())):
        text = line if isinstance(line, str) else str(line[-1])
        yield text, not meant or (number < len(meant) and bool(meant[number])), ("typed",)


def _names(rows: Sequence[tuple[str, bool, Sequence[str]]]) -> set[str]:
    """Return words that stand with a capital inside of several lines: people, places, boats."""
    often: dict[str, set[str]] = defaultdict(set)
    for text, _, _ in rows:
        if not text.isupper():
            for word in re.findall(r"(?<=[a-z,] )[A-Z][a-z]+(?=[ ,.!?']|$)", text):
                often[word.lower()].add(text)
    return {word for word, lines in often.items() if len(lines) > 1} | set(ear_words.NAMES)


def _typed(texts: Texts, text: str, is_call: bool, known: Collection[str]) -> None:
    """Add a typed line, said aloud, that has nothing of typing in it."""
    line = plain(text)
    if text[:1] not in ("", "#") and line and _are_known(line.split(), known):
        texts.put(line, "call" if is_call else "talk")


def _are_known(words: Sequence[str], known: Collection[str]) -> bool:
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


def _classes() -> _Classes:
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
    found["lure"] = [(name, name) for name in ear_words.BOX]
    first: dict[str, list[tuple[list[str], str]]] = defaultdict(list)
    for kind, forms in found.items():
        for form, _ in forms:
            if form not in _STAYS:
                first[form.split()[0]].append((form.split(), kind))
    return _Classes(found, first)


def _pick(words: _Classes, kind: str, rng: Random) -> str:
    if kind == "lure":
        return ear_words.lure(rng)
    form, meaning = rng.choice(words.forms[kind])
    if kind in _KINDS and kind != "both" and rng.random() < _ITSELF:
        form = meaning
    return form.replace("-", " ").replace(",", " and")


def _swapped(text: str, words: _Classes, rng: Random) -> str:
    """Return a sentence with words of a class in place of others of it."""
    row, out, at = text.split(), list[str](), 0
    while at < len(row):
        fits = [(f, k) for f, k in words.first.get(row[at], ()) if row[at : at + len(f)] == f]
        if fits and rng.random() < _SWAPPED:
            longest, kind = max(fits, key=lambda one: len(one[0]))
            out += _pick(words, kind, rng).split()
            at += len(longest)
        else:
            out.append(row[at])
            at += 1
    return " ".join(out)


def _calls(calls: Sequence[str], words: _Classes, rng: Random) -> Iterator[str]:
    while True:
        text, how = _swapped(rng.choice(calls), words, rng), rng.random()
        if how < _JOINED:
            for _ in range(rng.choice(_MORE)):
                joint = rng.choice((" and ", " and ", " then ", " "))
                text += joint + _swapped(rng.choice(calls), words, rng)
        elif how < _JOINED + 0.08:
            text = f"{rng.choice(_BEFORE)} {text}"
        elif how < _JOINED + 0.14:
            text = f"{text} {rng.choice(_AFTER)}"
        yield text


def _number(rng: Random) -> str:
    how = rng.random()
    if how < 0.3:
        return number_words(str(rng.randint(1, 20)))
    if how < 0.6:
        return plain(str(rng.randint(20, 99)))
    if how < 0.8:
        return plain(str(rng.randint(100, 400)))
    return f"{plain(str(rng.randint(1, 60)))} point {rng.choice(_ONES)}"


def _drill(words: _Classes, rng: Random) -> str:
    kinds = {
        "c": "colour",
        "p": "position",
        "s": "species",
        "h": "head",
        "w": "what",
        "l": "lure",
        "a": "hand",
    }

    def one(match: "re.Match[str]") -> str:
        name = match[1]
        if name == "n":
            return _number(rng)
        return rng.choice(_BITES) if name == "x" else _pick(words, kinds.get(name, name), rng)

    return plain(re.sub(r"\{(\w+)\}", one, rng.choice(_DRILLS)))


def _answer(words: _Classes, rng: Random) -> str:
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
                if not odd and 3 <= len(words) <= 14 and _are_known(words, pronunciations()):
                    yield " ".join(words)
