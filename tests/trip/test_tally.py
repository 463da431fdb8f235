"""Strikes, hook-ups, catches and the hours that they took, by anything."""

from bot.trip.exposure import Only
from bot.trip.tally import Tally, tally
from tests.builders import at, day_of, entry, trip

STATE = trip(
    *day_of(
        [
            "07:00 lines_in",
            "07:00 set | short corner | purple black 10",
            "07:00 set | long rigger | purple 8",
        ]
    ),
    entry("08:00", "strike", "short corner", crew="Ann"),
    entry("08:01", "miss", crew="Ann"),
    entry("08:10", "strike", "long rigger", crew="Bob"),
    entry("08:11", "hookup", crew="Bob", species="wahoo", count=2),
    entry("08:20", "boat", crew="Ann", species="wahoo"),
    entry("08:40", "pulled_hook", crew="Bob"),
    entry("09:05", "boat", "short corner", crew="Ann", species="mahi-mahi"),
    entry("09:10", "raise", "long rigger", crew="Ann", species="blue marlin"),
    entry("10:00", "lines_out"),
)


def rows(found: Tally) -> dict[str, tuple[int, int, int, float]]:
    return {r.key: (r.strikes, r.hookups, r.caught, round(r.hours, 6)) for r in found.rows}


def test_all_together() -> None:
    total = tally([STATE], "none", at("12:00")).total

    assert (total.strikes, total.hookups, total.caught) == (3, 3, 2)
    assert (total.raises, total.events_on, total.lost) == (1, 2, 1)
    assert total.hours == 5.5


def test_by_position() -> None:
    assert rows(tally([STATE], "position", at("12:00"))) == {
        "short corner": (2, 1, 1, 3.0),
        "long rigger": (1, 2, 1, 2.5),
    }


def test_a_strike_counts_for_both_colours_and_once_in_the_total() -> None:
    by_colour = tally([STATE], "colour", at("12:00"))

    assert rows(by_colour) == {"purple": (3, 3, 2, 5.5), "black": (2, 1, 1, 3.0)}
    assert by_colour.total.strikes == 3


def test_by_lure_and_size() -> None:
    assert rows(tally([STATE], "lure", at("12:00"))) == {
        "purple black 10-inch": (2, 1, 1, 3.0),
        "purple 8-inch": (1, 2, 1, 2.5),
    }
    assert rows(tally([STATE], "size", at("12:00"))) == {
        "10": (2, 1, 1, 3.0),
        "8": (1, 2, 1, 2.5),
    }


def test_every_species_had_all_hours_to_come_in() -> None:
    assert rows(tally([STATE], "species", at("12:00"))) == {
        "mahi-mahi": (1, 1, 1, 5.5),
        "unknown": (1, 0, 0, 5.5),
        "wahoo": (1, 2, 1, 5.5),
        "blue marlin": (0, 0, 0, 5.5),
    }


def test_by_crew_each_stage_is_of_the_one_who_called_it() -> None:
    assert rows(tally([STATE], "crew", at("12:00"))) == {
        "Ann": (2, 1, 2, 5.5),
        "Bob": (1, 2, 0, 5.5),
    }


def test_by_hour_in_the_order_of_the_day() -> None:
    found = tally([STATE], "hour", at("12:00"))

    assert [r.key for r in found.rows] == ["07:00", "08:00", "09:00"]
    assert rows(found)["08:00"] == (2, 2, 1, 1.5)


def test_narrowed_to_one_thing() -> None:
    def strikes(only: Only) -> int:
        return tally([STATE], "none", at("12:00"), only=only).total.strikes

    assert strikes(Only(colours=("black",))) == 2
    assert strikes(Only(species="wahoo")) == 1
    assert strikes(Only(since=at("08:05"))) == 2
    assert strikes(Only(crew="Bob")) == 1
    assert strikes(Only(position="long rigger", size_in=8)) == 1


def test_marlin_asks_for_every_marlin() -> None:
    raises = tally([STATE], "none", at("12:00"), only=Only(species="marlin")).total.raises

    assert raises == 1


def test_several_trips_are_sums_of_strikes_over_sums_of_hours() -> None:
    # reference.md section 8: ratio of sums, not mean of ratios
    found = tally([STATE, STATE], "position", at("12:00"))

    assert rows(found)["long rigger"] == (2, 4, 2, 5.0)


def test_two_strikes_on_two_lines_are_two_events_and_a_double_on_one_line_is_one() -> None:
    # reference.md section 7.7: a multiple hook-up is one event for the rate, several fish in the tally
    two = trip(entry("08:00", "strike", "short corner"), entry("08:00", "strike", "long rigger"))
    one = trip(entry("08:00", "strike", "short corner"), entry("08:01", "hookup", count=2))

    assert tally([two], "none", at("12:00")).total.strikes == 2
    assert tally([one], "none", at("12:00")).total.strikes == 1
    assert tally([one], "none", at("12:00")).total.hookups == 2
