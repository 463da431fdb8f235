"""Tallies of several trips, by two things, of several positions: through `Desk.say`, and by hand."""

from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from bot import Desk
from bot.answers.tallies import FEW, conversion, unequal
from bot.messages import Reply
from bot.trip.tally import TallyRow

ZONE = ZoneInfo("Pacific/Auckland")
NOW = datetime(2026, 3, 12, 12, 0, tzinfo=ZONE)
"""A Thursday; the week began on the 9th."""
DAYS = (
    ("2025-11-20", "long rigger", 3),
    ("2026-02-20", "long rigger", 2),
    ("2026-03-04", "short rigger", 1),
    ("2026-03-10", "short rigger", 4),
)
"""Three hours with a purple lure each, and so many strikes; the season broke in December and January."""


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    home: Path = tmp_path_factory.mktemp("home")
    (home / "deckcall.toml").write_text('[boat]\ntimezone = "Pacific/Auckland"\n', "utf-8")
    with Desk(home, clock=lambda: NOW) as desk:
        for day, position, strikes in DAYS:
            _play(
                desk, datetime.fromisoformat(f"{day}T07:00").replace(tzinfo=ZONE), position, strikes
            )
        _play(desk, NOW - timedelta(hours=4), "shotgun", 2, ends=False)
        yield desk


def _play(desk: Desk, at: datetime, position: str, strikes: int, ends: bool = True) -> None:
    calls = [(0, "trip start"), (0, "lines in"), (0, f"set {position} purple 8")]
    for number in range(strikes):
        calls += [(30 + 20 * number, f"strike {position}"), (31 + 20 * number, "missed him")]
    calls += [(180, "lines out"), (181, "trip over")] if ends else []
    for minute, text in calls:
        desk.say(text, crew="Ann", at=at + timedelta(minutes=minute))


def ask(desk: Desk, text: str) -> Reply:
    return desk.say(text, crew="Ann", at=NOW)


@pytest.mark.parametrize(
    ("text", "trips", "strikes", "hours"),
    [
        ("tally", "", 2, 4.0),
        ("tally last trip", "The trip of 10 March", 4, 3.0),
        ("tally this week", "This week, 2 trips", 6, 7.0),
        ("tally last week", "Last week", 1, 3.0),
        ("tally this month", "This month, 3 trips", 7, 10.0),
        ("tally last month", "Last month", 2, 3.0),
        ("tally this season", "This season, since 20 February, 4 trips", 9, 13.0),
        ("tally last season", "Last season", 3, 3.0),
        ("tally this year", "This year, 4 trips", 9, 13.0),
        ("tally all trips", "All trips, 5 trips", 12, 16.0),
    ],
)
def test_the_trips_that_are_named_are_counted_and_no_others(
    desk: Desk, text: str, trips: str, strikes: int, hours: float
) -> None:
    first = ask(desk, text).text.splitlines()[0]

    assert first.startswith(trips)
    plural = "strike" if strikes == 1 else "strikes"
    assert f"{strikes} {plural}, 0 hook-ups, 0 caught in {hours:.1f} lure-hours." in first


def test_a_day_without_a_trip_is_said_to_have_none(desk: Desk) -> None:
    assert ask(desk, "tally yesterday").text == "Yesterday: no trip in the log."


def test_both_riggers_are_one_question_with_a_row_each(desk: Desk) -> None:
    lines = ask(desk, "how is purple doing on the riggers this season").text.splitlines()

    assert lines[0].endswith("purple, short rigger and long rigger:")
    assert lines[1].startswith("short rigger: 5 strikes in 6.0 h, 8.3 per 10 h")
    assert lines[2].startswith("long rigger: 2 strikes in 3.0 h")
    assert lines[3].startswith("All: 7 strikes")


def test_by_two_things_at_once_of_many_trips(desk: Desk) -> None:
    lines = ask(desk, "tally by size and position all trips").text.splitlines()

    assert lines[0] == "All trips, 5 trips:"
    assert {line.split(":")[0] for line in lines[1:4]} == {
        "8-inch, short rigger", "8-inch, long rigger", "8-inch, shotgun",
    }  # fmt: skip
    assert lines[4].startswith("All: 12 strikes")


def test_a_question_for_one_colour_and_position_of_a_season(desk: Desk) -> None:
    reply = ask(desk, "purple on the long rigger this season")

    first = reply.text.splitlines()[0]
    assert first.startswith(
        "This season, since 20 February, 4 trips, purple, long rigger: 2 strikes"
    )
    assert "2 strikes: too few to say." in reply.text
    assert reply.calls == ({"act": "ask_tally", "position": "long rigger", "colours": ["purple"]},)


def test_a_chart_that_is_asked_for_comes_with_the_words(desk: Desk) -> None:
    for text, title in (
        ("chart of the strikes by hour", "Strikes by hour"),
        ("picture of tally by position this season", "Strikes by position"),
    ):
        reply = ask(desk, text)

        assert [one.caption for one in reply.pictures] == [title]
        assert reply.pictures[0].data.startswith(b"\x89PNG")
    assert ask(desk, "strikes by hour").pictures == ()


def test_shares_of_few_are_said_to_be_few_and_of_more_have_their_interval() -> None:
    # Wilson 95 % for 8 of 10 and 5 of 8: 0.4902 to 0.9433, 0.3057 to 0.8632
    # (statsmodels.stats.proportion.proportion_confint(method="wilson"), recomputed)
    few = TallyRow("total", strikes=3, events_on=2, caught=1, lost=1)
    more = TallyRow("total", strikes=10, events_on=8, caught=5, lost=3)

    assert conversion(few) == "Hooked 2 of 3, too few to say; landed 1 of 2, too few to say."
    assert conversion(more) == "Hooked 8 of 10 (80 %, 49 to 94); landed 5 of 8 (62 %, 31 to 86)."
    assert conversion(TallyRow("total")) == ""
    of_a_species = conversion(more, of_fish_on=True)  # known once they were on: all were hooked
    assert of_a_species == "Landed 5 of 8 (62 %, 31 to 86)."
    assert FEW == 5  # reference.md section 7: under about 5 strikes nothing is significant


def test_many_strikes_are_compared_as_the_exact_test_compares_them() -> None:
    # scipy.stats.binomtest(1100, 2300, 0.5).pvalue, the C-test of reference.md 7.3
    from scipy.stats import binomtest

    exact = binomtest(1100, 2300, 0.5).pvalue

    assert unequal(1100, 50.0, 1200, 50.0) == pytest.approx(exact, rel=0.06)
    assert unequal(5, 10.0, 2, 10.0) == pytest.approx(0.453125)  # reference.md 7.3, deck sizes
