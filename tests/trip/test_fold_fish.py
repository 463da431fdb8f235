"""The life of a fish: which call goes on with which fish."""

import pytest

from bot.trip.fish import Fish
from bot.trip.state import Trip
from tests.builders import at, day_of, entry, trip

OUT = (
    "07:00 lines_in",
    "07:00 set | short corner | black 12",
    "07:00 set | long rigger | purple 8",
)


def fish_of(*lines: str) -> tuple[Fish, ...]:
    return trip(*day_of([*OUT, *lines])).fish


def fishing(state: Trip, line: str) -> list[tuple[str, str | None]]:
    return [
        (f"{s.start:%H:%M}", None if s.end is None else f"{s.end:%H:%M}")
        for s in state.stints
        if s.line == line
    ]


def test_raise_strike_and_hookup_on_a_line_are_one_fish() -> None:
    (fish,) = fish_of(
        "09:00 raise | long rigger", "09:02 strike | long rigger", "09:03 hookup", "09:40 release"
    )

    assert (fish.raised_at, fish.struck_at) == (at("09:00"), at("09:02"))
    assert (fish.hooked_at, fish.ended_at) == (at("09:03"), at("09:40"))
    assert (fish.end, fish.caught, fish.label) == ("release", 1, "purple 8-inch")


def test_a_strike_long_after_a_raise_is_another_fish() -> None:
    fish = fish_of("09:00 raise | long rigger", "09:20 strike | long rigger")

    assert [f.was_struck for f in fish] == [False, True]


def test_missed_him_without_a_position_is_the_latest_open_strike() -> None:
    first, second = fish_of(
        "09:00 strike | short corner", "09:01 strike | long rigger", "09:02 miss"
    )

    assert (first.end, second.end) == (None, "miss")


def test_a_second_miss_goes_back_to_the_strike_before() -> None:
    first, second = fish_of(
        "09:00 strike | short corner", "09:01 strike | long rigger", "09:02 miss", "09:03 miss"
    )

    assert (first.end, second.end) == ("miss", "miss")


def test_two_fish_on_at_once_end_as_they_are_named() -> None:
    marlin, wahoo = trip(
        *day_of([*OUT, "09:00 strike | short corner", "09:01 strike | long rigger"]),
        entry("09:02", "hookup", "short corner", species="striped marlin"),
        entry("09:03", "hookup", "long rigger", species="wahoo"),
        entry("09:10", "boat", species="wahoo", weight_kg=18.0),
        entry("09:30", "release"),
    ).fish

    assert (marlin.end, marlin.ended_at) == ("release", at("09:30"))
    assert (wahoo.end, wahoo.ended_at, wahoo.weight_kg) == ("boat", at("09:10"), 18.0)


def test_a_pulled_hook_wants_a_hooked_fish_before_a_later_strike() -> None:
    hooked, struck = fish_of(
        "09:00 hookup | short corner", "09:05 strike | long rigger", "09:06 pulled_hook"
    )

    assert (hooked.end, struck.end) == ("pulled_hook", None)


def test_a_double_hookup_takes_the_two_open_strikes() -> None:
    state = trip(
        *day_of([*OUT, "09:00 strike | short corner", "09:00 strike | long rigger"]),
        entry("09:01", "hookup", count=2),
    )

    assert [f.hooked_at for f in state.fish] == [at("09:01"), at("09:01")]
    assert [f.count for f in state.fish] == [1, 1]


def test_a_double_hookup_on_one_line_is_one_event_with_two_fish() -> None:
    (fish,) = trip(
        *day_of([*OUT, "09:00 strike | short corner"]),
        entry("09:01", "hookup", count=2),
        entry("09:10", "boat", species="mahi-mahi"),
        entry("09:20", "pulled_hook"),
    ).fish

    assert [(e.act, e.count) for e in fish.ends] == [("boat", 1), ("pulled_hook", 1)]
    assert (fish.count, fish.caught, fish.ended_at) == (2, 1, at("09:20"))


def test_a_catch_without_a_fish_on_is_a_fish_of_its_own() -> None:
    (fish,) = trip(entry("09:00", "boat", species="wahoo", count=2)).fish

    assert (fish.caught, fish.was_struck, fish.struck_at) == (2, True, None)


def test_what_it_is_seen_to_be_beats_what_it_was_taken_for() -> None:
    (fish,) = trip(
        entry("09:00", "hookup", "shotgun", species="marlin"),
        entry("09:30", "release", species="blue marlin"),
    ).fish

    assert fish.species == "blue marlin"


