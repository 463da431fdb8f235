"""What is said about tackle when lures go out."""

from functools import partial

from bot.answers.fit import tackle_lines
from bot.answers.view import View
from bot.tackle.cautions import caution
from bot.tackle.items import Boat, Lure, Outfit
from bot.trip.call import Call
from tests.answers.views import BOX, view
from tests.builders import call, log_of

LIGHT = Boat(outfits=(Outfit("shotgun", 10), Outfit("short corner", 37)))
HEAVY_HOOKS = Lure("Anvil", 6, ("black",), hook_gauge="heavy", ready=True)
UNREADY = Lure("Wet Rag", 7, ("green",))
ONE_OUT = log_of(("06:00", call("lines_in")), ("06:00", call("set", "shotgun", "red 6")))


def lines(*calls: Call, records: tuple = (), box: tuple[Lure, ...] = ()) -> list[str]:  # type: ignore[type-arg]
    """Return the lines that calls get on top of records."""
    before: View = view(records, "07:00", box, boat=LIGHT)
    return tackle_lines(before, before, calls)


def test_a_large_lure_on_light_tackle_is_told_of_whether_or_not_it_is_in_the_box() -> None:
    # Common practice, no source: large lures are not for light tackle.
    said = lines(call("set", "shotgun", "purple 14"))

    assert said[0].startswith("The purple (14-inch) is large for 10 kg")


def test_a_small_lure_on_heavy_tackle_is_right() -> None:
    # Common practice, no source: the rule does not hold the other way round.
    assert lines(call("set", "short corner", "purple 6")) == []


def test_where_no_outfit_is_set_there_is_no_rule() -> None:
    assert lines(call("set", "long rigger", "purple 14")) == []


def test_the_caution_about_hooks_comes_with_the_first_word_about_hooks_and_then_no_more() -> None:
    anvil = call("set", "shotgun", "@Anvil", size_in=6, colours=("black",))
    earlier = log_of(("06:00", anvil))

    first = lines(anvil, box=(HEAVY_HOOKS,))
    again = lines(anvil, records=earlier, box=(HEAVY_HOOKS,))

    assert "heavy hooks" in first[0]
    assert caution("hooks") in first
    assert caution("hooks") not in again
    assert "heavy hooks" in again[0]


def test_a_lure_that_needs_a_check_is_told_of_when_it_goes_out() -> None:
    said = lines(call("set", "long rigger", "@Wet Rag"), box=(*BOX, UNREADY))

    assert said == ["Wet Rag goes out on the long rigger unchecked: not made ready yet."]


def test_a_crew_that_calls_nothing_ready_is_told_of_it_once_a_trip() -> None:
    out = log_of(("06:00", call("set", "shotgun", "@Wet Rag")))
    first = lines(call("set", "long rigger", "@Wet Rag"), box=(UNREADY,))
    later = lines(call("set", "long rigger", "@Wet Rag"), records=out, box=(UNREADY,))

    assert "Wet Rag goes out on the long rigger unchecked" in first[0]
    assert later == []
    assert "casting outfit and deep diver neither" in lines(call("lines_in"), box=(UNREADY,))[0]


def test_before_the_first_lines_in_what_stands_by_is_asked_for_once() -> None:
    first = lines(call("lines_in"), box=BOX)
    later = lines(call("lines_in"), records=ONE_OUT, box=BOX)

    assert len(first) == 1
    assert "casting outfit" in first[0]
    assert "deep diver" in first[0]
    assert later == []


def test_without_a_box_lines_in_asks_for_nothing() -> None:
    assert lines(call("lines_in")) == []


def test_pictures_come_only_where_they_can_be_seen() -> None:
    from bot.answers.questions import answer

    drawn = answer(view(ONE_OUT, "07:00", draws=True), call("ask_spread"))
    plain = answer(view(ONE_OUT, "07:00"), call("ask_spread"))

    assert [p.data[:4] for p in drawn.pictures] == [b"\x89PNG"]
    assert plain.pictures == ()


def test_what_does_not_fit_into_two_lines_is_still_said_in_short() -> None:
    grave = Lure("Great Bell", 14, ("red",), "blunt", "heavy")

    said = lines(call("set", "shotgun", "@Great Bell", size_in=14, colours=("red",)), box=(grave,))

    short = next(line for line in said if line.startswith("Also to look at: "))
    told = " ".join(said)
    assert "large for 10 kg" in told
    assert "heavy hooks" in told
    assert "strike drag" in told
    assert short.endswith(".")


SLOW = Lure("Tin Snail", 7, ("green",), ready=True, speed_max_kn=6)


def test_a_slow_runner_that_is_set_is_told_of_whether_or_not_a_speed_was_called() -> None:
    # Common practice, no source: lures that run best slower are a spread of their own; usual speed 7 to 9 kn.
    snail = call("set", "long rigger", "@Tin Snail", size_in=7, colours=("green",))
    called = log_of(("06:00", call("lines_in")), ("06:01", call("speed", speed_kn=5.5)))

    assert "Tin Snail runs well up to 6 knots, not at 8, the usual speed." in lines(
        snail, box=(SLOW,)
    )
    assert not any("runs well" in one for one in lines(snail, records=called, box=(SLOW,)))


def test_the_speed_of_what_is_out_is_not_called_the_usual_one() -> None:
    fast = Lure("Rain Gutter", 9, ("blue",), ready=True, speed_min_kn=7)
    out = log_of(
        ("06:00", call("lines_in")),
        ("06:01", call("set", "shotgun", "@Tin Snail", size_in=7, colours=("green",))),
    )
    gutter = call("set", "long rigger", "@Rain Gutter", size_in=9, colours=("blue",))

    said = lines(gutter, records=out, box=(SLOW, fast))

    assert "Rain Gutter runs well from 7 knots, not at 6, at which what is out runs." in said


def test_a_new_speed_names_the_lures_out_that_do_not_run_at_it_and_a_run_home_none() -> None:
    out = log_of(
        ("06:00", call("lines_in")),
        ("06:00", call("speed", speed_kn=5.5)),
        ("06:00", call("set", "shotgun", "@Tin Snail", size_in=7, colours=("green",))),
    )
    said = partial(lines, records=out, box=(SLOW,))

    assert said(call("speed", speed_kn=8)) == ["Tin Snail runs well up to 6 knots, not at 8."]
    assert said(call("speed", speed_kn=6)) == []
    assert said(call("speed", speed_kn=22)) == []
