import math
from dataclasses import replace
from datetime import UTC, datetime

import pytest

from bot.bench.corpus import corpus_language
from bot.calls.moment import WEIGHTS, Moment, moment_of
from bot.fittings import ear_grammar
from bot.speech.compact import compact
from bot.speech.jsgf_reader import word_graph
from bot.speech.likely import Likely, likely
from bot.trip.acts import TAKES
from bot.trip.state import Trip

AT = datetime(2026, 1, 1, 8, tzinfo=UTC)


def _likely(moment: Moment) -> Likely:
    graph = word_graph(ear_grammar(corpus_language(), moment).jsgf)
    return likely(graph, compact(graph))


def test_a_day_goes_from_ashore_to_lines_up_to_fishing_and_back() -> None:
    open_trip = Trip(id="a", entries=1, started=AT)

    assert moment_of(Trip()) is Moment.ASHORE
    assert moment_of(open_trip) is Moment.LINES_UP
    assert moment_of(replace(open_trip, fishing_since=AT)) is Moment.FISHING
    assert moment_of(replace(open_trip, fishing_since=AT, ended=AT)) is not Moment.ASHORE


@pytest.mark.parametrize("moment", list(Moment))
def test_the_weights_are_those_of_acts_and_rule_nothing_out(moment: Moment) -> None:
    assert set(WEIGHTS[moment]) <= set(TAKES)
    assert all(weight > 0 for weight in WEIGHTS[moment].values())


def test_the_same_sentences_can_be_heard_at_any_moment() -> None:
    # The automata are the same, so that a surprise is heard too.
    first, second = _likely(Moment.ANY), _likely(Moment.FISH_ON)

    assert first.sentences == second.sentences


def test_with_a_fish_on_landing_it_is_likelier_than_without() -> None:
    fishing, on = _likely(Moment.FISHING), _likely(Moment.FISH_ON)

    assert on.of("he came off") - fishing.of("he came off") > math.log(2)
    assert on.of("trip start") < _likely(Moment.ASHORE).of("trip start") - math.log(2)
