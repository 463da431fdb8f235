"""No stage of a fish stands before its bite, whatever time is said of it. Plain sense, no source."""

from bot.tackle.items import Lure
from bot.trip.call import Call
from bot.trip.decide import decide
from bot.trip.decision import Context
from bot.trip.fold import fold
from bot.trip.history import standing_entries
from tests.builders import at
from tests.trip.test_lives import Log, Saying


def fish_of(log: Log) -> list[tuple[str, str | None, str, str | None]]:
    """Return the entries about fish: act, position, clock, species."""
    return [
        (e.call.act, e.call.position, f"{e.at:%H:%M}", e.call.species)
        for e in standing_entries(log.records)
        if e.call.act not in ("set", "lines_in", "trip_start")
    ]


def test_an_ending_that_is_dated_before_its_bite_is_at_the_bite_and_keeps_its_position() -> None:
    log = Log()
    log.say(Saying(30, "Ana", (Call("strike", "shotgun"),)))
    log.say(Saying(32, "Ana", (Call("hookup"),)))
    log.say(Saying(40, "Ben", (Call("release", species="sailfish"),)))
    log.say(Saying(41, "Ben", (Call("amend", ago_min=30),)))

    assert fish_of(log)[-1] == ("release", "shotgun", "06:32", "sailfish")
    assert len(fold(standing_entries(log.records)).fish) == 1


def test_a_strike_that_is_dated_after_its_hookup_stays_before_it() -> None:
    log = Log()
    log.say(Saying(30, "Ana", (Call("strike", "shotgun"),)))
    log.say(Saying(31, "Ana", (Call("hookup"),)))
    log.say(Saying(45, "Ben", (Call("amend", of_act="strike", ago_min=5),)))

    assert [act for act, *_ in fish_of(log)] == ["strike", "hookup"]
    assert len(fold(standing_entries(log.records)).fish) == 1


def test_a_rough_time_of_an_ending_is_of_the_fish_that_is_on() -> None:
    log = Log()
    log.say(Saying(60, "Ana", (Call("hookup", "shotgun"),)))
    log.say(Saying(65, "Ben", (Call("boat", species="wahoo", ago_min=10),)))

    assert fish_of(log)[-1] == ("boat", "shotgun", "07:00", "wahoo")


def test_an_ending_long_before_the_fish_that_is_on_is_another_fish() -> None:
    log = Log()
    log.say(Saying(90, "Ana", (Call("hookup", "shotgun"),)))
    log.say(Saying(95, "Ben", (Call("boat", species="wahoo", ago_min=60),)))

    assert fish_of(log)[0] == ("boat", None, "06:35", "wahoo")
    assert len(fold(standing_entries(log.records)).fish_on) == 1


def test_a_lure_that_is_lost_is_the_one_in_the_water_before_one_of_the_box() -> None:
    log = Log()
    log.say(Saying(5, "Ana", (Call("set", "shotgun", colours=("purple",), size_in=6.0),)))
    box = (Lure("Church Hat", 10, ("purple",)),)
    context = Context(at("06:20"), box=box)

    (lost,) = decide(
        (Call("rework", colours=("purple",), text="lost"),), log.records, context
    ).entries

    assert (lost.call.lure, lost.call.size_in) == (None, 6.0)
