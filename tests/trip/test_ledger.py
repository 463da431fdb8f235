"""The ledger of many trips against the tally of the trips themselves, which is checked by hand elsewhere."""

from dataclasses import replace
from datetime import timedelta
from typing import get_args

import pytest
from hypothesis import given, settings, strategies as st

from bot.trip.call import Call
from bot.trip.exposure import By, Only
from bot.trip.fold import fold
from bot.trip.history import in_order
from bot.trip.ledger import ledger
from bot.trip.state import Trip
from bot.trip.summary import is_settled, summary
from bot.trip.tally import Tally, sum_tally, tally
from tests.builders import DAY, at, day_of, entry, trip
from tests.trip.test_any_order import events, made

BYS = get_args(By)
NARROWED = (
    Only(),
    Only(position="long rigger"),
    Only(positions=("short rigger", "long rigger")),
    Only(side="port"),
    Only(colours=("purple",)),
    Only(colours=("black", "red"), size_in=8),
    Only(size_in=12.5, head="cupped"),
    Only(lure="tin roof"),
    Only(species="marlin"),
    Only(crew="Ann", species="blue marlin"),
)


def trips_of(days: list[list[tuple[int, Call]]]) -> list[Trip]:
    """Fold every day, the crew taking turns, each trip with an id of its own."""
    found = []
    for number, day in enumerate(days):
        entries = [
            replace(one, crew=("Ann", "Bob", "Cy")[place % 3], trip=f"trip {number}")
            for place, one in enumerate(made(day))
        ]
        found.append(fold(in_order(entries)))
    return found


def plain(found: Tally) -> dict[tuple[str, str], tuple[object, ...]]:
    return {
        (r.key, r.other): (
            r.strikes, r.hookups, r.caught, r.raises, r.events_on, r.lost, round(r.hours, 6),
        )
        for r in (*found.rows, found.total)
    }  # fmt: skip


@given(
    st.lists(events, max_size=3), st.sampled_from(BYS), st.sampled_from(BYS),
    st.sampled_from(NARROWED),
)  # fmt: skip
@settings(deadline=None)
def test_the_ledger_counts_what_the_trips_themselves_count(
    days: list[list[tuple[int, Call]]], by: By, also: By, only: Only
) -> None:
    held = trips_of(days)
    now = DAY + timedelta(days=2)
    figures = [one for trip in held if (one := summary(trip, now, DAY.tzinfo)) is not None]  # type: ignore[arg-type]
    also = "none" if also == by or by == "none" else also

    found = ledger(figures).sum_tally(by, only, also).tally()

    assert plain(found) == plain(tally(held, by, now, only=only, also=also))


def test_only_the_trips_that_are_asked_for_count() -> None:
    one = trip(entry("08:00", "strike", "shotgun", "red 6"))
    two = trip(entry("08:00", "strike", "shotgun", trip="other"))
    both = ledger([s for t in (one, two) if (s := summary(t, at("12:00"), DAY.tzinfo))])  # type: ignore[arg-type]

    assert both.sum_tally("none").whole[0] == 2
    assert both.sum_tally("none", trips={"other"}).whole[0] == 1
    assert both.sum_tally("none", trips=()).whole[0] == 0


def test_sums_of_two_sets_of_trips_add_up() -> None:
    one = trip(*day_of(["07:00 lines_in", "07:00 set | shotgun | red 6", "08:00 strike | shotgun",
                        "09:00 lines_out"]))  # fmt: skip
    two = trip(*day_of(["07:00 lines_in", "07:00 set | shotgun | red 6", "08:00 lines_out"]))

    found = sum_tally([one], "colour", at("12:00"))
    found.add(sum_tally([two], "colour", at("12:00")))

    assert plain(found.tally()) == plain(tally([one, two], "colour", at("12:00")))
    assert found.tally().total.hours == pytest.approx(3.0)


def test_a_trip_that_goes_on_is_not_settled_until_it_ended_or_was_forgotten() -> None:
    going = trip(*day_of(["07:00 lines_in", "07:00 set | shotgun | red 6"]))
    ended = trip(*day_of(["07:00 lines_in", "15:00 trip_end"]))

    assert not is_settled(going, at("09:00"))
    assert is_settled(going, at("09:00") + timedelta(days=1))
    assert is_settled(ended, at("15:01"))
    assert summary(Trip(), at("09:00"), DAY.tzinfo) is None  # type: ignore[arg-type]
