"""The grammar files prove themselves, and what is wrong in one is said with file and line."""

import random

import pytest

from bot.bench.corpus import ROOT
from bot.bench.export import FOLDER, exported
from bot.calls.ear import ear_rules, ear_words
from bot.calls.grammar import Example, load
from bot.calls.sample import sentence
from bot.calls.template import parse_template
from bot.calls.understand import Language, understand
from bot.errors import GrammarError
from bot.speech.audio import Pcm
from bot.speech.engine import EngineGrammar
from bot.speech.sphinx_engine import SphinxEngine
from bot.transcript import typed
from bot.trip.call import ACTS

TEXTS = {p.name: p.read_text("utf-8") for p in (ROOT / "grammar").glob("*.toml")}
EXAMPLES = load(TEXTS).examples


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda e: e.say)
def test_every_example_gives_what_stands_beside_it(words: Language, example: Example) -> None:
    found = [c.to_json() for c in understand(typed(example.say), words).calls]

    want = [{"act": example.act} | example.gives, *example.also]
    lure = want[0].get("lure")
    if lure:
        want[0]["lure"] = next(n for n in words.grammar.words["name"] if n.lower() == lure)
    assert found == want


def test_every_act_has_an_example() -> None:
    assert {e.act for e in EXAMPLES} == set(ACTS)


def test_what_the_engines_may_say_is_what_the_parser_takes(words: Language) -> None:
    rules = ear_rules(words.grammar)
    chance = random.Random(20)
    wrong = []
    for name in sorted(n for n in rules if n.startswith("act_")):
        for _ in range(25):
            said = sentence(rules, chance.randrange, name)
            acts = {c.act for c in understand(typed(said), words).calls}
            if acts != {name.removeprefix("act_")}:
                wrong.append((name, said, acts))
    assert len(wrong) <= 8, wrong  # of 850; "is blue inch ready" and the like


def test_the_exports_are_fresh() -> None:
    there = {p.name: p.read_text("utf-8") for p in FOLDER.iterdir()}

    assert there == exported(), "run: python -m bot.bench export"


def test_the_exported_grammar_loads_in_pocketsphinx_as_it_is(words: Language) -> None:
    """W3C JSpeech Grammar Format, Note of 5 June 2000; an engine of others reads it."""
    import numpy as np

    text = (FOLDER / "deckcall.jsgf").read_text("utf-8")
    assert text.startswith("#JSGF V1.0")
    sounds = tuple((w, p) for w, said in words.grammar.sounds.items() for p in said)
    engine = SphinxEngine()

    engine.prepare(EngineGrammar(text, (), sounds))
    heard = engine.transcribe(Pcm(np.random.default_rng(1).integers(-40, 40, 16000, np.int16)))

    assert heard.engine == "pocketsphinx"
    assert "rigger" in ear_words(ear_rules(words.grammar))


@pytest.mark.parametrize(
    ("file", "old", "new", "said"),
    [
        (
            "calls.toml",
            '"{degrees}", "{tenths}"',
            '"{degreez}", "{tenths}"',
            r"calls\.toml:\d+: no slot",
        ),
        ("calls.toml", "[help]", "[halp]", r"calls\.toml:\d+: there is no act 'halp'"),
        ("rules.toml", "<who>", "<who", "cannot read|never closed|unexpected"),
        ("words.toml", "[side]", "[sides]", r"words\.toml has no \[side\]"),
    ],
)
def test_a_broken_file_is_named_with_its_line(file: str, old: str, new: str, said: str) -> None:
    text = TEXTS[file] if old in TEXTS[file] else TEXTS[file] + '\n[piece2]\nx = "<who>"\n'
    broken = TEXTS | {file: text.replace(old, new, 1)}
    if file == "rules.toml":
        broken[file] = TEXTS[file].replace("[piece]", '[piece]\nbad = "(a|b"', 1)

    with pytest.raises(GrammarError, match=said):
        load(broken)


def test_a_template_says_what_is_wrong_with_it() -> None:
    with pytest.raises(GrammarError, match="never closed"):
        parse_template("[the (strike|bite)")


def test_the_boats_own_words_join_the_language() -> None:
    extra = {"position": {"centre rigger": ["centre rigger"]}, "name": {"Blue Door": ["blue door"]}}
    own = Language(load(TEXTS, extra))

    (call,) = understand(typed("blue door on the centre rigger"), own).calls

    assert call.to_json() == {"act": "set", "position": "centre rigger", "lure": "Blue Door"}