def test_a_name_that_says_less_does_not_take_away_what_is_known() -> None:
    (fish,) = trip(
        entry("09:00", "hookup", "shotgun", species="blue marlin"),
        entry("09:30", "release", species="marlin"),
    ).fish

    assert fish.species == "blue marlin"


def test_a_hookup_right_after_a_miss_is_a_new_bite_on_that_line() -> None:
    missed, back = fish_of("09:00 strike | long rigger", "09:01 miss", "09:02 hookup")

    assert missed.end == "miss"
    assert (back.position, back.is_on) == ("long rigger", True)


def test_a_fish_on_called_twice_is_on_once() -> None:
    (fish,) = trip(
        *day_of([*OUT]),
        entry("09:00:00", "hookup", "long rigger"),
        entry("09:00:20", "hookup"),
        entry("09:00:40", "strike", "long rigger"),
    ).fish

    assert fish.hooked_at == at("09:00")


def test_a_bite_on_a_line_ends_the_fish_that_nobody_ended() -> None:
    first, second = fish_of("09:00 hookup | long rigger", "10:00 strike | long rigger")

    assert (first.end, first.ended_at, first.is_on) == (None, at("10:00"), False)
    assert second.struck_at == at("10:00")


@pytest.mark.parametrize("end", ["boat", "release", "pulled_hook", "break_off"])
def test_a_fish_that_was_on_takes_its_line_out_from_the_strike_to_its_end(end: str) -> None:
    state = trip(*day_of([*OUT, "09:00 strike | short corner", f"09:25 {end}"]))

    back = [] if end == "break_off" else [("09:25", None)]
    assert fishing(state, "short corner") == [("07:00", "09:00"), *back]
    assert fishing(state, "long rigger") == [("07:00", None)]


def test_a_hookup_without_a_strike_takes_its_line_out_from_the_hookup() -> None:
    state = trip(*day_of([*OUT, "09:05 hookup | short corner", "09:25 boat"]))

    assert fishing(state, "short corner") == [("07:00", "09:05"), ("09:25", None)]


@pytest.mark.parametrize("after", [(), ("09:01 miss",)])
def test_a_strike_that_never_came_tight_takes_nothing_off(after: tuple[str, ...]) -> None:
    state = trip(*day_of([*OUT, "09:00 strike | short corner", *after]))

    assert fishing(state, "short corner") == [("07:00", None)]


def test_a_line_that_parts_takes_its_lure_with_it() -> None:
    state = trip(
        *day_of(
            [*OUT, "09:00 hookup | short corner", "09:10 lines_out", "09:20 break_off",
             "09:30 lines_in"]
        )
    )  # fmt: skip

    assert list(state.spread) == ["long rigger"]
    assert [lure.label for lure in state.lost] == ["black 12-inch"]
    assert state.previous == {}


def test_a_lure_put_out_during_the_fight_is_not_the_one_that_is_lost() -> None:
    state = trip(
        *day_of(
            [*OUT, "09:00 hookup | short corner", "09:10 set | short corner | green 9",
             "09:20 break_off"]
        )
    )  # fmt: skip

    assert state.spread["short corner"].label == "green 9-inch"


def test_a_fish_still_on_at_the_end_of_the_trip_is_over_and_told() -> None:
    state = trip(*day_of([*OUT, "09:00 hookup | short corner", "10:00 trip_end"]))

    assert state.fish_on == ()
    assert [(f.code, f.position) for f in state.findings] == [("fish-still-on", "short corner")]


def test_a_fish_takes_the_lure_that_was_said_where_another_is_logged() -> None:
    (fish,) = fish_of("09:00 strike | long rigger | green 10")

    assert fish.label == "green 10-inch"


def test_a_fish_called_by_one_colour_of_two_took_the_lure_that_was_there() -> None:
    (fish,) = trip(
        *day_of(["07:00 set | shotgun | purple black 10", "07:00 lines_in"]),
        entry("09:00", "strike", "shotgun", "purple"),
    ).fish

    assert fish.size_in == 10


def test_a_late_strike_takes_the_lure_of_its_own_time() -> None:
    state = trip(
        *day_of([*OUT, "08:00 swap | long rigger | green 9", "07:30 strike | long rigger"])
    )

    assert state.fish[0].label == "purple 8-inch"
