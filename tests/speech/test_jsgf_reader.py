"""The reader of JSGF against PocketSphinx's own, and what it refuses (W3C Note of 5 June 2000)."""

import numpy as np
import pocketsphinx
import pytest

from bot.bench.corpus import corpus_language
from bot.bench.hear_sample import read_jsgf
from bot.errors import EngineError
from bot.fittings import ear_grammar
from bot.speech.compact import Sentences, compact
from bot.speech.jsgf_reader import word_graph

HEAD = "#JSGF V1.0;\ngrammar com.acme.g;\n"


def sentences(body: str) -> Sentences:
    return compact(word_graph(HEAD + body))


def test_a_grammar_is_read_as_pocketsphinx_reads_it() -> None:
    jsgf = """public <a> = <polite> (open | /0.3/ close {no} | off) [the | a] <thing>+ | stop;
    <polite> = (please | would you)*; // said at ease
    <thing> = window /* or */ | door [left];"""
    texts = [
        "open window", "please would you open the door left window", "close a", "stop", "stop stop",
        "please", "would open door", "open the the door", "please please close door", "left",
    ]  # fmt: skip
    decoder = pocketsphinx.Decoder(lm=None, loglevel="FATAL")
    decoder.add_jsgf_string("theirs", HEAD + jsgf)
    theirs = decoder.get_fsg("theirs")
    ours = sentences(jsgf)

    for text in texts:
        assert ours.accepts(text) == bool(theirs.accept(text)), text


def test_every_sentence_drawn_from_the_ears_grammar_is_in_its_automaton() -> None:
    jsgf = ear_grammar(corpus_language()).jsgf
    automaton = compact(word_graph(jsgf))
    sampler, rng = read_jsgf(jsgf), np.random.default_rng(3)

    for _ in range(300):
        text = sampler.sentence(rng)
        assert automaton.accepts(text), text
        assert not automaton.accepts(f"{text} zorblit")


def test_tokens_in_quotes_may_have_blanks() -> None:
    found = sentences('public <g> = "new york" | say "it\'s";')

    assert found.accepts("new york")
    assert found.accepts("say it's")


def test_what_cannot_be_said_takes_its_sequence_with_it() -> None:
    found = sentences("public <g> = lines (in | <VOID> out | <NULL>);")

    assert found.accepts("lines in")
    assert found.accepts("lines")
    assert not found.accepts("lines out")


def test_a_rule_that_names_itself_at_its_end_repeats() -> None:
    # Section 4.6 of the note allows recursion at the end of a rule.
    found = sentences("public <g> = <cmd>;\n<cmd> = stop | go (and <cmd> | then <cmd>);")

    assert found.accepts("go and go then stop")
    assert not found.accepts("go and")


@pytest.mark.parametrize(
    ("body", "said"),
    [
        ("public <g> = <g> lines | out;", "<g> names"),
        ("public <g> = lines <g> in | out;", "<g> names itself before its end"),
        ("public <a> = <b> x | y; <b> = <a> z;", "names itself before its end"),
        ("public <g> = <g>;", "<g> names"),
        ("import <com.foo.bar>;\npublic <g> = lines <bar>;", "other grammars"),
        ("public <g> = lines <com.foo.x>;", "other grammars"),
        ("public <g> = lines <way>;", "does not give: <way>"),
        ("public <g> = lines; <g> = out;", "given twice"),
        ("public <g> = (lines;", "lacks a '\\)'"),
        ("public <g> = lines } in;", "stray"),
        ("<g> = lines;", "public rule"),
        ("public <g> = lines", "lacks a ';'"),
        ("lines in", "public rule"),
    ],
)
def test_what_cannot_be_followed_is_refused_with_the_rule_that_is_to_blame(
    body: str, said: str
) -> None:
    with pytest.raises(EngineError, match=said):
        sentences(body)


def test_a_rule_of_the_grammar_may_be_named_in_full() -> None:
    assert sentences("public <g> = lines <com.acme.g.way>; <way> = in;").accepts("lines in")


def test_a_grammar_that_copies_itself_without_end_is_refused() -> None:
    rules = "".join(f"<r{n}> = <r{n + 1}> <r{n + 1}>;" for n in range(24))

    with pytest.raises(EngineError, match="too large"):
        sentences(f"public <g> = <r0>; {rules} <r24> = a;")
