"""The grammar files prove themselves: examples, acts apart, the ear inside the parser, fresh exports."""

import random
import re
import tomllib
from collections.abc import Iterator
from functools import cache

import numpy as np
import pytest

from bot.bench.corpus import ROOT, corpus_language
from bot.bench.export import FOLDER, export_files
from bot.bench.hear_sample import read_jsgf
from bot.calls.ear import ear_rules, ear_words
from bot.calls.grammar import Example, load
from bot.calls.language import Language
from bot.calls.meant.tackle import tackle_question
from bot.calls.sample import sentence
from bot.calls.template import Alt, Node, Seq, parse_template, refs_of
from bot.calls.understand import understand
from bot.speech.audio import Pcm
from bot.speech.engine import EngineGrammar
from bot.speech.pronunciations import pronunciations
from bot.speech.sphinx_engine import SphinxEngine
from bot.transcript import typed_transcript
from bot.trip.acts import ACTS

TEXTS = {p.name: p.read_text("utf-8") for p in (ROOT / "grammar").glob("*.toml")}
EXAMPLES = load(TEXTS).examples
LINE = 120
"""Letters of a line that nobody reads any more."""
IN_A_CHOICE, IN_A_WORDING = 12, 44
"""Most alternatives of one choice, and of all choices of a wording."""
MOST_OF_AN_ACT = 200
"""Sentences drawn for each act; most acts have fewer."""


@cache
def _words() -> Language:
    """The grammar by itself: its examples stand beside its templates."""
    return corpus_language(networks=False)


@cache
def _drawn() -> tuple[tuple[str, str], ...]:
    """Draw sentences of the ear: act and sentence, the same ones every time."""
    rules = ear_rules(_words().grammar)
    found: dict[tuple[str, str], None] = {}
    for name in sorted(n for n in rules if n.startswith("act_")):
        chance = random.Random(name)
        said = (sentence(rules, chance.randrange, name) for _ in range(3 * MOST_OF_AN_ACT))
        distinct = list(dict.fromkeys(said))[:MOST_OF_AN_ACT]
        found |= {(name.removeprefix("act_"), one): None for one in distinct}
    return tuple(found)


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda e: e.say)
def test_every_example_gives_what_stands_beside_it(example: Example) -> None:
    words = _words()

    found = understand(typed_transcript(example.say), words)

    want = [{"act": example.act} | example.gives, *example.also]
    lure = want[0].get("lure")
    if lure:
        want[0]["lure"] = next(n for n in words.grammar.words["name"] if n.lower() == lure)
    assert [c.to_json() for c in found.calls] == want
    assert found.ask is None


def test_every_act_has_an_example() -> None:
    assert {e.act for e in EXAMPLES} == set(ACTS)


def test_no_sentence_of_the_ear_belongs_to_two_acts() -> None:
    owners: dict[str, set[str]] = {}
    for act, said in _drawn():
        owners.setdefault(said, set()).add(act)

    assert len(owners) > 2500
    assert {s: acts for s, acts in owners.items() if len(acts) > 1} == {}


def test_what_the_engines_may_say_the_parser_takes_as_the_same_act_without_asking() -> None:
    wrong = []
    for act, said in _drawn():
        found = understand(typed_transcript(said), _words())
        if found.refusal:
            continue  # a number that cannot be meant, such as a fish of 560 inches
        if {c.act for c in found.calls} != {act} or found.ask is not None:
            wrong.append((act, said, [c.to_json() for c in found.calls], found.ask))

    assert wrong == []


def test_every_act_can_be_heard_and_of_notes_those_that_deckcall_acts_on() -> None:
    named = {"angler"}  # a name of the crew is in no list of the engines
    assert {act for act, _ in _drawn()} == set(ACTS) - named
    notes = [said for act, said in _drawn() if act == "note"]  # other text is anything at all
    acted_on = [said for said in notes if " metres back" in said or said.startswith("remind me ")]
    assert notes == acted_on
    assert len({said.split()[0] for said in notes}) > 1


def test_questions_of_the_ear_that_are_no_calls_log_nothing_and_are_answered() -> None:
    rules = ear_rules(_words().grammar)
    chance = random.Random("asked")
    said = {sentence(rules, chance.randrange, "asked_tackle") for _ in range(300)}

    assert len(said) > 50
    assert {s for s in said if understand(typed_transcript(s), _words()).calls} == set()
    assert {s for s in said if tackle_question(_words().reader.line(s)) is None} == set()


def test_the_exports_are_fresh() -> None:
    there = {p.name: p.read_text("utf-8") for p in FOLDER.iterdir()}

    assert there == export_files(), "run: python -m bot.bench export"


