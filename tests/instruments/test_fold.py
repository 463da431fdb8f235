"""What is measured now: ages, what is best, what is stale; and a record played by its own clock."""

from datetime import UTC, datetime, timedelta

import pytest

from bot.bench.nmea import with_checksum
from bot.instruments.fold import Instruments, from_json, replay, to_json
from bot.instruments.track import is_worth
from bot.stamps import Fix, Stamp

NOON = datetime(2026, 2, 7, tzinfo=UTC)


def later(seconds: float) -> datetime:
    return NOON + timedelta(seconds=seconds)


def after(*lines: tuple[float, str]) -> Instruments:
    known = Instruments()
    for second, body in lines:
        known = known.take(with_checksum(body), later(second))
    return known


RMC = "GPRMC,000000,A,3505.500,S,17423.200,E,7.8,57.6,070226,,,A"


def test_a_value_is_used_for_ten_seconds_and_no_longer() -> None:
    known = after((0, RMC), (0, "IIMTW,21.4,C"))

    assert known.fix(later(10)).place == pytest.approx((-(35 + 5.5 / 60), 174 + 23.2 / 60))
    assert known.fix(later(10)).place_age_s == 10
    assert known.fix(later(10)).stamp.water_c == 21.4
    assert known.fix(later(11)).place is None
    assert known.fix(later(11)).stamp == Stamp()


def test_what_was_said_later_is_not_used_for_what_happened_before() -> None:
    assert after((60, RMC)).fix(later(0)).place is None


def test_every_value_has_an_age_of_its_own() -> None:
    known = after((0, "IIMTW,21.4,C"), (8, RMC))

    assert known.fix(later(12)).stamp == Stamp("instruments", cog_deg=57.6, sog_kn=7.8)


def test_the_depth_below_the_surface_goes_before_that_below_the_transducer() -> None:
    known = after((0, "SDDPT,80.0,0.4,"), (1, "SDDBT,262.5,f,80.0,M,43.7,F"))

    assert known.fix(later(2)).stamp.depth_m == 80.4
    assert known.fix(later(11)).stamp.depth_m == 80.0


def test_a_compass_becomes_true_with_the_variation_that_another_sentence_has() -> None:
    only_compass = after((0, "HCHDM,350.0,M"))
    both = only_compass.take(
        with_checksum("GPRMC,000000,A,3505.5,S,17423.2,E,7,57,070226,19.5,E"), NOON
    )

    assert only_compass.fix(NOON).stamp.heading_deg is None
    assert both.fix(NOON).stamp.heading_deg == 9.5


def test_the_receiver_says_how_far_off_it_may_be() -> None:
    gga = "GPGGA,000000,3505.5,S,17423.2,E,1,09,0.8,,M,,M,,"

    assert after((0, gga)).fix(NOON).within_m == pytest.approx(4.0)
    assert after((0, RMC)).fix(NOON).within_m is None


def test_dropped_lines_are_counted_by_reason_and_change_nothing() -> None:
    good = after((0, RMC))
    known = good.take(f"${RMC}", NOON).take(f"${RMC}*00", NOON).take("noise", NOON)

    assert known.dropped == {"no checksum": 1, "wrong checksum": 1, "unreadable": 1}
    assert known.used == 1
    assert known.fix(NOON) == good.fix(NOON)


def test_all_of_it_comes_back_from_json() -> None:
    known = after((0, RMC), (1, "SDDPT,80.0,0.4,"), (2, "GPGSV,1,1,00"))

    assert from_json(to_json(known)) == known


def test_a_record_is_played_by_its_own_clock() -> None:
    lines = [
        with_checksum("IIMTW,20.0,C"),  # before any time is known
        with_checksum("GPZDA,170000.00,06,02,2026,00,00"),
        with_checksum("IIMTW,21.4,C"),
        with_checksum("GPRMC,170010.00,V,,,,,,,060226,,,N"),  # no satellites: the clock goes on
        with_checksum(
            "GPRMC,165959.00,V,,,,,,,060226,,,N"
        ),  # a clock that goes back is not followed
    ]

    played = list(replay(lines))

    seconds = [at.strftime("%H%M%S") for at, _ in played]
    assert seconds == ["170000", "170000", "170010", "170010"]
    assert played[-1][1].fix(played[-1][0]).stamp.water_c == 21.4


def fix(second: float, north_m: float = 0.0, cog_deg: float = 50.0, sog_kn: float = 7.0) -> Fix:
    stamp = Stamp("instruments", cog_deg=cog_deg, sog_kn=sog_kn)
    return Fix(later(second), -35.0 + north_m / 111_000, 174.0, stamp=stamp)


@pytest.mark.parametrize(
    ("now", "worth"),
    [
        (fix(29, 100), False),
        (fix(30, 100), True),
        (fix(30, 5), False),  # a receiver that lies still wanders so far
        (fix(9, 30, cog_deg=90), False),
        (fix(10, 30, cog_deg=66), True),
        (fix(10, 30, cog_deg=60), False),
        (fix(10, 1, cog_deg=200, sog_kn=0.3), False),  # a course without way is noise
        (fix(300, 0), True),
        (fix(30, 20_000), False),  # no boat goes 11 nm in half a minute
        (fix(300, 20_000), True),  # it has stayed there
        (Fix(later(400)), False),
    ],
)
def test_the_track_takes_what_shows_where_the_boat_went(now: Fix, worth: bool) -> None:
    assert is_worth(fix(0), now) is worth


def test_a_turn_through_north_is_as_large_as_it_is() -> None:
    assert not is_worth(fix(0, cog_deg=355), fix(10, 30, cog_deg=5))
    assert is_worth(fix(0, cog_deg=350), fix(10, 30, cog_deg=10))
