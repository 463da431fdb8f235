"""Questions about the speeds of lures, and what else is aboard of a size; common practice, no source."""

from pathlib import Path

import pytest

from tests.desk_rig import boxed, call

BOX = (
    "name,head,size_in,colours,ready,speed_min_kn,speed_max_kn\n"
    "Plum Jam,slim,8,purple,yes,7,12\nBed Knob,slim,8,purple pink,yes,7,10\n"
    "Wet Sock,cupped,10,grey white,yes,4,7\n"
    "Wall Clock,cupped,12,black,no,4,6.5\nTin Lid,jet,6,red,yes,,\nOld Shed,slanted,9,purple black,yes,7,9\n"
    "Fire Hose,slim,7,red white,yes,6,11\n"
)


def asked(home: Path, said: str) -> str:
    with boxed(home, BOX) as desk:
        call(
            desk,
            "06:00 trip start",
            "06:01 set long rigger plum jam",
            "06:01 set shotgun bed knob",
            "06:02 lines in",
        )
        return call(desk, f"06:30 {said}").text


@pytest.mark.parametrize(
    "said", ["which ones are slow runners", "have we any slow runners", "which lures run slow"]
)
def test_slow_runners_are_told_from_the_box(tmp_path: Path, said: str) -> None:
    text = asked(tmp_path, said)

    assert "Wet Sock (4 to 7 knots)" in text
    assert "Wall Clock (4 to 6.5 knots, not ready)" in text
    assert "Plum Jam" not in text
    assert "1 lure without speeds in the box." in text


@pytest.mark.parametrize(
    "said",
    [
        "what runs at five knots",
        "anything that runs at 5 knots",
        "which of these don't run at five",
    ],
)
def test_what_runs_at_a_speed_is_told_with_what_does_not(tmp_path: Path, said: str) -> None:
    runs, not_so, *_ = asked(tmp_path, said).splitlines()

    assert runs.startswith("At 5 knots run Wall Clock (4 to 6.5 knots, not ready); Wet Sock")
    assert not_so.startswith("Not: ")
    assert "Plum Jam (7 to 12 knots, out)" in not_so


@pytest.mark.parametrize(
    ("said", "told"),
    [("what's the speed of the wet sock", "Wet Sock runs at 4 to 7 knots."),
     ("how fast does the wall clock run", "Wall Clock runs at 4 to 6.5 knots."),
     ("is the plum jam fine at six knots", "No, Plum Jam runs at 7 to 12 knots, not at 6."),
     ("does the wet sock run ok at 6.5", "Yes, Wet Sock runs at 4 to 7 knots."),
     ("what's the speed of the tin lid", "Tin Lid has no speeds in the box, so it counts as running at any."),
    ],
)  # fmt: skip
def test_the_speed_of_one_lure(tmp_path: Path, said: str, told: str) -> None:
    assert asked(tmp_path, said) == told


def test_what_is_out_and_too_slow_is_named(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(
            desk,
            "06:00 trip start",
            "06:01 set long rigger plum jam",
            "06:01 set shotgun bed knob",
            "06:02 lines in",
        )
        call(desk, "06:10 speed 11")
        text = call(desk, "06:30 what is running too slow for us").text

    assert text == "Not at 11 knots: shotgun Bed Knob runs at 7 to 10 knots."


@pytest.mark.parametrize(
    "said",
    ["what should we run at five knots", "plan a spread at five knots", "how fast are we going"],
)
def test_other_questions_of_speed_stay_what_they_are(tmp_path: Path, said: str) -> None:
    text = asked(tmp_path, said)

    assert "At 5 knots run" not in text


@pytest.mark.parametrize("said", ["any more eights in purple", "have we another purple eight"])
def test_of_a_size_and_colour_those_out_are_told_too(tmp_path: Path, said: str) -> None:
    text = asked(tmp_path, said)

    assert (
        "No other purple 8-inch is aboard but what is out: Plum Jam, long rigger; Bed Knob, shotgun."
        in text
    )


@pytest.mark.parametrize(
    ("said", "told"),
    [("another size of the purple black one", "Old Shed"),
     ("another colour of the eight", "Of 8-inch")],
)  # fmt: skip
def test_another_size_or_colour_is_a_question(tmp_path: Path, said: str, told: str) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, "06:00 trip start", "06:01 set long rigger plum jam", "06:02 lines in")
        reply = call(desk, f"06:30 {said}")

    assert reply.ask is None
    assert told in reply.text
