"""Where lures run: what the crew told of it, and what a new speed changes."""

from math import pi

import pytest

from bot.answers.spacing import moves_line, runs, runs_line, spacing_lines, wave_count
from bot.answers.view import View
from bot.spread.positions import distances_m
from bot.trip.call import Call
from bot.trip.entry import Record
from bot.water.wake import crest_m
from tests.answers.views import BOX, make_plan, view
from tests.builders import call, log_of
from tests.meanings import noted

SAID = "short corner is fourteen metres back on the second wave"
LAID = (
    ("06:00", call("speed", speed_kn=8.0)),
    ("06:01", call("set", "short corner", "black 12")),
    ("06:02", call("set", "long rigger", "purple 8")),
    ("06:05", call("lines_in")),
)
OUT = log_of(*LAID)
TOLD = log_of(*LAID, ("06:10", noted(SAID)))


def wave_length_m(speed_kn: float) -> float:
    """Return 2 pi V squared over g: NIST Digital Library of Mathematical Functions, section 36.13."""
    return (
        2 * pi * (speed_kn * 1852 / 3600) ** 2 / 9.80665
    )  # the knot: 1852 m an hour, by definition


def after_speed(records: tuple[Record, ...], speed_kn: float) -> tuple[View, View]:
    """Return the view before and after a new speed."""
    before = view(records, "07:00")
    return before, view(log_of(*_said(records), ("07:00", call("speed", speed_kn=speed_kn))))


def _said(records: tuple[Record, ...]) -> tuple[tuple[str, Call], ...]:
    return (*LAID, ("06:10", noted(SAID))) if records is TOLD else LAID


def test_plans_count_from_what_was_told() -> None:
    before = make_plan(view(OUT, "07:00", BOX), speed_kn=8.0)
    after = make_plan(view(TOLD, "07:00", BOX), speed_kn=8.0)

    assert before.positions[0].back_m != 14.0
    assert (after.positions[0].position, after.positions[0].back_m) == ("short corner", 14.0)
    assert after.positions[0].wave == 2


def test_the_last_that_was_told_counts_and_an_undone_one_does_not() -> None:
    again = log_of(
        *LAID,
        ("06:10", noted(SAID)),
        ("06:20", noted("short corner is 16 m back on the second wave")),
    )
    undone = log_of(*LAID, ("06:10", noted(SAID)), ("06:11", call("undo")))

    assert runs(view(again), 8.0)[0].back_m == pytest.approx(16.0)
    assert wave_count(view(undone)) is None


def test_an_earlier_trip_counts_where_this_one_has_told_nothing() -> None:
    from bot.answers.view import Past

    earlier = Past(lambda: (view(TOLD).trip,))

    assert runs(view(OUT, past=earlier), 8.0)[0].back_m == pytest.approx(14.0)


def test_a_lure_moves_with_the_length_of_the_waves() -> None:
    _, after = after_speed(TOLD, 7.0)

    there = runs(after, 7.0)
    # Short corner: wave 2 stays as many wave lengths behind the boat's own share.
    lengths = (14.0 - there[0].back_m) / (wave_length_m(8.0) - wave_length_m(7.0))
    apart_m = there[1].back_m - there[0].back_m
    assert there[0].wave == 2
    assert lengths == pytest.approx(2 - 0.25, abs=0.01)
    assert apart_m == pytest.approx((there[1].wave - 2) * wave_length_m(7.0), abs=0.05)


def test_a_slower_boat_is_told_how_far_to_bring_each_lure_in() -> None:
    before, after = after_speed(TOLD, 7.0)

    (line,) = spacing_lines(before, after, (call("speed", speed_kn=7.0),))

    assert line.startswith("From 8, at 7 kn bring in short corner 4 m, long rigger ")
    assert "good to a quarter" not in line


def test_a_faster_boat_lets_them_out_and_without_a_told_distance_it_is_rough() -> None:
    before, after = after_speed(OUT, 9.0)

    (line,) = spacing_lines(before, after, (call("speed", speed_kn=9.0),))

    assert "let out short corner" in line
    assert "good to a quarter" in line


def test_nobody_is_told_to_move_lures_where_it_makes_no_sense() -> None:
    _, slow = after_speed(OUT, 2.0)
    fish_on = view(log_of(*LAID, ("06:30", call("strike", "long rigger"), call("hookup"))), "06:31")
    in_boat = view(log_of(("06:00", call("set", "shotgun", "red 6"))), "06:31")

    assert moves_line(slow, 8.0, 2.0) == ""  # drifting
    assert moves_line(fish_on, 8.0, 6.0) == ""
    assert moves_line(in_boat, 8.0, 6.0) == ""  # lines are not in
    assert moves_line(view(OUT), 8.0, 8.0) == ""