def test_every_phrase_of_the_list_is_of_words_of_the_grammar_and_the_other_way_round() -> None:
    listed = {
        w for line in export_files()["deckcall.phrases.txt"].splitlines() for w in line.split()
    }

    assert listed == set(ear_words(ear_rules(corpus_language(None).grammar)))


@pytest.fixture(scope="module")
def engine() -> SphinxEngine:
    """Return PocketSphinx with the exported file as it is, W3C JSpeech Grammar Format (5 June 2000)."""
    text = (FOLDER / "deckcall.jsgf").read_text("utf-8")
    assert text.startswith("#JSGF V1.0 UTF-8 en;\n")
    sounds = tuple((w, p) for w, said in _words().grammar.sounds.items() for p in said)
    ear = SphinxEngine()
    ear.prepare(EngineGrammar(text, (), sounds))
    return ear


def test_the_exported_grammar_loads_in_pocketsphinx_as_it_is(engine: SphinxEngine) -> None:
    hiss = np.random.default_rng(1).integers(-40, 40, 16000, np.int16)

    heard = engine.transcribe(Pcm(hiss))

    assert heard.engine == "pocketsphinx"
    assert engine.sounded_out.keys() <= set(ear_words(ear_rules(_words().grammar)))


def test_pocketsphinx_takes_the_sentences_that_another_reader_draws_from_the_file(
    engine: SphinxEngine,
) -> None:
    sampler = read_jsgf((FOLDER / "deckcall.jsgf").read_text("utf-8"))
    chance = np.random.default_rng(7)
    said = [sampler.sentence(chance) for _ in range(400)]

    assert [s for s in said if not engine.accepts(s)] == []
    assert not engine.accepts("the forecast is for wind")
    assert not engine.accepts("strike strike strike long")


def test_pronunciations_of_the_grammar_are_phones_of_the_cmu_dictionary() -> None:
    """ARPAbet as in the CMU Pronouncing Dictionary that PocketSphinx brings."""
    known = pronunciations()
    phones = {p for said in list(known.values())[::50] for one in said for p in one.split()}

    mine = {p for said in _words().grammar.sounds.values() for one in said for p in one.split()}
    assert mine <= phones


def test_no_line_of_the_grammar_is_too_long_to_read() -> None:
    long = {
        f"{name}:{number}": len(line)
        for name, text in TEXTS.items()
        for number, line in enumerate(text.splitlines(), 1)
        if len(line) >= LINE
    }

    assert long == {}


def test_a_wording_holds_no_more_alternatives_than_one_reads_at_a_glance() -> None:
    held = {
        wording: _alternatives(parse_template(wording))
        for text in TEXTS.values()
        for wording in _wordings(tomllib.loads(text))
        if "(" in wording or "[" in wording
    }

    assert len(held) > 2000
    assert {w: n for w, n in held.items() if max(n) > IN_A_CHOICE or sum(n) > IN_A_WORDING} == {}


def test_every_part_is_named_by_a_wording_and_stands_beside_those_that_name_it() -> None:
    read = {name: tomllib.loads(text) for name, text in TEXTS.items()}
    named = {
        name: {ref for w in _wordings(held) if "<" in w for ref in refs_of(parse_template(w))}
        for name, held in read.items()
    }

    parts = {part for table in read["parts.toml"].values() for part in table}
    assert parts - set().union(*named.values()) == {"lead"}, (
        "lead is among the words without meaning"
    )
    for table in ("calls", "rules", "meanings"):
        own = set(read["parts.toml"][table])
        others = [f for f in ("calls", "rules", "meanings") if f != table]
        assert not own & set().union(*(named[f"{f}.toml"] for f in others)), "belongs into [shared]"


def _wordings(held: object) -> Iterator[str]:
    """Yield every text of a parsed grammar file."""
    if isinstance(held, str):
        yield held
    elif isinstance(held, dict):
        yield from (text for value in held.values() for text in _wordings(value))
    elif isinstance(held, list):
        yield from (text for value in held for text in _wordings(value))


def _alternatives(node: Node) -> list[int]:
    """Return how many alternatives each choice of a wording has, without that of leaving it out."""
    match node:
        case Seq(parts):
            return [n for part in parts for n in _alternatives(part)] or [0]
        case Alt(choices):
            within = [n for choice in choices for n in _alternatives(choice)]
            return [sum(1 for choice in choices if choice != Seq(())), *within]
        case _:
            return [0]


def test_every_act_is_explained_in_a_sentence() -> None:
    lines = TEXTS["calls.toml"].splitlines()
    heads = [n for n, line in enumerate(lines) if re.fullmatch(r"\[[a-z_]+\]", line)]

    assert len(heads) == len(ACTS)
    assert [lines[n] for n in heads if not lines[n + 1].startswith("# ")] == []
