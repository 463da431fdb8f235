"""What is laid out where, and what is in the water."""

from bot.trip.meant import FromOtherLine
from bot.trip.state import Trip
from tests.builders import at, day_of, entry, trip


def spread(state: Trip) -> dict[str, str]:
    return {line: lure.label for line, lure in state.spread.items()}


def test_nothing_at_all_is_an_empty_trip() -> None:
    empty = trip()

    assert empty == Trip()
    assert not empty.is_open


def test_a_lure_set_before_lines_in_goes_in_with_them() -> None:
    state = trip(*day_of(["06:50 set | long rigger | purple 8", "07:00 lines_in"]))

    assert state.in_water["long rigger"].label == "purple 8-inch"
    assert state.in_water["long rigger"].since == at("07:00")
    assert state.in_water["long rigger"].set_at == at("06:50")
    assert [(s.start, s.end) for s in state.stints] == [(at("07:00"), None)]


def test_nothing_is_in_the_water_before_lines_in() -> None:
    state = trip(*day_of(["06:50 set | long rigger | purple 8"]))

    assert spread(state) == {"long rigger": "purple 8-inch"}
    assert state.in_water == {}
    assert state.stints == ()


def test_lines_back_in_bring_the_same_spread_out_again() -> None:
    state = trip(
        *day_of(
            [
                "07:00 lines_in",
                "07:01 set | long rigger | purple 8",
                "07:02 set | shotgun | black 12",
                "07:30 clear | shotgun",
                "08:00 lines_out",
                "08:30 lines_in",
            ]
        )
    )

    assert spread(state) == {"long rigger": "purple 8-inch"}
    assert state.in_water["long rigger"].since == at("08:30")
    assert state.previous["shotgun"].label == "black 12-inch"
    assert state.intervals == ((at("07:00"), at("08:00")), (at("08:30"), None))


def test_a_swap_ends_one_stint_and_begins_the_next() -> None:
    state = trip(
        *day_of(
            [
                "07:00 lines_in",
                "07:00 set | long rigger | purple 8",
                "09:00 swap | long rigger | black 12",
            ]
        )
    )

    assert [(s.label, s.start, s.end) for s in state.stints] == [
        ("purple 8-inch", at("07:00"), at("09:00")),
        ("black 12-inch", at("09:00"), None),
    ]


def test_a_line_put_out_again_without_a_word_has_the_lure_that_it_had() -> None:
    state = trip(
        *day_of(
            [
                "07:00 lines_in",
                "07:00 set | long rigger | purple 8",
                "08:00 clear | long rigger",
                "08:10 set | long rigger",
            ]
        )
    )

    assert spread(state) == {"long rigger": "purple 8-inch"}


def test_a_lure_that_is_moved_leaves_its_old_position() -> None:
    state = trip(
        *day_of(["07:00 lines_in", "07:00 set | short corner | purple 8"]),
        entry("09:00", "set", "long rigger", "purple 8", meant=(FromOtherLine(),)),
    )

    assert spread(state) == {"long rigger": "purple 8-inch"}


def test_two_lures_that_look_alike_may_be_out_at_once() -> None:
    state = trip(
        *day_of(["07:00 set | short corner | purple 8", "07:00 set | long rigger | purple 8"])
    )

    assert len(state.spread) == 2


def test_a_lure_with_a_name_is_in_one_place_only() -> None:
    state = trip(
        *day_of(["07:00 set | short corner | @Tin Roof", "08:00 set | long rigger | @Tin Roof"])
    )

    assert spread(state) == {"long rigger": "Tin Roof"}


def test_both_sides_of_a_position_are_two_lines() -> None:
    state = trip(
        entry("07:00", "lines_in"),
        entry("07:00", "set", "long rigger", "purple 8", side="port"),
        entry("07:00", "set", "long rigger", "black 12", side="starboard"),
        entry("08:00", "clear", "long rigger", side="port"),
    )

    assert [(s.label, s.side, s.end) for s in state.stints] == [
        ("purple 8-inch", "port", at("08:00")),
        ("black 12-inch", "starboard", None),
    ]


def test_a_side_said_later_is_the_side_of_the_one_line() -> None:
    state = trip(
        entry("07:00", "set", "long rigger", "purple 8"),
        entry("07:10", "set", "long rigger", "black 12", side="port"),
    )

    assert spread(state) == {"long rigger": "black 12-inch"}


def test_the_end_of_the_trip_brings_the_lines_in() -> None:
    state = trip(*day_of(["07:00 lines_in", "07:00 set | shotgun | black 12", "15:00 trip_end"]))

    assert state.ended == at("15:00")
    assert not state.is_fishing
    assert state.stints[0].end == at("15:00")


def test_a_call_said_twice_changes_nothing_and_is_found_odd() -> None:
    once = trip(*day_of(["07:00 lines_in", "07:00 set | shotgun | black 12"]))

    twice = trip(*day_of(["07:00 lines_in", "07:00 set | shotgun | black 12", "07:10 lines_in"]))

    assert twice.intervals == once.intervals
    assert [f.code for f in twice.findings] == ["lines-already-in"]


def test_a_late_call_takes_its_place_in_time() -> None:
    early = entry("07:00", "lines_in")
    swap = entry("09:00", "swap", "shotgun", "black 12")
    late = entry("07:30", "set", "shotgun", "purple 8")

    state = trip(early, swap, late)

    assert [(s.label, s.start, s.end) for s in state.stints] == [
        ("purple 8-inch", at("07:30"), at("09:00")),
        ("black 12-inch", at("09:00"), None),
    ]


def test_what_is_said_is_kept_in_order() -> None:
    state = trip(
        entry("07:00", "speed", speed_kn=8.5),
        entry("07:10", "water", water_c=22.5, depth_m=120.0),
        entry("07:20", "speed", speed_kn=7.0),
        entry("07:30", "sighting", what="birds"),
        entry("07:40", "mark", text="the hill"),
        entry("07:50", "rework", lure="purple 8", text="new leader"),
    )

    assert (state.speed_kn, state.water_c, state.depth_m) == (7.0, 22.5, 120.0)
    assert [s.what for s in state.sightings] == ["birds"]
    assert [m.text for m in state.marks] == ["the hill"]
    assert [(r.label, r.ready, r.text) for r in state.rigging] == [
        ("purple 8-inch", False, "new leader")
    ]
