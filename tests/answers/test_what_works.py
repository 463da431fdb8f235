"""What works by month, light, water and place: asked in the chat, over trips whose truth is known."""

import random
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from scipy import stats

from bot import Desk
from bot.advice.standing import Standing
from bot.answers.asked import ALL_TRIPS, TallyRequest, cells_about, in_conditions, tally_for
from bot.answers.seasons import against_the_rest, compare_rows, how_sure
from bot.messages import Message, Reply
from bot.trip.exposure import Only
from bot.trip.whereabouts import cell_of, middle_of
from bot.water.bearing import leg
from tests.answers.views import view
from tests.meanings import asked

HOME = (-35.2, 174.1)
BANK = (-35.05, 174.45)
TRENCH = (-35.45, 174.80)
FIRST = datetime(2025, 10, 4, 18, 0, tzinfo=UTC)
"""Seven in the morning in Auckland (UTC+13), an hour after sunrise."""
TRIPS = 24


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    """Yield a log of trips at two places, on which purple is struck three times as often as the others."""
    home: Path = tmp_path_factory.mktemp("home")
    settings = (
        f'[boat]\ntimezone = "Pacific/Auckland"\nlatitude = {HOME[0]}\nlongitude = {HOME[1]}\n'
    )
    (home / "deckcall.toml").write_text(settings, "utf-8")
    rng = random.Random(5)
    clock = [FIRST]
    with Desk(home, clock=lambda: clock[0]) as desk:
        for number in range(TRIPS):
            start = FIRST + timedelta(days=15 * number)
            for place, (minute, text) in enumerate(_day(rng, number)):
                clock[0] = start + timedelta(minutes=minute)
                where = BANK if number % 2 else TRENCH
                _say(desk, text, clock[0], f"{number}-{place}", where)
        yield desk


def _day(rng: random.Random, number: int) -> Iterator[tuple[int, str]]:
    lures = [("long rigger", "purple 8"), ("short rigger", "green 8"), ("shotgun", "black 12")]
    rng.shuffle(lures)
    places = ("long rigger", "short rigger", "shotgun")
    yield 0, "lines in"
    yield from ((0, f"set {p} {what}") for p, (_, what) in zip(places, lures, strict=True))
    yield 1, f"water {20 + number % 4} degrees"
    for minute in range(12, 480, 12):
        for position, (_, lure) in zip(places, lures, strict=True):
            if rng.random() < (0.06 if "purple" in lure else 0.02):
                yield minute, f"strike {position}"
                yield minute + 1, "missed him"
        if minute % 36 == 12:  # what tells where the boat is
            yield minute + 2, "mark the bank" if number == 1 and minute == 12 else "birds"
    yield 480, "lines out"
    yield 481, "trip over"


def _say(desk: Desk, text: str, at: datetime, ref: str, place: tuple[float, float]) -> Reply:
    north, east = place
    return desk.answer(
        Message("Ann", at, "telegram", text, ref=ref, latitude=north, longitude=east)
    )


def ask(desk: Desk, text: str, place: tuple[float, float] | None = BANK) -> str:
    at = FIRST + timedelta(days=15 * TRIPS)
    if place is None:
        return desk.say(text, crew="Ann", at=at).text
    return _say(desk, text, at, f"ask {text} {place}", place).text


def test_what_works_in_a_month_says_how_the_month_stands_and_what_stands_out_in_it(
    desk: Desk,
) -> None:
    text = ask(desk, "what works in october")

    assert text.startswith("All trips, 24 trips, October: ")
    assert "per 10 lure-hours (95 % sure of" in text
    assert "times the boat's average" in text
    assert "Colour: purple" in text


def test_which_colours_in_daylight_gives_rows_with_how_sure(desk: Desk) -> None:
    text = ask(desk, "which colours in full daylight")
    rows = [line for line in text.splitlines() if ": " in line and " × (" in line]

    assert rows[0].startswith("purple: ")
    assert "better (99 % sure)" in rows[0]
    assert "Purple is " in text
    assert "times the boat's average" in text


def test_by_light_by_month_by_water_and_by_place(desk: Desk) -> None:
    light, month = ask(desk, "strikes by light"), ask(desk, "best month")
    water, place = ask(desk, "strikes by water temperature"), ask(desk, "tally by place")

    assert [line.split(":")[0] for line in light.splitlines()[1:5]] == [
        "dark", "dawn", "low morning sun", "day",
    ]  # fmt: skip
    months = [line.split(":")[0] for line in month.splitlines()[1:-2]]
    assert months[:4] == [
        "October",
        "November",
        "December",
        "January",
    ]  # the season began in October
    assert months[-2:] == ["August", "September"]
    assert [line.split(":")[0] for line in water.splitlines()[1:5]] == [
        "20 °C", "21 °C", "22 °C", "23 °C",
    ]  # fmt: skip
    assert f"the bank ({cell_of(BANK)}): " in place
    assert f"\n{cell_of(TRENCH)}: " in place


