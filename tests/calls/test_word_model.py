"""How likely lines are as words: the model against what such a model must be, and what it is for."""

from collections.abc import Mapping
from math import exp

import pytest

from bot.bench.corpus import corpus_language
from bot.bench.word_model import count_words
from bot.calls.heard import OPEN
from bot.calls.language import Language
from bot.calls.likely_words import in_likely_order, line_likelihood
from bot.calls.word_model import END, STEP, UNKNOWN, WordModel, load, pack_model
from bot.transcript import Alternative, Transcript

LINES = ("strike on the shotgun", "strike on the long rigger", "clear the shotgun", "clear it") * 3
WORDS = {word for line in LINES for word in line.split()}


@pytest.fixture(scope="module")
def small() -> WordModel:
    return count_words((line.split() for line in LINES), {})


@pytest.fixture(scope="module")
def words() -> Language:
    return corpus_language()


@pytest.mark.parametrize("before", ["", "strike", "strike on", "clear the", "the shotgun", "it on"])
def test_what_may_follow_comes_to_one(small: WordModel, before: str) -> None:
    """Kneser and Ney (1995), Chen and Goodman (1999): every context has a distribution; eight bits are off by
    half a step at most in each of a probability and a back-off weight."""
    context = ["<s>", "<s>", *before.split()]

    total = sum(exp(small.behind([*context[-2:], word])) for word in (*WORDS, END))

    assert total == pytest.approx(1.0, rel=exp(STEP) - 1)


def test_a_line_that_was_counted_is_likelier_than_its_words_in_disorder(small: WordModel) -> None:
    said, mixed = (
        small.likelihood(line.split()) for line in ("clear the shotgun", "shotgun clear the")
    )

    assert said.mean > mixed.mean
    assert said.unknown == mixed.unknown == 0


def test_words_of_a_class_are_as_likely_one_as_another() -> None:
    classes: Mapping[str, str] = {"pink": "<colour>", "black": "<colour>"}
    model = count_words((["set", "pink"] for _ in range(5)), classes)

    pink, black = (model.likelihood(["set", one], classes) for one in ("pink", "black"))

    assert pink == black


def test_the_boats_own_words_cost_less_than_unknown_ones(small: WordModel) -> None:
    strange = small.likelihood(["clear", "barnacle"])
    own = small.likelihood(["clear", "barnacle"], own={"barnacle"})

    assert own.mean > strange.mean
    assert (strange.unknown, own.unknown) == (1, 0)


def test_a_model_comes_back_from_its_file(small: WordModel) -> None:
    again = load(pack_model(small))

    assert again.likelihood(["clear", "it"]) == small.likelihood(["clear", "it"])
    assert UNKNOWN not in WORDS


def test_of_lines_that_sound_alike_the_one_that_a_deck_says_comes_first(words: Language) -> None:
    lines = (
        Alternative("clear both reds please", 0.53),
        Alternative("clear both riggers please", 0.52),
    )
    heard = Transcript(lines, OPEN, 2.0, {"deck_first": 0.0, "plain_first": 1.0})

    found = in_likely_order(heard, words)

    assert found.best == "clear both riggers please"
    assert (found.signals["deck_first"], found.signals["plain_first"]) == (1.0, 0.0)


def test_names_of_the_boat_are_known_at_once(words: Language) -> None:
    line = Alternative("quexley is on the rod", 0.5)

    assert line_likelihood(line, words).unknown == 1
    assert line_likelihood(line, words, {"quexley"}).unknown == 0
    assert line_likelihood(line, words, {"quexley"}).sure > line_likelihood(line, words).sure


def test_colours_are_left_to_the_ear(words: Language) -> None:
    one, two = (
        line_likelihood(Alternative(f"set the long rigger {c} ten", 0.5), words)
        for c in ("black", "pink")
    )

    assert one.sure == two.sure
