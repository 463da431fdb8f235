"""What a desk is fitted with: the boat's own words as they are said, clashes."""

import re
from collections.abc import Mapping
from pathlib import Path

import pytest
from num2words import num2words

from bot.calls.understand import understand
from bot.errors import EngineError
from bot.fittings import (
    Ear,
    boat_of,
    clashes,
    ear_grammar,
    in_words,
    language_of,
    own_words,
    spoken_forms,
)
from bot.settings import Settings, load
from bot.speech.jsgf_reader import jsgf_words
from bot.spread.weights import DEFAULT_WEIGHTS
from bot.tackle.items import Lure
from bot.transcript import typed_transcript
from tests.scripted_engine import ScriptedEngine

NASTY = ('Bob\'s "Big" #7 <x>; (old) | $[a]+', "Éclair Noir", "N°5", "99 Problems", "鯛")
TOML = """[boat]
positions = ["short corner", "flat line", "shotgun"]
[words.positions]
"flat line" = ["flatty"]
[words.colours]
bronze = ["bronze", "bronzy"]
[words.species]
"painted mackerel" = ["paintie"]
[words.nicknames]
"Church Hat" = ["the sunday one"]
[[outfit]]
position = "flat line"
line_class_kg = 24
"""


def lure(name: str) -> Lure:
    return Lure(name, 8, ("purple",))


@pytest.fixture
def settings(tmp_path: Path) -> Settings:
    (tmp_path / "deckcall.toml").write_text(TOML)
    return load({}, {"home": tmp_path})


@pytest.mark.parametrize(
    ("name", "first"),
    [
        ("Church Hat", "church hat"),
        ("Éclair Noir", "eclair noir"),
        ("99 Problems", "ninety nine problems"),
        ("N°5", "n five"),
        ("Old Nº 7", "old no seven"),
        ("Tea-Cosy (big)", "tea cosy big"),
    ],
)
def test_a_written_name_is_given_as_it_is_said(name: str, first: str) -> None:
    assert spoken_forms(name)[0] == first


def test_a_name_that_nobody_can_say_in_english_has_no_spoken_form() -> None:
    assert spoken_forms("鯛") == ()


def test_figures_are_said_as_the_reference_library_says_them() -> None:
    # num2words 0.5 (en), without its hyphens and "and".
    for value in range(1000):
        reference = num2words(value).replace("-", " ").replace(" and ", " ")

        assert in_words(value) == reference


def test_the_boats_own_words_reach_the_parser(settings: Settings) -> None:
    from bot.calls.understand import understand

    words = language_of(settings, [lure("Church Hat")])
    meant = {
        text: understand(typed_transcript(text), words).calls[0]
        for text in ("strike flatty", "set shotgun bronzy eight", "boated a paintie")
    }

    assert meant["strike flatty"].position == "flat line"
    assert meant["set shotgun bronzy eight"].colours == ("bronze",)
    assert meant["boated a paintie"].species == "painted mackerel"
    named = understand(typed_transcript("set shotgun, the sunday one"), words).calls[0]
    assert named.lure == "Church Hat"


def test_the_boats_own_words_reach_the_ear(settings: Settings) -> None:
    grammar = ear_grammar(language_of(settings, [lure("Church Hat")]))

    assert {"church", "hat", "flat", "bronze", "mackerel"} <= jsgf_words(grammar.jsgf)
    assert any("church hat" in phrase for phrase in grammar.phrases)


def test_no_name_can_break_the_grammar_of_the_ear(tmp_path: Path) -> None:
    found = load({}, {"home": tmp_path})

    grammar = ear_grammar(language_of(found, [lure(name) for name in NASTY]))

    given = set(re.findall(r"^(?:public )?(<[^>]+>) =", grammar.jsgf, flags=re.MULTILINE))
    assert set(re.findall(r"<[^<>]+>", grammar.jsgf)) == given
    assert all(
        word.replace("'", "").replace("-", "").isalpha() for word in jsgf_words(grammar.jsgf)
    )


