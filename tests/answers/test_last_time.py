"""The last time here: near an old strike, once for each place and trip, never while a fish is on."""

from dataclasses import replace
from datetime import UTC, timedelta
from typing import Any

import pytest
from geographiclib.geodesic import Geodesic

from bot.answers.last_time import last_time_here, strike_of, strikes_near
from bot.answers.view import Past, View
from bot.trip.entry import Entry
from bot.trip.fold import fold
from bot.trip.history import in_order
from bot.trip.ledger import ledger
from bot.trip.state import Trip
from bot.trip.summary import summary
from tests.answers.views import view
from tests.builders import at, entry

BANK = (-35.05, 174.45)


def off(place: tuple[float, float], miles: float, bearing_deg: float) -> tuple[float, float]:
    """Go from a place, by geographiclib (Karney's direct problem), not by our own arithmetic."""
    found = Geodesic.WGS84.Direct(*place, bearing_deg, miles * 1852)
    return found["lat2"], found["lon2"]


def day(number: int, *entries: Entry) -> Trip:
    dated = (replace(e, at=e.at - timedelta(days=number), trip=f"trip {number}") for e in entries)
    return fold(in_order(dated))


def strike(clock: str, place: tuple[float, float], lure: str = "purple 8") -> Entry:
    return entry(clock, "strike", "long rigger", lure, latitude=place[0], longitude=place[1])


def seen(*trips: Trip, here: tuple[float, float] | None = BANK, **values: Any) -> View:
    figures = [s for one in trips if (s := summary(one, at("12:00"), UTC, BANK)) is not None]
    past = Past(tuple, lambda: tuple(figures))
    return view(past=past, here=here, place=BANK, **values)


BEFORE = day(
    30,
    entry("06:00", "lines_in"),
    entry("06:00", "water", water_c=24.2),
    entry("06:00", "speed", speed_kn=8.0),
    strike("07:40", BANK),
    entry("07:41", "hookup", "long rigger", species="striped marlin"),
    entry("08:00", "release", "long rigger", species="striped marlin"),
    entry("12:00", "trip_end"),
)


def test_it_says_when_on_what_where_and_how_it_was() -> None:
    found = last_time_here(seen(BEFORE))

    assert found is not None
    assert found.text == (
        "Last time here, 12 February 2026 07:40: strike, long rigger, purple 8-inch, striped marlin caught;"
        " dusk, 24 °C, 8 kn."
    )
    assert found.key == "trip 30#0"


@pytest.mark.parametrize("bearing_deg", [0, 77, 180, 271])
def test_two_miles_are_near_and_a_little_more_is_not(bearing_deg: float) -> None:
    assert last_time_here(seen(BEFORE, here=off(BANK, 1.99, bearing_deg))) is not None
    assert last_time_here(seen(BEFORE, here=off(BANK, 2.01, bearing_deg))) is None


def test_a_place_is_told_once_on_a_trip_also_by_another_strike_of_it() -> None:
    other = day(20, strike("09:00", off(BANK, 1.5, 90)), entry("12:00", "trip_end"))
    far = day(10, strike("09:00", off(BANK, 5.0, 90)), entry("12:00", "trip_end"))
    first = last_time_here(seen(BEFORE, other, far))

    assert first is not None
    assert first.text.startswith("Last time here, 22 February 2026 09:00: strike")
    assert first.text.endswith("1 more strike within 2 nm.")
    assert last_time_here(seen(BEFORE, other, far), {first.key}) is None
    moved = off(BANK, -0.5, 90)
    assert last_time_here(seen(BEFORE, other, far, here=moved), {first.key}) is None
    there = last_time_here(seen(BEFORE, other, far, here=off(BANK, 5.0, 90)), {first.key})
    assert there is not None
    assert there.text.startswith("Last time here, 4 March 2026")


def test_it_is_quiet_while_a_fish_is_on_and_speaks_after() -> None:
    fighting = (
        entry("07:00", "lines_in"), entry("07:00", "set", "shotgun", "red 6"),
        entry("08:00", "hookup", "shotgun"),
    )  # fmt: skip

    assert last_time_here(seen(BEFORE, records=fighting)) is None
    landed = (*fighting, entry("08:30", "boat", "shotgun"))
    assert last_time_here(seen(BEFORE, records=landed)) is not None


def test_without_a_place_now_or_then_nothing_is_said() -> None:
    nowhere = day(5, entry("07:00", "strike", "shotgun"), entry("12:00", "trip_end"))

    assert last_time_here(seen(BEFORE, here=None)) is None
    assert last_time_here(seen(nowhere)) is None
    assert last_time_here(seen()) is None
    raised = entry("07:00", "raise", "shotgun", latitude=BANK[0], longitude=BANK[1])
    assert last_time_here(seen(day(5, raised, entry("12:00", "trip_end")))) is None


def test_a_key_leads_back_to_its_strike_and_a_strange_one_to_none() -> None:
    one = day(
        9, strike("07:00", BANK), strike("09:00", off(BANK, 1, 0)), entry("12:00", "trip_end")
    )
    figures = [s for t in (BEFORE, one) if (s := summary(t, at("12:00"), UTC, BANK)) is not None]
    book = ledger(figures)

    assert {strike_of(book, found.key) for found in strikes_near(book, BANK)} == set(
        strikes_near(book, BANK)
    )
    assert [found.at for found in strikes_near(book, BANK)][-1] == at("09:00") - timedelta(days=9)
    for key in ("", "trip 30", "trip 30#7", "trip 99#0", "trip 30#x"):
        assert strike_of(book, key) is None
