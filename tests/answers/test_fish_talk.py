"""What was caught, told with the fish."""

from bot.answers.best_fish import asked_of_fish as asked_fish
from bot.trip.meant import AsksAbout
from tests.answers.views import BOX, view
from tests.builders import call, log_of

DAY = log_of(
    ("06:00", call("lines_in")),
    ("06:00", call("set", "short corner", "black 12")),
    ("08:00", call("strike", "short corner"), call("hookup", "short corner")),
    ("08:20", call("boat", "short corner", species="wahoo", weight_kg=12, angler="Ana")),
    ("09:00", call("hookup", "short corner")),
    ("09:30", call("release", "short corner", species="striped marlin", tagged=True)),
)


def test_what_was_caught_is_told_with_every_fish() -> None:
    lines = asked_fish(view(DAY, "11:00", BOX), call("ask_fish")).text.splitlines()

    assert lines[0] == "2 caught; kept 1 wahoo; let go 1 striped marlin."
    assert lines[1].startswith("08:20 wahoo, 12 kg, kept, short corner, ")
    assert lines[1].endswith(", Ana.")
    assert lines[2].startswith("09:30 striped marlin, tagged and let go, short corner")
    assert len(lines) == 3


def test_before_the_first_fish_that_is_said() -> None:
    found = asked_fish(view(DAY[:2], "07:00", BOX), call("ask_fish"))

    assert found.text == "No fish caught yet, and nothing is on."


def asks(what: str, of_all_trips: bool = False) -> str:
    question = call("ask_fish", meant=(AsksAbout(what, of_all_trips),))
    return asked_fish(view(DAY, "11:00", BOX), question).text


def test_the_biggest_is_told_with_place_and_time() -> None:
    assert asks("biggest").startswith("Heaviest: wahoo, 12 kg, kept, short corner, ")
    assert asks("biggest", of_all_trips=True).endswith("08:20.")


def test_the_best_day_counts_what_was_caught() -> None:
    assert asks("best_day") == (
        "Best of 1 day: 14 March 2026, 2 caught of 2 strikes: 1 wahoo, 1 striped marlin."
    )


def test_without_a_weight_or_a_strike_that_is_said() -> None:
    nothing = call("ask_fish", meant=(AsksAbout("biggest"),))
    no_day = call("ask_fish", meant=(AsksAbout("best_day"),))

    assert asked_fish(view(DAY[:2], "07:00", BOX), nothing).text.startswith(
        "No fish has been weighed"
    )
    assert (
        asked_fish(view(DAY[:2], "07:00", BOX), no_day).text
        == "No trip of the log has a strike yet."
    )
