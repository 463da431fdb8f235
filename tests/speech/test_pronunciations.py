from pathlib import Path

import pytest
from pocketsphinx import get_model_path

from bot.speech.jsgf_reader import jsgf_words
from bot.speech.pronunciations import pronunciations, sounded_out


def _distance(one: list[str], other: list[str]) -> int:
    """Levenshtein distance over phones."""
    row = list(range(len(other) + 1))
    for i, phone in enumerate(one, 1):
        last, row[0] = row[0], i
        for j, against in enumerate(other, 1):
            last, row[j] = row[j], min(row[j] + 1, row[j - 1] + 1, last + (phone != against))
    return row[-1]


def test_the_dictionary_is_read_to_the_word() -> None:
    # The CMU dictionary, as the PocketSphinx wheel carries it, read line by line.
    text = Path(get_model_path("en-us/cmudict-en-us.dict")).read_text(encoding="utf-8")
    lines = [line.split(" ", 1) for line in text.splitlines()]
    first = {word: phones for word, phones in lines if not word.endswith(")")}
    known = pronunciations()

    assert set(known) == set(first)
    assert len(known) == len(first) > 120_000
    assert all(known[word][0] == phones for word, phones in first.items())
    assert sum(len(known[word]) for word in first) == len(lines)


@pytest.mark.parametrize("word", ["", " ", "long corner", "the DH", "ZZZZ", "the\n", "\n", 8])
def test_what_is_no_word_of_the_dictionary_is_not_found(word: object) -> None:
    assert word not in pronunciations()


def test_compounds_are_sounded_out_of_their_parts() -> None:
    # Checked against the CMU dictionary: it has the parts, and "shotgun" whole.
    known = pronunciations()
    without = {word: sounds for word, sounds in known.items() if word != "shotgun"}

    assert sounded_out("shotgun", without) == known["shotgun"][0]
    assert sounded_out("yellowfin", known) == f"{known['yellow'][0]} {known['fin'][0]}"
    assert sounded_out("mahi-tuna", known).endswith(known["tuna"][0])


def test_the_letter_rules_come_near_the_dictionary() -> None:
    # Against the CMU dictionary: a rule set this small should get seven phones in ten right.
    known = pronunciations()
    words = [word for word in list(known)[::997] if word.isalpha()]
    wrong = phones = 0
    for word in words:
        true = known[word][0].split()
        wrong += _distance(sounded_out(word, {}).split(), true)
        phones += len(true)

    assert len(words) > 100
    assert wrong / phones < 0.45


@pytest.mark.parametrize("word", ["", "'", "x", "8", "É", "zzz", "qqq", "Qu'appelle", "me", "eee"])
def test_anything_gets_some_pronunciation(word: str) -> None:
    assert sounded_out(word, pronunciations()).split()


def test_the_words_of_a_grammar_are_found_among_its_signs() -> None:
    text = """#JSGF V1.0 UTF-8 en;
    grammar deck.calls;
    import <other.rule>;
    // a comment with words
    /* and
       another */
    <a> = /0.5/ strike {tag with words} | "hooked up" [mahi-mahi]* (don't)+;
    public <b> = <a> | <NULL>;
    public <c>=lines;
    """

    assert jsgf_words(text) == {"strike", "hooked", "up", "mahi-mahi", "don't", "lines"}