def test_here_is_where_the_boat_is_and_without_a_place_that_is_said(desk: Desk) -> None:
    here = ask(desk, "what works here", BANK)
    there = ask(desk, "what works here in october", TRENCH)
    unknown = ask(desk, "what works here", None)

    assert "within 5 nm of here: " in here
    assert "October, within 5 nm of here" in there
    assert "share a (live) position" in unknown


def test_where_nothing_is_known_it_says_so(desk: Desk) -> None:
    assert "no strike in 0 min" in ask(desk, "what works at dusk")
    assert "no strike in 0 min" in ask(desk, "what works here", (10.0, 10.0))


def test_today_is_the_trip_that_is_on(desk: Desk) -> None:
    assert "All trips" not in ask(desk, "strikes by light today")


def test_the_rows_of_the_chat_are_the_exact_intervals_of_the_counts(desk: Desk) -> None:
    # Garwood 1936 by the chi-square distribution of scipy
    row = next(r for r in ask(desk, "strikes by light").splitlines() if r.startswith("day: "))
    found = tally_for(desk.view(), TallyRequest("light", span=ALL_TRIPS))
    day = next(one for one in found.rows if one.key == "day")
    low = stats.chi2.ppf(0.025, 2 * day.strikes) / 2 / day.hours * 10
    high = stats.chi2.ppf(0.975, 2 * day.strikes + 2) / 2 / day.hours * 10

    assert f"{day.strikes} strikes in {day.hours:.1f} h" in row
    assert f"({low:.1f} to {high:.1f})" in row


def test_what_is_compared_is_the_same_whatever_way_it_is_asked(desk: Desk) -> None:
    seen = desk.view()
    by_colour = compare_rows(seen, TallyRequest("colour", span=ALL_TRIPS))
    other_way = compare_rows(seen, TallyRequest("none", "colour", span=ALL_TRIPS))
    purple = against_the_rest(seen, TallyRequest(only=Only(colours=("purple",)), span=ALL_TRIPS))

    assert by_colour == other_way
    assert purple is not None
    assert purple.better > 0.99
    assert by_colour["purple", ""].ratio == pytest.approx(purple.ratio, rel=0.15)
    assert compare_rows(seen, TallyRequest("crew", span=ALL_TRIPS)) == {}


@pytest.mark.parametrize(
    ("better", "words"),
    [(0.995, "virtually certainly better (99 % sure)"), (0.96, "extremely likely better (96 % sure)"),
     (0.91, "very likely better (91 % sure)"), (0.7, "likely better (70 % sure)"),
     (0.6, "no telling (60 % sure that it is better)"), (0.45, "no telling (55 % sure that it is worse)"),
     (0.08, "very likely worse (92 % sure)")],
)  # fmt: skip
def test_the_words_of_a_probability_are_those_of_the_guidance_note(
    better: float, words: str
) -> None:
    # Mastrandrea et al. 2010, table 1: virtually certain 99-100 %, very likely 90-100 %, likely 66-100 %,
    # about as likely as not 33-66 %; extremely likely 95-100 % is its additional term
    assert how_sure(Standing(1.2, 1.0, 1.4, better)) == words


@pytest.mark.parametrize(
    ("heard", "only"),
    [("what works in may", Only(month="May")), ("what may work", Only()),
     ("best colour at first light", Only(light=("dawn",))),
     ("what works at dusk in march", Only(month="March", light=("low evening sun", "dusk"))),
     ("what works in 24.4 degrees", Only(water=("24 °C",))),
     ("what works in twenty four degrees", Only(water=("24 °C",))),
     ("what works in seventy five degrees", Only(water=("24 °C",))),
     ("what is working in the dark", Only(light=("dark",)))],
)  # fmt: skip
def test_the_words_of_conditions(heard: str, only: Only) -> None:
    assert in_conditions(view(), Only(), asked(heard)) == only


def test_the_cells_about_a_place_are_those_within_five_miles() -> None:
    found = cells_about(BANK)

    assert found[0] == cell_of(BANK)
    assert 3 <= len(found) <= 6
    assert all(leg(BANK, middle_of(cell)).distance_nm <= 5 for cell in found)
