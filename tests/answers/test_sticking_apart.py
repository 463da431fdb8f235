"""Why fish do not stick: today apart from earlier, and of one line or lure; common practice, no source."""

from bot.answers.answer import Answer
from bot.answers.evidence import asked_why
from bot.answers.sticking import sticking_lines
from bot.answers.view import Past, View
from bot.tackle.items import Boat, Lure, Outfit
from bot.trip.call import Call
from bot.trip.entry import Entry, Record
from bot.trip.fold import fold
from bot.trip.history import in_order
from bot.trip.meant import Asks
from tests.answers.views import view
from tests.builders import call, log_of

BOX = (
    Lure("Plum Jam", 8, ("purple",), "slim", "light", ready=True),
    Lure("Tin Lid", 6, ("silver",), ready=True),
)
BOAT = Boat(outfits=(Outfit("long rigger", 37.0, 11.0), Outfit("shotgun", 24.0, 7.0)))
OUT = (
    ("06:00", call("lines_in")),
    ("06:00", call("set", "long rigger", "@Plum Jam", size_in=8.0, colours=("purple",))),
    ("06:00", call("set", "shotgun", "@Tin Lid", size_in=6.0, colours=("silver",))),
)
WHY = Call("ask_why", meant=(Asks(("sticking",)),))


def bites(position: str, hours: range, hooked: bool = False) -> list[tuple[str, Call]]:
    """Return a bite an hour that is missed, or landed."""
    ends = (
        (("1", call("hookup")), ("5", call("boat", species="wahoo")))
        if hooked
        else (("1", call("miss")),)
    )
    return [
        message
        for hour in hours
        for message in (
            (f"{hour:02}:00", call("strike", position)),
            *((f"{hour:02}:0{m}", c) for m, c in ends),
        )
    ]


def earlier(records: tuple[Record, ...]) -> Past:
    return Past(lambda: (fold(in_order(one for one in records if isinstance(one, Entry))),))


def today(*messages: tuple[str, Call], past: tuple[Record, ...] = ()) -> View:
    return view(
        log_of(*OUT, *messages),
        "18:00",
        BOX,
        boat=BOAT,
        past=earlier(past) if past else Past(tuple),
    )


def why(now: View, **slots: str) -> Answer:
    return asked_why(now, WHY.with_slots(**slots))


YESTERDAY = log_of(*OUT, *bites("shotgun", range(7, 13)), ("15:00", call("lines_out")))


def test_today_stands_apart_from_earlier_trips() -> None:
    now = today(
        *bites("long rigger", range(7, 12)),
        *bites("shotgun", range(12, 14), hooked=True),
        past=YESTERDAY,
    )
    lines = why(now).text.splitlines()

    assert "Today by line: long rigger 0 of 5; shotgun 2 of 2" in lines
    assert "Today by lure: Plum Jam 0 of 5; Tin Lid 2 of 2" in lines
    assert not [
        line for line in lines if line.startswith("Today") and "of 8" in line
    ]  # 2 + 6 of both days
    assert any(line.startswith("Earlier trips: 0 of 6 strikes came tight") for line in lines)


def test_one_line_is_told_beside_the_others_with_its_rod_and_hooks() -> None:
    now = today(*bites("long rigger", range(7, 12)), *bites("shotgun", range(12, 14), hooked=True))
    text = why(now, position="long rigger").text

    assert "The long rigger today: 0 of 5 strikes came tight" in text
    assert "All others today: 2 of 2 strikes came tight" in text
    assert "its strike drag with a scale, its clip" in text
    assert "Its rod: 37 kg, strike drag 11 kg." in text
    assert "light hooks" in text
    assert "better with" not in text  # it is no question about a change


def test_one_lure_is_told_and_a_line_without_a_strike_is_said() -> None:
    now = today(*bites("long rigger", range(7, 9)), past=YESTERDAY)

    assert "Plum Jam today: 0 of 2 strikes came tight" in why(now, lure="Plum Jam").text
    text = why(now, position="shotgun").text
    assert text.startswith("No strike on the shotgun on this trip yet.")
    assert "The shotgun on earlier trips: 0 of 6 strikes came tight" in text


def test_the_sixth_miss_in_a_row_is_more_than_luck_and_is_said_unasked() -> None:
    def said(many: int) -> list[str]:
        before = today(*bites("long rigger", range(7, 6 + many)))
        return sticking_lines(before, today(*bites("long rigger", range(7, 7 + many))))

    assert [many for many in range(1, 9) if said(many)] == [6]
    assert "0 of 6 strikes came tight" in said(6)[0]
