"""How amounts are written, against worked values and, where one exists, an outside rule."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, strategies as st

from bot.replies.amounts import (
    clock,
    count,
    hours_words,
    join_parts,
    lure_hours,
    number,
    percent,
    rate,
    ratio,
    sentence,
    span_words,
)


@pytest.mark.parametrize(
    ("value", "text"), [(8.0, "8"), (8.5, "8.5"), (24.04, "24"), (0.0, "0"), (100.0, "100")]
)
def test_a_number_has_no_needless_noughts(value: float, text: str) -> None:
    assert number(value) == text


@given(st.floats(-1e6, 1e6))
def test_a_number_is_never_further_off_than_its_last_place(value: float) -> None:
    assert abs(float(number(value)) - value) <= 0.0500001


@pytest.mark.parametrize(
    ("many", "what", "text"),
    [(1, "strike", "1 strike"), (0, "strike", "0 strikes"), (2, "fish", "2 fish")],
)
def test_a_count_agrees_with_its_noun(many: int, what: str, text: str) -> None:
    assert count(many, what) == text


@pytest.mark.parametrize(
    ("minutes", "text"),
    [(0.4, "under a minute"), (1, "1 min"), (59.6, "1 h 00 min"), (125, "2 h 05 min")],
)
def test_a_span_is_in_hours_and_minutes(minutes: float, text: str) -> None:
    assert span_words(timedelta(minutes=minutes)) == text


@given(st.integers(0, 5000))
def test_a_span_loses_no_minute(minutes: int) -> None:
    text = span_words(timedelta(minutes=minutes))
    figures = [int(word) for word in text.split() if word.isdigit()]
    told = figures[0] * 60 + figures[1] if len(figures) == 2 else sum(figures)

    assert told == minutes


@pytest.mark.parametrize(
    ("hours", "text"), [(0.5, "30 min"), (0.99, "59 min"), (0.996, "1.0 h"), (4.14, "4.1 h")]
)
def test_hours_below_one_are_minutes(hours: float, text: str) -> None:
    assert hours_words(hours) == text


def test_lure_hours_too_few_to_speak_of_are_left_out() -> None:
    assert lure_hours(0.04) == ""
    assert lure_hours(6.24) == "6.2 lure-hours"


def test_a_clock_is_the_boats_own() -> None:
    # New Zealand keeps UTC+13 in summer (IANA time zone database, Pacific/Auckland).
    moment = datetime(2026, 1, 10, 20, 5, tzinfo=UTC)

    assert clock(moment, ZoneInfo("Pacific/Auckland")) == "09:05"


@given(st.floats(0, 1))
def test_a_chance_is_never_written_as_certain(share: float) -> None:
    assert 1 <= int(percent(share).removesuffix(" %")) <= 99


def test_a_rate_that_is_not_known_is_a_dash() -> None:
    assert (rate(None), rate(4.25)) == ("-", "4.2")


@pytest.mark.parametrize(
    ("text", "whole"), [("hello there", "Hello there."), ("why?", "Why?"), ("", ""), ("a. ", "A.")]
)
def test_a_sentence_begins_and_ends_like_one(text: str, whole: str) -> None:
    assert sentence(text) == whole


def test_what_is_empty_is_not_joined() -> None:
    assert join_parts(["strike", "", "shotgun"]) == "strike, shotgun"


def test_a_ratio_is_written_as_finely_as_its_interval_asks_for() -> None:
    assert ratio(1.84, 1.12, 2.91) == "1.8 (1.1 to 2.9)"
    assert ratio(1.04, 1.01, 1.07, "times") == "1.04 times (1.01 to 1.07)"
