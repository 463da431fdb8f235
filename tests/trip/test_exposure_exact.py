"""Exposure under anything that can be called: sums, undo, order, and weed on a line."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import timedelta
from itertools import count
from typing import Any

import pytest
from hypothesis import given, settings, strategies as st

from bot.trip.call import Call
from bot.trip.decide import decide
from bot.trip.decision import Context, Decision, Numbering, number
from bot.trip.entry import Entry, Record
from bot.trip.exposure import (
    By,
    Only,
    fair_slices,
    fouled_hours,
    hours_by_both,
    lure_hours,
    slices,
)
from bot.trip.fold import fold
from bot.trip.history import in_order, standing_entries
from bot.trip.meant import Weedy
from bot.trip.state import Trip
from bot.trip.tally import tally
from tests.builders import DAY, TRIP, at, day_of, entry, trip
from tests.meanings import as_heard
from tests.trip.hours import hours_by
from tests.trip.test_any_order import events, folded, made, messages, played

FAR = DAY + timedelta(days=2)
ONE_KEY: tuple[By, ...] = ("position", "size", "lure", "head", "side", "speed", "hour", "trip")
"""What every moment of a lure in the water has exactly one of; of colours it may have two."""
HOLDS = (
    "intervals",
    "stints",
    "fish",
    "spread",
    "previous",
    "readings",
    "rigging",
    "lost",
    "fouled",
)


def summed(found: Iterable[float]) -> float:
    return round(sum(found), 6)


@given(events, st.sampled_from(ONE_KEY), st.sampled_from(ONE_KEY))
@settings(deadline=None)
def test_hours_by_any_one_thing_and_by_any_two_add_up_to_all_hours(
    day: list[tuple[int, Call]], by: By, also: By
) -> None:
    state = folded(day)
    whole = round(lure_hours([state], FAR), 6)

    assert summed(hours_by([state], by, FAR).values()) == whole
    assert summed(hours_by_both([state], by, also, FAR).values()) == whole


@given(events)
@settings(deadline=None)
def test_hours_narrowed_to_each_key_are_the_hours_of_that_key(day: list[tuple[int, Call]]) -> None:
    state = folded(day)

    for colour, hours in hours_by([state], "colour", FAR).items():
        if colour != "unknown":
            assert round(lure_hours([state], FAR, Only(colours=(colour,))) - hours, 6) == 0
    for position, hours in hours_by([state], "position", FAR).items():
        assert round(lure_hours([state], FAR, Only(position=position)) - hours, 6) == 0
    riggers = Only(positions=("short rigger", "long rigger"))
    apart = (lure_hours([state], FAR, Only(position=p)) for p in riggers.positions)
    assert round(lure_hours([state], FAR, riggers), 6) == summed(apart)


@given(messages, st.sampled_from(("strike", "set", "swap", "lines_in", "lines_out", "clear")))
@settings(deadline=None)
def test_undo_restores_exactly_what_was_true(day: list[tuple[int, list[Call]]], act: str) -> None:
    records = played(day)
    before = fold(standing_entries(records))

    decision, more = said_last(records, Call(act, "long rigger"), "x")  # type: ignore[arg-type]
    _, undone = said_last(more, Call("undo"), "y")
    after = fold(standing_entries(undone))

    if decision.entries and not decision.new_trip:
        assert after == before
        assert tally([after], "position", FAR) == tally([before], "position", FAR)


def said_last(
    records: tuple[Record, ...], call: Call, name: str
) -> tuple[Decision, tuple[Record, ...]]:
    """Return one more call, a minute after the last."""
    when = max((record.at for record in records), default=DAY) + timedelta(minutes=1)
    decision = decide([call], records, Context(when))
    ids = (f"{name}{number:03d}" for number in count())
    about = Numbering(ids.__next__, TRIP, name, "Mate", "console", "x", when)
    return decision, (*records, *number(decision, about))


@given(events, st.randoms(use_true_random=False))
@settings(deadline=None)
def test_the_order_in_which_back_dated_entries_are_logged_does_not_matter(
    day: list[tuple[int, Call]], rng: Any
) -> None:
    """Entries of different minutes, logged in any order: each is taken at the minute it happened."""
    apart = [(2 * place, call) for place, (_, call) in enumerate(day)]
    entries = made(apart)
    shuffled = list(entries)
    rng.shuffle(shuffled)
    renamed = [replace(one, id=f"{place:04d}") for place, one in enumerate(shuffled)]

    state, late = fold(in_order(entries)), fold(standing_entries(renamed))

    assert late.stints == state.stints
    assert late.intervals == state.intervals
    for by in ("position", "colour", "hour", "speed"):
        assert tally([late], by, FAR) == tally([state], by, FAR)


def test_an_amended_lure_has_its_hours_from_when_it_was_set() -> None:
    first = entry("07:00", "set", "shotgun", "purple 8")
    records: list[Record] = [entry("07:00", "lines_in"), first]
    right = entry("07:00", "set", "shotgun", "black 12", replaces=first.id)
    state = fold(standing_entries([*records, right, _void(first)]))

    assert hours_by([state], "lure", at("09:00")) == {"black 12-inch": 2.0}


def _void(one: Entry) -> Record:
    from bot.trip.entry import Voided

    return Voided("z", (one.id,), at("08:00"))


# Weed: common practice, no source (reference.md section 16, 15): time fouled is not fair exposure


def weedy(*more: str) -> Trip:
    return trip(
        *day_of(["07:00 lines_in", "07:00 set | long rigger | purple 8",
                 "07:00 set | shotgun | black 12"]),
        as_heard(entry("08:00", "sighting", what="weed", said="weed on the long rigger")),
        *day_of(more),
    )  # fmt: skip


def test_weed_takes_no_contract_hours_but_fair_ones_until_the_line_is_brought_in() -> None:
    state = weedy("08:30 clear | long rigger", "08:40 set | long rigger", "10:00 lines_out")

    assert lure_hours([state], at("12:00")) == pytest.approx(3.0 + 2 + 50 / 60)
    assert fouled_hours(state, at("12:00")) == pytest.approx(0.5)
    assert fouled_hours(state, at("12:00"), Only(position="shotgun")) == 0.0
    assert hours_by([state], "lure", at("12:00")) == pytest.approx(
        {"purple 8-inch": 2 + 50 / 60, "black 12-inch": 3.0}
    )


def test_weed_on_a_line_that_nobody_cleans_lasts_to_lines_out_or_to_now() -> None:
    assert fouled_hours(weedy("10:00 lines_out"), at("12:00")) == pytest.approx(2.0)
    assert fouled_hours(weedy(), at("08:45")) == pytest.approx(0.75)


def test_weed_that_drifts_by_or_was_undone_takes_nothing() -> None:
    drifting = trip(
        *day_of(["07:00 lines_in", "07:00 set | shotgun | black 12"]),
        as_heard(entry("08:00", "sighting", what="weed", said="lots of weed about")),
    )

    assert fouled_hours(drifting, at("09:00")) == 0.0


def test_weed_on_the_riggers_or_on_everything_is_on_each() -> None:
    for words, lines in (("weed on the riggers", {"long rigger"}),
                         ("weed on everything", {"long rigger", "shotgun"})):  # fmt: skip
        state = trip(
            *day_of(["07:00 lines_in", "07:00 set | long rigger", "07:00 set | shotgun"]),
            as_heard(entry("08:00", "sighting", what="weed", said=words)),
        )
        assert {span.line for span in state.fouled} == lines


@given(events, st.lists(st.integers(0, 600), max_size=4))
@settings(deadline=None)
def test_fair_and_fouled_time_are_all_the_time_and_never_overlap(
    day: list[tuple[int, Call]], weeds: list[int]
) -> None:
    all_weedy = Call("sighting", what="weed", meant=(Weedy(everywhere=True),))
    called = [
        Entry(f"w{n}", "t", DAY + timedelta(minutes=m), all_weedy, "Mate",
              "console", "weed on everything")
        for n, m in enumerate(weeds)
    ]  # fmt: skip
    state = fold(in_order([*made(day), *called]))

    fair = list(fair_slices(state, FAR))
    assert all(piece.end > piece.start for piece in fair)
    for piece in fair:
        for span in state.fouled:
            if span.line == piece.stint.line:
                assert piece.end <= span.start or (span.end is not None and piece.start >= span.end)
    whole = sum(p.hours for p in slices(state, FAR))
    assert round(sum(p.hours for p in fair) + fouled_hours(state, FAR) - whole, 6) == 0
    assert fouled_hours(state, FAR) >= 0
