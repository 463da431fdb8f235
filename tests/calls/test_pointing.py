"""Words that point at lines and lures that were spoken of before."""

import pytest

from bot.calls.language import Language
from bot.calls.pointed import Referents
from bot.calls.pointing import resolve_pointing

OUT = (
    ("short corner", "black 14 inch"), ("long corner", "green 12 inch"), ("short rigger", "pink 10 inch"),
    ("long rigger", "purple 8 inch"), ("shotgun", "blue 6 inch"),
)  # fmt: skip


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        (
            "clear all but the shotgun",
            "clear the short corner and the long corner and the short rigger and the long rigger",
        ),
        (
            "wind in everything but the riggers",
            "wind in the short corner and the long corner and the shotgun",
        ),
        ("clear the other rigger", "clear the long rigger"),
        ("and the other one", "clear the long rigger"),
        ("now the other rigger's getting hit", "now the long rigger's getting hit"),
        ("put the pink seven there", "put the pink seven on the short rigger"),
        ("a pink seven you put there in its place.", "a pink seven you put on the short rigger."),
        ("birds over there", "birds over there"),
        (
            "swap the corners",
            "swap the short corner to the green 12 inch and swap the long corner to the black 14 inch",
        ),
        ("bring that one in and check the hooks", "bring the short rigger in and check the hooks"),
    ],
)  # fmt: skip
def test_a_word_that_points_is_what_it_points_at(said: str, meant: str, words: Language) -> None:
    place = Referents(OUT, ("short rigger",), ("short rigger",), last="clear")

    assert resolve_pointing(said, words.grammar, place) == meant


def test_the_rest_is_all_that_the_line_before_did_not_name(words: Language) -> None:
    place = Referents(OUT, ("shotgun",), ("shotgun", "short corner"), last="clear")

    said = resolve_pointing("clear the rest", words.grammar, place)

    assert said == "clear the long corner and the short rigger and the long rigger"


def test_what_was_brought_in_is_put_back_with_its_lure(words: Language) -> None:
    place = Referents(
        OUT[:4], ("shotgun",), ("shotgun",), (("shotgun", "blue 6 inch"),), last="clear"
    )

    assert (
        resolve_pointing("put it back out", words.grammar, place)
        == "put the blue 6 inch back on the shotgun"
    )


def test_the_same_again_is_the_lure_that_went_out_last(words: Language) -> None:
    place = Referents(OUT, ("long rigger",), ("long rigger",), laid="orange 9 inch", last="set")

    assert (
        resolve_pointing("same again on the other rigger", words.grammar, place)
        == "put the orange 9 inch on the short rigger"
    )


@pytest.mark.parametrize(
    "said", ["clear the other rigger", "swap those two", "put it back", "same again", "the rest"]
)
def test_what_points_at_nothing_known_is_left_as_said(said: str, words: Language) -> None:
    assert resolve_pointing(said, words.grammar, Referents(OUT)) == said


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        ("and the long one", "strike on the long rigger"),
        ("the long one never stuck", "the long rigger never stuck"),
        ("long corner's on, the short one missed", "long corner's on, the short corner missed"),
    ],
)
def test_the_long_one_is_of_the_kind_that_was_spoken_of(
    said: str, meant: str, words: Language
) -> None:
    place = Referents(OUT, ("short rigger",), ("short rigger",), last="strike")

    assert resolve_pointing(said, words.grammar, place) == meant


def test_that_one_is_the_fish_where_one_is_on(words: Language) -> None:
    place = Referents(OUT, ("shotgun",), ("shotgun",), last="hookup", on=("shotgun",))

    said = resolve_pointing("that one is in the boat", words.grammar, place)

    assert said == "the fish on the shotgun is in the boat"