def test_the_same_words_give_the_same_language_and_another_box_another(tmp_path: Path) -> None:
    found = load({}, {"home": tmp_path})

    one, again = language_of(found, [lure("Tea Cosy")]), language_of(found, [lure("Tea Cosy")])

    assert one is again
    assert language_of(found, [lure("Coal Scuttle")]) is not one


def test_words_of_the_boat_that_mean_something_else_are_found(settings: Settings) -> None:
    lures = [lure(name) for name in ("Church Hat", "Long Rigger", "Undo", "Tea Cosy")]

    found = clashes(settings, lures)
    only = clashes(settings, lures, frozenset({"Undo"}))

    assert [line.partition(" (")[0] for line in found] == ['"long rigger"', '"undo"']
    assert "is already said for long rigger (position)" in found[0]
    assert only == found[1:]


def test_an_outfit_that_stands_by_may_be_a_lure_of_that_name(settings: Settings) -> None:
    assert clashes(settings, [lure("Deep Diver"), lure("Casting Outfit")]) == ()


def test_two_lures_that_are_called_alike_are_found(settings: Settings) -> None:
    found = clashes(settings, [lure("Tea Cosy"), lure("Tea-Cosy")])

    assert found == (
        '"tea cosy" (name Tea-Cosy) is the boat\'s own word for the lure Tea Cosy:'
        " give it another name, or a second word with it",
    )


def test_the_boat_has_the_positions_outfits_and_colours_of_its_settings(settings: Settings) -> None:
    boat = boat_of(settings)

    assert boat.positions == ("short corner", "flat line", "shotgun")
    assert [(o.position, o.line_class_kg) for o in boat.outfits] == [("flat line", 24.0)]
    assert boat.colours == ("bronze",)


def test_own_words_keep_every_position_under_its_own_name(settings: Settings) -> None:
    words = own_words(settings, ())

    assert words["position"]["flat line"] == ("flat line", "flatty")
    assert words["position"]["shotgun"] == ("shotgun",)


def test_the_ear_is_prepared_once_for_each_language(settings: Settings) -> None:
    engine = ScriptedEngine(())
    ear = Ear(settings, engine)
    words = language_of(settings, ())

    ear.ready(words)
    ear.ready(words)
    ear.ready(language_of(settings, [lure("Tea Cosy")]))

    assert len(engine.grammars) == 2


def test_the_grammar_of_a_language_is_made_once(settings: Settings) -> None:
    ear = Ear(settings, ScriptedEngine(()))
    words = language_of(settings, ())

    assert ear.grammar(words) is ear.grammar(words)


def test_an_engine_that_is_not_there_is_an_error_of_one_line(tmp_path: Path) -> None:
    found = load({}, {"home": tmp_path, "engine": "vosk"})

    with pytest.raises(EngineError, match="deckcall model get"):
        Ear(found).ready(language_of(found, ()))


def test_the_weights_of_a_plan_are_the_planners_own_where_none_are_set(tmp_path: Path) -> None:
    found = load(options={"home": tmp_path})

    assert found.plan == DEFAULT_WEIGHTS


def test_the_dictionary_is_read_only_when_a_word_is_looked_up(
    settings: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    def read() -> Mapping[str, tuple[str, ...]]:
        raise LookupError("the dictionary was read")

    monkeypatch.setattr("bot.fittings._dictionary", read)

    words = language_of(settings, [lure("Read Once Only")])

    assert "Read Once Only" in words.grammar.words["name"]
    with pytest.raises(LookupError, match="was read"):
        words.pronunciations.get("shotgun")


def test_both_riggers_are_those_of_the_boat_where_they_bear_other_names(tmp_path: Path) -> None:
    names = '["port corner", "starboard corner", "port rigger", "starboard rigger", "shotgun"]'
    (tmp_path / "deckcall.toml").write_text(f"[boat]\npositions = {names}\n")
    found = load({}, {"home": tmp_path})

    calls = understand(
        typed_transcript("what's on the riggers"), language_of(found, (), keep=False)
    ).calls

    assert [call.position for call in calls] == ["port rigger", "starboard rigger"]
    assert not [line for line in clashes(found, ()) if "(both" in line]
