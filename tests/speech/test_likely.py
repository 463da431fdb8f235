import math

import pytest

from bot.speech.compact import compact
from bot.speech.jsgf_reader import word_graph
from bot.speech.likely import Likely, likely

HEAD = "#JSGF V1.0;\ngrammar deck;\n"


def _likely(body: str) -> Likely:
    graph = word_graph(HEAD + body)
    return likely(graph, compact(graph))


def _share(found: Likely, text: str) -> float:
    return math.exp(found.of(text))


def test_alternatives_without_weights_are_alike_likely() -> None:
    # W3C JSpeech Grammar Format, 4.3: without weights all alternatives are equally likely.
    found = _likely("public <a> = one | two | three four | five;")

    assert _share(found, "one") == pytest.approx(0.25)
    assert _share(found, "three four") == pytest.approx(0.25)


def test_weights_are_shares_of_their_sum() -> None:
    # The example of the format, 4.3.1: /10/ small | /2/ medium | /1/ large.
    found = _likely("public <size> = /10/ small | /2/ medium | /1/ large;")

    assert _share(found, "small") == pytest.approx(10 / 13)
    assert _share(found, "large") == pytest.approx(1 / 13)


def test_the_shares_of_all_sentences_add_to_one() -> None:
    found = _likely(
        "public <call> = <act> [the] (rigger | corner) | <act> | stop; <act> = strike | /3/ clear;"
    )
    ends = [f"{the}{where}" for the in ("", "the ") for where in ("rigger", "corner")]
    texts = [f"{act} {end}".strip() for act in ("strike", "clear") for end in ("", *ends)]

    assert sum(_share(found, text) for text in (*texts, "stop")) == pytest.approx(1.0)


def test_what_may_be_repeated_is_said_once_more_every_second_time() -> None:
    found = _likely("public <call> = go+;")

    # The automaton has one state for every further "go"; the first may not be the last.
    assert _share(found, "go") == pytest.approx(0.5, abs=1e-6)
    assert _share(found, "go go go") == pytest.approx(0.125, abs=1e-6)


def test_a_short_call_is_likelier_than_one_of_many_that_a_rule_can_make() -> None:
    found = _likely(
        "public <call> = <set> | do it; <set> = set <c> <n>; <c> = red | blue; <n> = one | two;"
    )

    assert found.of("do it") > found.of("set red two")


@pytest.mark.parametrize("text", ["two", "one one", ""])
def test_what_is_no_sentence_is_never_likely(text: str) -> None:
    assert _likely("public <a> = one;").of(text) <= -30.0
