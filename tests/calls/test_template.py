"""The sentence template: what it means, and what is wrong with one."""

import pytest

from bot.calls.template import (
    Alt,
    Ref,
    Seq,
    Slot,
    Word,
    pairs_of,
    parse_template,
    resolve,
    resolve_parts,
    slots_of,
    words_in,
)
from bot.errors import GrammarError


def test_words_options_choices_slots_and_pieces_become_a_tree() -> None:
    tree = parse_template("[the] (Strike|bite) on {where} <please>")

    assert tree == Seq((
        Alt((Word("the"), Seq(()))),
        Alt((Word("strike"), Word("bite"))),
        Word("on"),
        Slot("where"),
        Ref("please"),
    ))  # fmt: skip


def test_a_choice_needs_no_brackets_at_the_top() -> None:
    assert parse_template("strike|bite on") == Alt(
        (Word("strike"), Seq((Word("bite"), Word("on"))))
    )


def test_parts_are_put_in_place_of_their_names() -> None:
    rules = resolve_parts({"rod": parse_template("<det> rod"), "det": parse_template("(the|a)")})

    tree = resolve(parse_template("clear <rod>"), rules)

    assert words_in([tree]) == {"clear", "the", "a", "rod"}


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "the template is empty"),
        ("   ", "the template is empty"),
        ("[the (strike|bite)", r"'\[' is never closed"),
        ("(strike|bite", r"'\(' is never closed"),
        ("strike) on", r"unexpected '\)'"),
        ("strike {Where}", "cannot read"),
        ("strike <9>", "cannot read"),
        ("(strike]", r"'\(' is never closed"),
    ],
)
def test_a_wrong_template_is_refused_with_what_is_wrong(text: str, said: str) -> None:
    with pytest.raises(GrammarError, match=said):
        parse_template(text)


def test_a_part_that_is_nowhere_is_named() -> None:
    with pytest.raises(GrammarError, match="no shared part is called <nowhere>"):
        resolve(parse_template("strike <nowhere>"), {})


def test_a_part_that_contains_itself_is_refused() -> None:
    with pytest.raises(GrammarError, match="contains itself"):
        resolve_parts({"a": parse_template("x <b>"), "b": parse_template("y <a>")})


def test_slots_are_found_wherever_they_stand() -> None:
    tree = parse_template("[{side}] ({position}|the {both}) on")

    assert list(slots_of(tree)) == ["side", "position", "both"]


def test_pairs_are_the_words_that_may_stand_beside_each_other() -> None:
    tree = parse_template("a [b] (c|d e)")

    assert pairs_of(tree) == {
        ("a", "b"),
        ("a", "c"),
        ("a", "d"),
        ("b", "c"),
        ("b", "d"),
        ("d", "e"),
    }
