"""Twenty rules of the trade that no proposal may break: all of them common practice, no source."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from bot.advice.data import Exposure, Hold, InWater, Kind, LureChange, Spare, Verdict, full_words
from bot.advice.next_change import next_change
from bot.answers.advise import in_water, may_run, verdict
from bot.answers.proposal import advice_line
from bot.messages import Advice
from bot.tackle.items import Boat, Lure, Outfit
from bot.trip.call import Call
from tests.answers.views import view
from tests.builders import call, log_of

NOW = datetime(2024, 3, 2, 12, 0, tzinfo=UTC)
LINES = ("short corner", "long corner", "short rigger", "long rigger", "shotgun")
HELD = (
    Kind(12.0, ("black",), "cupped"), Kind(10.0, ("blue", "white"), "slanted"),
    Kind(8.0, ("purple",), "slim"), Kind(9.0, ("green", "yellow"), "slim"), Kind(6.0, ("silver",), "jet"),
)  # fmt: skip
TWIN, SIZE, SIZE_TOO, COLOUR = (
    Kind(8.0, ("purple",), "slim"), Kind(8.0, ("pink",), "slim"), Kind(8.0, ("red",), "slim"),
    Kind(9.0, ("purple",), "slim"),
)  # fmt: skip
FAR_COLOUR, NEITHER, NEITHER_TOO = (
    Kind(14.0, ("purple",), "cupped"), Kind(13.0, ("orange",), "blunt"), Kind(6.5, ("white",), "jet"),
)  # fmt: skip
ALL_READY = (TWIN, SIZE, SIZE_TOO, COLOUR, FAR_COLOUR, NEITHER, NEITHER_TOO)
PURPLE_8 = 2
"""Where the purple 8 runs: the short rigger."""


def spread(
    strikes: Sequence[int] = (0,) * 5, bitten_min: float = 90.0, hours: float = 4.0
) -> tuple[InWater, ...]:
    at = NOW - timedelta(minutes=bitten_min)
    return tuple(
        InWater(line, kind, None, hours, many, struck_at=at if many else None)
        for line, kind, many in zip(LINES, HELD, strikes, strict=True)
    )


def cells(laid: Sequence[InWater]) -> list[Exposure]:
    return [Exposure(one.position, one.kind, one.hours, one.strikes, hour=10) for one in laid]


def advised(
    laid: Sequence[InWater],
    ready: Sequence[Kind] = ALL_READY,
    previous: Sequence[LureChange] = (),
    now: datetime = NOW,
) -> Verdict:
    spares = [Spare(kind, f"Lure {number}") for number, kind in enumerate(ready)]
    return next_change(cells(laid), laid, spares, now=now, previous=previous)


def kind_of(found: Verdict, ready: Sequence[Kind] = ALL_READY) -> Kind:
    assert isinstance(found, Advice)
    return ready[int(found.lure.removeprefix("Lure "))]


BITES = [(0, 0, n, 0, 0) for n in (1, 2, 3, 6)] + [
    (0, 1, 3, 0, 0),
    (1, 0, 2, 0, 1),
    (2, 0, 0, 0, 5),
]


@pytest.mark.parametrize("strikes", BITES)
@pytest.mark.parametrize("bitten_min", [0.0, 20.0, 59.0])
def test_1_a_lure_that_was_just_bitten_stays(strikes: tuple[int, ...], bitten_min: float) -> None:
    found = advised(spread(strikes, bitten_min))

    for line, many in zip(LINES, strikes, strict=True):
        if many:
            assert not isinstance(found, Advice) or found.position != line


@pytest.mark.parametrize("line", range(5))
@pytest.mark.parametrize("raised_min", [0.0, 20.0, 59.0])
def test_1_a_lure_that_a_fish_just_came_up_behind_stays(line: int, raised_min: float) -> None:
    at = NOW - timedelta(minutes=raised_min)
    laid = [
        replace(one, raises=1, raised_at=at) if number == line else one
        for number, one in enumerate(spread((0, 0, 3, 0, 0)))
    ]
    found = advised(tuple(laid))

    assert isinstance(found, Advice)  # what is like the lure that is bitten goes elsewhere
    assert found.position != LINES[line]


@pytest.mark.parametrize("line", range(5))
@pytest.mark.parametrize("hours_ago", [1.5, 3.5])
def test_2_a_lure_that_alone_has_the_strikes_stays(line: int, hours_ago: float) -> None:
    strikes = [int(other == line) for other in range(5)]
    found = advised(spread(strikes, 60 * hours_ago))

    assert not isinstance(found, Advice) or found.position != LINES[line]


@pytest.mark.parametrize("strikes", [2, 3, 6])
@pytest.mark.parametrize("ready", [ALL_READY, (NEITHER, SIZE, NEITHER_TOO), (FAR_COLOUR, SIZE)])
def test_3_the_size_that_gets_the_bites_is_repeated(strikes: int, ready: tuple[Kind, ...]) -> None:
    found = advised(spread((0, 0, strikes, 0, 0)), ready)

    assert kind_of(found, ready).size_in == pytest.approx(8.0, abs=1.0)


def test_4_of_that_size_the_colour_that_gets_them_comes_first() -> None:
    assert kind_of(advised(spread((0, 0, 6, 0, 0)))) == TWIN


@pytest.mark.parametrize("strikes", [3, 6])
def test_5_where_that_size_is_not_ready_its_colour_goes_out(strikes: int) -> None:
    ready = (NEITHER, COLOUR, NEITHER_TOO, Kind(10.0, ("orange",), "slim"))

    assert kind_of(advised(spread((0, 0, strikes, 0, 0)), ready), ready) == COLOUR


def test_6_what_repeats_the_bite_goes_on_a_quiet_line() -> None:
    found = advised(spread((0, 1, 4, 0, 0)))

    assert isinstance(found, Advice)
    assert found.position not in ("long corner", "short rigger")


def test_7_one_or_two_lures_are_changed_not_all() -> None:
    laid = spread((0, 0, 6, 0, 0))
    made = [LureChange(line, "a", "b", NOW - timedelta(minutes=3)) for line in LINES[:2]]

    assert isinstance(advised(laid, previous=made[:1]), Advice)
    assert isinstance(advised(laid, previous=made), Hold)


def test_8_the_day_begins_with_variety_and_it_is_let_fish() -> None:
    assert isinstance(advised(spread(hours=0.1)), Hold)
    assert isinstance(advised(spread((0, 0, 1, 0, 0), 0.0, hours=0.15)), Hold)


def test_9_a_lure_that_went_out_is_given_its_time() -> None:
    laid = spread((0, 0, 6, 0, 0))
    first = advised(laid)
    assert isinstance(first, Advice)

    fresh = LureChange(first.position, "black 12-inch", "x", NOW - timedelta(minutes=10))
    found = advised(laid, previous=[fresh])

    assert not isinstance(found, Advice) or found.position != first.position


def test_10_what_was_taken_out_is_not_put_back_within_the_hour() -> None:
    laid = spread((0, 0, 6, 0, 0))
    first = advised(laid)
    assert isinstance(first, Advice)

    gone = LureChange(first.position, "x", first.lure, NOW - timedelta(minutes=40))
    found = advised(laid, previous=[gone])

    assert not isinstance(found, Advice) or (found.position, found.lure) != (
        first.position,
        first.lure,
    )


@pytest.mark.parametrize("strikes", [*BITES, (0,) * 5, (1, 1, 1, 1, 1), (3, 2, 3, 2, 3)])
@pytest.mark.parametrize("ready", [ALL_READY, (NEITHER, NEITHER_TOO)])
def test_11_nothing_is_changed_on_the_toss_of_a_coin(
    strikes: tuple[int, ...], ready: tuple[Kind, ...]
) -> None:
    found = advised(spread(strikes), ready)

    assert not isinstance(found, Advice) or found.chance >= 0.6


@pytest.mark.parametrize("minutes", [5, 30, 55])
@pytest.mark.parametrize("line", [0, 3, 4])
def test_12_advice_is_not_taken_back_where_nothing_happened(minutes: int, line: int) -> None:
    laid = spread((0, 0, 6, 0, 0))
    proposed = LureChange(LINES[line], "Lure 0", "", NOW, made=False, stands=True)

    found = advised(laid, previous=[proposed], now=NOW + timedelta(minutes=minutes))

    assert isinstance(found, Advice)
    assert (found.position, found.lure) == (LINES[line], "Lure 0")


def test_13_a_bite_on_the_line_or_an_hour_may_change_it() -> None:
    proposed = LureChange(
        LINES[0], "Lure 0", "", NOW - timedelta(minutes=70), made=False, stands=True
    )
    an_hour = advised(spread((0, 0, 6, 0, 0)), previous=[proposed])
    bitten = advised(
        spread((1, 0, 6, 0, 0), 0.0),
        previous=[replace(proposed, at=NOW - timedelta(minutes=5), stands=False)],
    )

    assert isinstance(an_hour, Advice)
    assert an_hour == advised(spread((0, 0, 6, 0, 0)))
    assert not isinstance(bitten, Advice) or bitten.position != LINES[0]


# With the boat's own box, rods and speed

BOX = (
    Lure("Plum Jam", 8, ("purple",), ready=True),
    Lure("Bed Knob", 8, ("purple", "black"), ready=True, speed_max_kn=6),
    Lure("Hat Box", 14, ("purple",), ready=True),
    Lure("Rag Doll", 10, ("green",), ready=False),
)
OUT = (
    ("06:00", call("lines_in")),
    ("06:00", call("set", "short corner", "black 12")),
    ("06:00", call("set", "long rigger", "purple 8.5")),
    ("06:00", call("set", "shotgun", "red 10")),
)
BITTEN = tuple(
    message
    for clock in ("07:10", "08:20", "09:05", "09:50")
    for message in ((clock, call("strike", "long rigger")), (clock, call("miss")))
)


def proposed(
    *more: tuple[str, Call], box: Sequence[Lure] = BOX, boat: Boat | None = None
) -> Verdict:
    return verdict(view(log_of(*OUT, *BITTEN, *more), "10:00", box, boat=boat or Boat()))


def test_14_a_lure_that_was_not_made_ready_is_not_proposed() -> None:
    unready = tuple(replace(lure, ready=False) for lure in BOX)

    assert isinstance(proposed(box=unready), Hold)
    assert isinstance(proposed(box=(*unready, BOX[0])), Advice)
    assert proposed(box=(*unready[1:], BOX[0])).lure == "Plum Jam"  # type: ignore[union-attr]


def test_15_a_lure_does_not_go_out_at_a_speed_at_which_it_does_not_run() -> None:
    slow = (BOX[1],)

    assert isinstance(proposed(("09:55", call("speed", speed_kn=8.0)), box=slow), Hold)
    assert isinstance(proposed(("09:55", call("speed", speed_kn=5.5)), box=slow), Advice)


def test_16_where_no_speed_is_called_a_slow_runner_is_not_put_into_a_fast_spread() -> None:
    assert isinstance(proposed(box=(BOX[1],)), Hold)


def test_17_a_large_lure_does_not_go_on_light_tackle() -> None:
    light = Boat(outfits=tuple(Outfit(line, 10.0) for line in LINES))
    heavy = Boat(outfits=tuple(Outfit(line, 60.0) for line in LINES))
    large = Spare(Kind(14.0, ("purple",)), "Hat Box")

    assert not any(may_run(view((), "10:00", BOX, boat=light))(line, large) for line in LINES)
    assert all(may_run(view((), "10:00", BOX, boat=heavy))(line, large) for line in LINES)


def test_18_a_lure_that_was_bitten_is_looked_over_before_it_goes_out_again() -> None:
    out = (("06:00", call("lines_in")), ("06:00", call("set", "long rigger", "@Plum Jam")))
    bitten = (("07:00", call("strike", "long rigger")), ("07:01", call("miss")))
    back = (("07:10", call("swap", "long rigger", "black 12")),)
    again = (("07:20", call("ready", lure="@Plum Jam")),)

    gone = view(log_of(*out, *bitten, *back), "09:00", BOX[:1])
    ready = view(log_of(*out, *bitten, *back, *again), "09:00", BOX[:1])

    assert gone.ready == ()
    assert [lure.name for lure in ready.ready] == ["Plum Jam"]


def test_19_while_a_fish_is_on_nothing_is_proposed_and_lines_may_be_cleared() -> None:
    now = view(log_of(*OUT, ("07:00", call("hookup", "shotgun"))), "07:05", BOX)
    found = verdict(now)

    assert isinstance(found, Hold)
    assert advice_line(now, found).startswith("Hold until it is off:")
    assert "clear lines as the skipper calls" in advice_line(now, found)
    assert "leave" not in advice_line(now, found)


def test_20_a_change_names_what_comes_out_and_what_goes_in_and_a_chance_is_one() -> None:
    now = view(log_of(*OUT, *BITTEN), "10:00", BOX)
    found = verdict(now)
    assert isinstance(found, Advice)
    gone = next(one for one in in_water(now) if one.position == found.position)
    lure = now.lure(found.lure)
    assert lure is not None

    said = advice_line(now, found)

    assert full_words(lure.name, Kind(lure.size_in, lure.colours)) in said
    assert f"{gone.words} comes out" in said
    assert f"Better with {round(found.chance * 10)} chances in 10" in said
