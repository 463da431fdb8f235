"""What lies in which tray, and what it takes to put one out."""

from datetime import UTC, datetime

from bot.spread.trays import exchange, laid_out, trays_after
from bot.tackle.items import Boat, Lure
from bot.tackle.trays import Tray, TrayLure
from bot.trip.entry import Entry
from bot.trip.fold import fold
from bot.trip.meant import OfTray
from tests.builders import entry

LONG_AGO = datetime(2020, 1, 1, tzinfo=UTC)
SLOW = Lure("Tin Snail", 8, ("green",), speed_max_kn=6)


def told(*entries: Entry) -> dict[str, list[str]]:
    """Return the labels of what lies in each tray."""
    return {tray.name: [one.label for one in tray.lures] for tray in trays_after((), entries)}


def tray(name: str, lure: str = "", position: str | None = None, of: OfTray | None = None) -> Entry:
    return entry("05:00", "tray", position, lure, tray=name, meant=(of,) if of else ())


def test_a_tray_holds_what_went_in_and_did_not_come_out() -> None:
    found = told(
        tray("two", "purple 8"), tray("2", "pink 6"), tray("slow", "green 7"),
        tray("tray two", "purple 8", of=OfTray(out=True)),
    )  # fmt: skip

    assert found == {"slow": ["green 7-inch"], "two": ["pink 6-inch"]}


def test_a_position_holds_one_lure_and_a_lure_lies_there_once() -> None:
    found = told(
        tray("two", "purple 8", "short corner"), tray("two", "pink 6", "short corner"),
        tray("two", "pink 6", "shotgun"),
    )  # fmt: skip

    assert found == {"two": ["pink 6-inch"]}


def test_an_emptied_tray_is_gone_and_what_goes_in_later_begins_it_anew() -> None:
    of = OfTray(emptied=True)

    assert told(tray("two", "purple 8"), tray("two", of=of)) == {}
    assert told(tray("two", "purple 8"), tray("two", of=of), tray("two", "pink 6")) == {
        "two": ["pink 6-inch"]
    }


def test_calls_go_on_with_a_tray_that_was_imported_and_say_its_speed_and_tackle() -> None:
    made = Tray("two", (TrayLure("Wet Slate", 12, ("blue",), None, "short corner"),), "heavy", 8.0)
    said = tray("two", "purple 8", of=OfTray(spare=True, speed_kn=7.5, line_class_kg=24.0))

    (found,) = trays_after([(made, LONG_AGO)], [said])

    assert [one.label for one in found.runners] == ["Wet Slate"]
    assert [one.label for one in found.spares] == ["purple 8-inch"]
    assert (found.tackle, found.speed_kn) == (24.0, 7.5)


OUT = (
    entry("06:00", "lines_in"),
    entry("06:00", "set", "short corner", "purple 12"),
    entry("06:00", "set", "long rigger", "white 8"),
    entry("06:00", "set", "shotgun", "red 6"),
)
TRAY = (
    TrayLure("Tin Snail", 8, ("green",), None, "short corner"),
    TrayLure("Soap Dish", 10, ("pink",), None, "long corner"),
    TrayLure(None, 6, ("red",), None, "shotgun"),
)


def test_lines_come_in_from_the_nearest_and_go_out_from_the_farthest() -> None:
    # Common practice, no source: so no lure is towed across a line that is still out.
    found = exchange(TRAY, fold(OUT), Boat())

    assert [one.position for one in found.comes_in] == ["short corner", "long rigger"]
    assert [one.position for one in found.goes_out] == ["long corner", "short corner"]
    assert found.same == ("shotgun",)
    assert [(c.act, c.position, c.lure) for c in found.calls] == [
        ("clear", "long rigger", None),
        ("set", "long corner", "Soap Dish"),
        ("set", "short corner", "Tin Snail"),
    ]


def test_a_line_with_a_fish_on_stays_as_it_is() -> None:
    on = fold((*OUT, entry("07:00", "hookup", "short corner")))

    found = exchange(TRAY, on, Boat())

    assert found.held == ("short corner",)
    assert all(call.position != "short corner" for call in found.calls)


def test_what_has_no_position_goes_where_the_planner_would_have_it() -> None:
    loose = Tray(
        "slow", (TrayLure("Big", 12, ("red",)), TrayLure("Small", 6, ("blue",))), speed_kn=6
    )
    box = (Lure("Big", 12, ("red",)), Lure("Small", 6, ("blue",)))

    laid, left = laid_out(loose, box, Boat())

    # Common practice, no source: the largest lure on the short corner.
    assert {one.label: one.position for one in laid}["Big"] == "short corner"
    assert left == ()


def test_more_lures_than_positions_stay_in_the_tray() -> None:
    many = Tray("big", tuple(TrayLure(None, size, ("red",)) for size in range(5, 12)))

    laid, left = laid_out(many, (), Boat())

    assert (len(laid), len(left)) == (5, 2)
    assert len({one.position for one in laid}) == 5
