"""Words of the boat that mean something else already are said, one line each; a sound language is silent."""

import random
from dataclasses import replace

import pytest

from bot.bench.corpus import ROOT
from bot.calls.grammar import Grammar, load
from bot.calls.language import Language
from bot.calls.selfcheck import collisions
from tests.calls.language_faults import ear_faults, example_faults

TEXTS = {p.name: p.read_text("utf-8") for p in (ROOT / "grammar").glob("*.toml")}


@pytest.fixture(scope="module")
def grammar() -> Grammar:
    return load(TEXTS)


@pytest.mark.parametrize(
    ("nickname", "why"),
    [
        ("hook up", 'is the call "hookup"'),
        ("Lines In", 'is the call "lines in"'),
        ("undo", 'is the call "undo"'),
        ("blue", "is already said for blue (colour)"),
        ("clear", "is already said for clear (colour)"),
        ("stinger", "is already said for shotgun (position)"),
        ("tuna", "is already said for tuna (species)"),
        ("fifty", "is a number"),
        ("eight and a half", "is a number"),
        ("mate", "is a word that is passed over in calls"),
        ("radio", "is a sign that a line is talk and no call"),
        ("trigger", 'is what is often heard for "rigger"'),
        ("!!", "is nothing that can be said"),
    ],
)
def test_a_nickname_that_means_something_already_is_reported(
    grammar: Grammar, nickname: str, why: str
) -> None:
    (line,) = collisions(grammar, {"name": {"Lure One": [nickname]}})

    assert line.startswith(f'"{nickname}" (name Lure One) {why}')
    assert line.endswith(": give it another name, or a second word with it")


@pytest.mark.parametrize("nickname", ["tea cosy", "church hat", "blue door", "old boots", "kite"])
def test_a_nickname_of_its_own_is_not_reported(grammar: Grammar, nickname: str) -> None:
    assert collisions(grammar, {"name": {"Lure One": [nickname]}}) == ()


def test_two_lures_of_one_nickname_are_reported_once(grammar: Grammar) -> None:
    names = {"Tea Cosy": ["tea cosy", "cosy"], "Cosy": ["cosy"]}

    (line,) = collisions(grammar, {"name": names})

    assert line.startswith('"cosy" (name Cosy) is the boat\'s own word for the lure Tea Cosy')


def test_the_usual_words_said_again_are_no_collision(grammar: Grammar) -> None:
    positions = {name: [name] for name in grammar.words["position"]}

    assert collisions(grammar, {"position": positions, "colour": {"pink": ["pink"]}}) == ()


def test_a_position_that_takes_a_word_from_another_says_so_and_wins(grammar: Grammar) -> None:
    extra = {"position": {"centre rigger": ["centre rigger"]}}

    (line,) = collisions(grammar, extra)
    own = load(TEXTS, extra)

    assert line == (
        '"centre rigger" (position centre rigger) was said for shotgun (position), and now means this'
    )
    assert "centre rigger" not in own.words["position"]["shotgun"]
    assert own.words["position"]["centre rigger"] == ("centre rigger",)


def test_a_sound_language_has_no_faults(words: Language) -> None:
    assert example_faults(words) == ()
    assert ear_faults(words, random.Random(4).randrange, 20) == ()


def test_a_wrong_example_and_an_act_without_one_are_named(words: Language) -> None:
    kept = tuple(e for e in words.grammar.examples if e.act != "help")
    wrong = replace(kept[0], say="good morning")
    broken = Language(replace(words.grammar, examples=(wrong, *kept[1:])), words.pronunciations)

    first, *rest = example_faults(broken)

    assert first.startswith(f'[{wrong.act}] "good morning" gives []')
    assert rest[-1] == "[help] has no example: add one in calls.toml"


def test_a_sentence_of_two_acts_is_named(words: Language) -> None:
    ears = dict(words.grammar.ears) | {"miss": words.grammar.ears["strike"]}
    broken = Language(replace(words.grammar, ears=ears), words.pronunciations)

    found = ear_faults(broken, random.Random(4).randrange, 20)

    assert any("belongs to [strike] and to [miss]" in line for line in found)
    assert any("is taken for ['strike']" in line for line in found)
