"""Exposure by month, light, water and place: the pieces add up, and stand where they should."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings, strategies as st

from bot.stamps import Fix as Measured, Stamp
from bot.trip.call import Call
from bot.trip.conditions import with_track
from bot.trip.exposure import By, Cuts, Only, hours_by_both, lure_hours, slices
from bot.trip.fold import fold
from bot.trip.history import in_order
from bot.trip.ledger import ledger
from bot.trip.state import Trip
from bot.trip.summary import summary
from bot.trip.tally import tally
from tests.builders import DAY, at, day_of, entry, trip
from tests.trip.hours import hours_by
from tests.trip.test_any_order import events, made

HOME = (-35.2, 174.1)
FAR = DAY + timedelta(days=2)
CONDITIONS: tuple[By, ...] = ("month", "light", "water", "place", "speed")
BYS: tuple[By, ...] = (*CONDITIONS, "position", "size", "hour", "trip")
somewhere = st.none() | st.tuples(st.floats(-35.5, -35.0), st.floats(174.0, 174.6))
days = st.tuples(events, st.lists(somewhere, max_size=40), st.booleans())


def sailed(day: tuple[list[tuple[int, Call]], list[tuple[float, float] | None], bool]) -> Trip:
    """Fold a day on which some calls carry a place and some tell the water; or on a month's last day."""
    called, shared, late = day
    entries = []
    for number, one in enumerate(made(called)):
        place = shared[number] if number < len(shared) else None
        here = replace(one, latitude=place[0], longitude=place[1]) if place else one
        if one.call.act == "water":
            here = replace(here, call=replace(one.call, water_c=20.0 + number % 3))
        entries.append(replace(here, at=here.at + timedelta(days=17)) if late else here)
    return fold(in_order(entries))


@given(days, st.sampled_from(BYS), st.sampled_from(BYS))
@settings(deadline=None)
def test_hours_by_conditions_add_up_to_all_hours(day, by: By, also: By) -> None:  # type: ignore[no-untyped-def]
    state = sailed(day)
    now = FAR + timedelta(days=17)
    whole = pytest.approx(lure_hours([state], now), abs=1e-9)

    assert sum(hours_by([state], by, now, home=HOME).values()) == whole
    assert sum(hours_by_both([state], by, also, now, home=HOME).values()) == whole


@given(days, st.sampled_from(CONDITIONS))
@settings(deadline=None)
def test_what_is_asked_for_is_what_its_row_says_and_the_rows_leave_nothing_out(day, by: By) -> None:  # type: ignore[no-untyped-def]
    state, now = sailed(day), FAR + timedelta(days=17)
    rows = tally([state], by, now, home=HOME).rows
    names: dict[By, str] = {"light": "light", "water": "water", "place": "cells"}

    for row in rows if by in names else ():
        only = replace(Only(), **{names[by]: (row.key,)})  # type: ignore[arg-type]
        one = tally([state], "none", now, only=only, home=HOME).total
        assert one.hours == pytest.approx(row.hours, abs=1e-9)
        assert one.strikes == row.strikes
    assert sum(row.strikes for row in rows) == tally([state], "none", now).total.strikes


@given(days, st.sampled_from(CONDITIONS))
@settings(deadline=None)
def test_no_piece_is_cut_twice_and_no_second_is_lost(day, by: By) -> None:  # type: ignore[no-untyped-def]
    state, now = sailed(day), FAR + timedelta(days=17)
    cuts = Cuts(state, UTC, HOME)

    for piece in slices(state, now):
        parts = [part for _, part in cuts.parts(piece, by)]
        assert parts[0].start == piece.start
        assert parts[-1].end == piece.end
        assert all(one.end == two.start for one, two in pairwise(parts))
        assert all(cuts.at(by, part.start) == key for key, part in cuts.parts(piece, by))  # type: ignore[arg-type]


@given(st.lists(days, max_size=2), st.sampled_from(BYS), st.sampled_from(CONDITIONS))
@settings(deadline=None)
def test_the_ledger_counts_conditions_as_the_trips_do(held, by: By, also: By) -> None:  # type: ignore[no-untyped-def]
    now = FAR + timedelta(days=17)
    trips = [replace(sailed(day), id=f"trip {number}") for number, day in enumerate(held)]
    figures = [s for one in trips if (s := summary(one, now, UTC, HOME)) is not None]
    only = Only(month="March", light=("day", "low evening sun"))

    for chosen in (Only(), only):
        found = ledger(figures).sum_tally(by, chosen, also).tally()
        awaited = tally(trips, by, now, only=chosen, also=also, home=HOME)
        assert {(r.key, r.other): (r.strikes, round(r.hours, 6)) for r in found.rows} == {
            (r.key, r.other): (r.strikes, round(r.hours, 6)) for r in awaited.rows
        }
        assert found.total.hours == pytest.approx(awaited.total.hours, abs=1e-6)


