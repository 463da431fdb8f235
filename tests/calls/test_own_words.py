"""The boat's own positions, colours, species and nicknames join the language and what the ear hears."""

import pytest

from bot.bench.corpus import ROOT
from bot.calls.ear import ear_rules, ear_words, jsgf
from bot.calls.grammar import load
from bot.calls.language import Language, language
from bot.calls.sample import phrases
from bot.calls.understand import understand
from bot.fittings import Sounds, learned_reader
from bot.transcript import typed_transcript

TEXTS = {p.name: p.read_text("utf-8") for p in (ROOT / "grammar").glob("*.toml")}
EXTRA = {
    "position": {"kite": ["kite", "the flyer"], "centre rigger": ["centre rigger"]},
    "colour": {"bronze": ["bronze", "penny"]},
    "species": {"oilfish": ["oilfish", "castor"]},
    "name": {"Blue Door": ["blue door"], "Lawn Mower": ["lawn mower", "mower"]},
}


@pytest.fixture(scope="module")
def own() -> Language:
    return language(TEXTS, EXTRA)


@pytest.mark.parametrize(
    ("text", "call"),
    [
        (
            "blue door on the centre rigger",
            {"act": "set", "position": "centre rigger", "lure": "Blue Door"},
        ),
        ("strike on the kite", {"act": "strike", "position": "kite"}),
        ("clear the flyer", {"act": "clear", "position": "kite"}),
        (
            "put the penny and pink ten on the kite",
            {"act": "set", "position": "kite", "colours": ["bronze", "pink"], "size_in": 10},
        ),
        ("boated a castor", {"act": "boat", "species": "oilfish"}),
        ("the mower needs new hooks", {"act": "rework", "lure": "Lawn Mower", "text": "new hooks"}),
        ("what's on the kite", {"act": "ask_spread", "position": "kite"}),
    ],
)
def test_own_words_are_understood(own: Language, text: str, call: dict[str, object]) -> None:
    found = understand(typed_transcript(text), own)

    assert [c.to_json() for c in found.calls] == [call]
    assert found.ask is None


def test_without_them_they_are_nothing(words: Language) -> None:
    assert all(
        c.position != "kite"
        for c in understand(typed_transcript("strike on the kite"), words).calls
    )
    assert all(
        c.species != "oilfish" for c in understand(typed_transcript("boated a castor"), words).calls
    )


def test_own_words_are_heard_too(own: Language, words: Language) -> None:
    rules = ear_rules(own.grammar)
    said = set(ear_words(rules))

    assert {"kite", "bronze", "oilfish", "mower"} <= said
    assert "mower" in jsgf(rules)
    assert {"kite", "bronze", "oilfish", "mower"} <= {w for p in phrases(rules) for w in p.split()}
    assert not {"kite", "mower"} & set(ear_words(ear_rules(words.grammar)))


def test_a_word_that_an_engine_cannot_be_given_leaves_its_form_out(own: Language) -> None:
    rules = ear_rules(own.grammar, lambda word: word != "mower")

    assert "mower" not in ear_words(rules)
    assert "door" in ear_words(rules)


def test_the_usual_words_stay(own: Language) -> None:
    (call,) = understand(typed_transcript("strike long rigger purple eight"), own).calls

    assert call.to_json() == {
        "act": "strike", "position": "long rigger", "colours": ["purple"], "size_in": 8,
    }  # fmt: skip


@pytest.mark.parametrize(
    ("text", "acts"),
    [
        ("knockdown starboard rigger", [("strike", "starboard rigger")]),
        ("double! port rigger and shotgun", [("hookup", "port rigger"), ("hookup", "shotgun")]),
        ("broke off on the starboard corner", [("break_off", "starboard corner")]),
    ],
)
def test_a_side_in_the_name_of_a_position_is_no_side_besides(
    text: str, acts: list[tuple[str, str]]
) -> None:
    named = ("port corner", "starboard corner", "port rigger", "starboard rigger", "shotgun")
    boat = Language(
        load(TEXTS, {"position": {name: [name] for name in named}}), Sounds(), lambda word: word,
        *learned_reader(),
    )  # fmt: skip

    found = understand(typed_transcript(text), boat).calls

    assert [(call.act, call.position, call.side) for call in found] == [
        (act, position, None) for act, position in acts
    ]
