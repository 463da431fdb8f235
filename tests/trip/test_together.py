"""What the calls of one message mean together, as calls beside a log."""

from bot.trip.together import resolve_together
from tests.builders import call, entry, trip

OUT = trip(
    entry("06:00", "lines_in"),
    entry("06:00", "set", "long rigger", "purple 8"),
    entry("06:00", "set", "short corner", "black 12"),
)


def test_two_lines_swapped_without_a_lure_change_lures() -> None:
    one, two = resolve_together((call("swap", "long rigger"), call("swap", "short corner")), OUT)

    assert one == call("swap", "long rigger", "black 12")
    assert two == call("swap", "short corner", "purple 8")


def test_two_lures_described_by_colour_change_places_where_each_hangs_on_the_other_line() -> None:
    black, purple = (
        call("set", "long rigger", colours=("black",)),
        call("set", "short corner", colours=("purple",)),
    )
    red = call("set", "short corner", colours=("red",))

    assert [c.size_in for c in resolve_together((black, purple), OUT)] == [12, 8]
    assert resolve_together((black, red), OUT) == (black, red)


def test_a_swap_alone_or_beside_a_clear_is_left_as_it_was_said() -> None:
    swap, clear = call("swap", "long rigger"), call("clear", "short corner")

    assert resolve_together((swap,), OUT) == (swap,)
    assert resolve_together((swap, call("swap", "short corner"), clear), OUT)[0] == swap


def test_both_lost_is_one_of_each_fish_on() -> None:
    both = trip(
        entry("06:00", "lines_in"),
        entry("07:00", "hookup", "long rigger"),
        entry("07:01", "hookup", "shotgun"),
    )
    lost = call("pulled_hook")

    assert [c.position for c in resolve_together((lost, lost), both)] == ["long rigger", "shotgun"]
    assert resolve_together((lost,), both) == (lost,)