def test_light_is_that_of_the_place_and_without_one_that_of_home() -> None:
    # On the equator at 0° the sun rises at 06:06 UTC (noon 12:09 on 14 March, less 6 h, less the
    # 3.3 min that refraction and the sun's half width take at 15° an hour): before that it is dawn
    lines = ["05:30 lines_in", "05:30 set | shotgun | red 6", "06:30 lines_out", "07:00 trip_end"]
    state = trip(*day_of(lines))
    here = replace(state, fixes=fold([entry("05:40", "mark", latitude=0.0, longitude=0.0)]).fixes)

    by_light = hours_by([here], "light", FAR)
    assert set(by_light) == {"dark", "dawn", "low morning sun"}
    # and civil twilight, from 6° to 50' below the horizon, takes 20.7 min
    assert by_light["dawn"] == pytest.approx(20.7 / 60, abs=0.01)
    assert by_light["low morning sun"] == pytest.approx(0.4, abs=0.02)
    assert hours_by([state], "light", FAR) == {"unknown": 1.0}
    assert hours_by([state], "light", FAR, home=(0.0, 0.0)) == pytest.approx(by_light)
    # a boat on the other side of the earth has it in the evening
    assert set(hours_by([state], "light", FAR, home=(0.0, 180.0))) == {"low evening sun", "dusk"}


def test_water_holds_two_hours_and_bands_are_a_degree_wide() -> None:
    state = trip(
        *day_of(["06:00 lines_in", "06:00 set | shotgun | red 6"]),
        entry("07:00", "water", water_c=23.6),
        entry("08:00", "water", water_c=24.4),
        entry("08:30", "water", water_c=24.5),
        entry("12:00", "lines_out"),
    )

    assert hours_by([state], "water", FAR) == {
        "unknown": 1.0 + 1.5, "24 °C": 1.5, "25 °C": 2.0,
    }  # fmt: skip


def test_months_are_those_of_the_boats_own_calendar() -> None:
    start = datetime(2026, 3, 31, 10, 0, tzinfo=UTC)  # 23:00 in Auckland, UTC+13
    entries = [
        replace(one, at=start + timedelta(hours=hour))
        for hour, one in enumerate(
            (entry("00:00", "lines_in"), entry("00:00", "set", "shotgun", "red 6"),
             entry("00:00", "strike", "shotgun"), entry("00:00", "note", text="quiet"),
             entry("00:00", "lines_out"))
        )
    ]  # fmt: skip
    entries[1] = replace(entries[1], at=start)
    found = tally([fold(in_order(entries))], "month", FAR, ZoneInfo("Pacific/Auckland"))

    assert [(row.key, row.strikes, row.hours) for row in found.rows] == [
        ("March", 0, 1.0), ("April", 1, 3.0),
    ]  # fmt: skip


def test_rows_of_light_water_and_months_stand_in_their_order() -> None:
    state = trip(
        *day_of(["05:00 lines_in", "05:00 set | shotgun | red 6"]),
        entry("06:00", "water", water_c=24.0),
        entry("07:00", "water", water_c=9.0),
        entry("12:00", "lines_out"),
    )

    assert [row.key for row in tally([state], "water", FAR).rows] == ["9 °C", "24 °C", "unknown"]
    assert [row.key for row in tally([state], "light", FAR, home=(0.0, 0.0)).rows] == [
        "dark", "dawn", "low morning sun", "day",
    ]  # fmt: skip


def test_the_track_splits_the_hours_and_a_call_overrules_the_thermometer_for_an_hour() -> None:
    # due south along 174.46° E at 10 kn from 35.00° S: a cell of 5' is left every half hour
    state = trip(
        *day_of(["06:00 lines_in", "06:00 set | shotgun | red 6"]),
        entry("06:30", "water", water_c=23.0),
        entry("08:00", "lines_out"),
    )
    points = [
        Measured(at("06:00") + timedelta(minutes=m), -35.0 - m / 360.0, 174.46,
                 stamp=Stamp(water_c=20.0))
        for m in range(0, 121)
    ]  # fmt: skip
    sailed = with_track(state, points)
    cells = {k: round(h * 60) for k, h in hours_by([sailed], "place", FAR).items()}

    assert {name.split()[0]: minutes for name, minutes in cells.items()} == dict.fromkeys(
        ("35.04S", "35.12S", "35.21S", "35.29S"), 30
    )
    assert hours_by([sailed], "water", FAR) == {"20 °C": 1.0, "23 °C": 1.0}
    assert hours_by([state], "water", FAR) == {"unknown": 0.5, "23 °C": 1.5}
    assert with_track(state, ()) is state