def test_where_no_speed_was_called_before_the_usual_one_is_said_to_be_assumed() -> None:
    quiet = view(log_of(*LAID[1:]), "07:00")

    assert moves_line(quiet, None, 7.0).startswith("If set for 8, at 7 kn bring in ")
    assert runs_line(quiet) == ""


def test_what_is_out_says_where_each_lure_belongs_at_this_speed() -> None:
    from bot.answers.questions import answer

    found = answer(view(TOLD, "07:00"), call("ask_spread"))

    assert found.text.splitlines()[-1].startswith(
        "At 8 kn, for their waves: short corner 14 m, long"
    )


def test_the_reply_to_what_was_told_says_what_it_was_taken_for() -> None:
    (line,) = spacing_lines(view(OUT), view(TOLD), (noted(SAID),))

    assert line == "Wave 2 is 14 m back at 8 kn. Plans and pictures count from it."


def test_the_picture_shows_lures_where_the_words_say_they_belong() -> None:
    from bot.pictures.shown import shown_trip

    _, after = after_speed(TOLD, 7.0)
    there = {one.lure.position: one.back_m for one in runs(after, 7.0)}
    drawn = shown_trip(after.trip, after.boat, after.now, runs_m=there)
    afresh = shown_trip(after.trip, after.boat, after.now)

    assert {one.position: one.back_m for one in drawn} == there
    assert {one.position: one.back_m for one in afresh} != there


def test_in_one_second_a_distance_is_for_the_speed_that_was_called_before_it() -> None:
    records = log_of(
        *LAID,
        ("06:10", call("speed", speed_kn=8)),
        ("06:10", noted(SAID)),
        ("06:10", call("speed", speed_kn=7)),
    )

    count = wave_count(view(records, "06:11"))

    # crest 2 a quarter of a wave behind its face, 14 m back at 8 knots
    assert count is not None
    assert crest_m(2, 8, count) == pytest.approx(14 + wave_length_m(8) / 4)


def distances(
    records: tuple[Record, ...], speed_kn: float, clock: str = "07:00"
) -> dict[str, float]:
    return {one.lure.position: one.back_m for one in runs(view(records, clock), speed_kn)}


SLOW_AGAIN = (
    *LAID, ("06:30", call("speed", speed_kn=6.0)), ("06:50", call("speed", speed_kn=8.0)),
)  # fmt: skip


def test_a_spread_that_was_slow_runs_at_speed_again_where_a_plan_has_it() -> None:
    slow_first = (("06:00", call("speed", speed_kn=6.0)), *LAID[1:])
    fast_then = log_of(*slow_first, ("06:50", call("speed", speed_kn=8.0)))

    now = view(fast_then, "07:00", BOX)
    planned = distances_m(now.boat.positions, 8.0)
    (first, *_) = make_plan(now).positions

    assert first.back_m == pytest.approx(planned[first.position], abs=0.06)
    for position, back_m in distances(fast_then, 8.0).items():
        assert back_m == pytest.approx(planned[position])
    assert distances(log_of(*SLOW_AGAIN), 8.0) == distances(OUT, 8.0)


def test_after_a_trip_the_picture_has_the_distances_of_its_last_spread() -> None:
    slow = (
        ("06:00", call("speed", speed_kn=6.3)),
        *LAID[1:],
        ("06:30", call("speed", speed_kn=6.5)),
    )
    over = log_of(*slow, ("06:40", call("lines_out")), ("06:41", call("trip_end")))

    assert distances(over, 6.5) == distances(log_of(*slow), 6.5)


def test_a_move_to_other_waves_says_so_and_is_the_shorter_one() -> None:
    slow_first = log_of(("06:00", call("speed", speed_kn=6.0)), *LAID[1:])
    now = view(
        log_of(
            ("06:00", call("speed", speed_kn=6.0)),
            *LAID[1:],
            ("07:00", call("speed", speed_kn=8.0)),
        )
    )

    line = moves_line(now, 6.0, 8.0)
    same_m = wave_length_m(8.0) * (3 - 0.25) - wave_length_m(6.0) * (3 - 0.25)

    assert runs(view(slow_first), 6.0)[0].wave == 3
    assert line.endswith("to run on the waves of a plan for that speed.")
    assert distances(now.records, 8.0)["short corner"] < wave_length_m(6.0) * (3 - 0.25) + same_m
