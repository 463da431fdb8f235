"""Machines that lack something, and clocks that jump: the program runs on, and says what it does without."""

import resource
import sys
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
import tzlocal

from bot import fittings, own_process
from bot.desk import Desk
from bot.settings import load
from bot.settings.zone import machine_zone
from bot.speech import pronunciations
from tests.hostile.rig import run


@pytest.fixture
def _no_dictionary(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    caches = (pronunciations.pronunciations, fittings._language)
    for cache in caches:
        cache.cache_clear()
    monkeypatch.setitem(sys.modules, "pocketsphinx", None)
    yield
    for cache in caches:
        cache.cache_clear()


@pytest.mark.usefixtures("_no_dictionary")
def test_typed_calls_are_understood_where_pocketsphinx_has_no_wheel(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        desk.say("lines in")

        assert desk.say("strike long rigger, purple eight").logged
        assert desk.say("strke shrt corner").calls[0]["act"] == "strike"


def test_a_system_without_a_limit_to_addresses_still_starts_its_processes(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    # macOS answers EINVAL to RLIMIT_AS
    asked = []

    def refuse(kind: int, limits: tuple[int, int]) -> None:
        asked.append((kind, limits))
        if kind == resource.RLIMIT_AS:
            raise ValueError("current limit exceeds maximum limit")

    monkeypatch.setattr(resource, "setrlimit", refuse)

    own_process._limit(own_process.Limits(memory_mb=100))

    assert asked == [
        (resource.RLIMIT_AS, (100 << 20,) * 2),
        (resource.RLIMIT_DATA, (100 << 20,) * 2),
    ]


@pytest.mark.parametrize(
    ("said", "zone"), [("Pacific/Auckland", "Pacific/Auckland"), (None, "UTC"), ("local", "UTC")]
)
def test_without_a_setting_the_zone_is_that_of_the_machine(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, said: str | None, zone: str
) -> None:
    monkeypatch.setattr(tzlocal, "get_localzone_name", lambda: said)

    assert machine_zone() == zone
    assert load({}, {"home": tmp_path}).boat.timezone == zone
    (tmp_path / "deckcall.toml").write_text(
        '[boat]\ntimezone = "Europe/Lisbon"\n', encoding="utf-8"
    )
    assert load({}, {"home": tmp_path}).boat.timezone == "Europe/Lisbon"


def test_a_machine_whose_zone_cannot_be_told_has_none(monkeypatch: pytest.MonkeyPatch) -> None:
    def fails() -> str:
        raise LookupError("no such zone")

    monkeypatch.setattr(tzlocal, "get_localzone_name", fails)

    assert machine_zone() == "UTC"


def _hours(home: Path, zone: str, calls: list[tuple[datetime, str]]) -> float:
    with Desk(home, timezone=zone) as desk:
        for at, text in calls:
            desk.say(text, at=at)
        view = desk.view(calls[-1][0])
        from bot.answers.values import tally_json

        return float(tally_json(view, "position")["total"]["hours"])


@pytest.mark.parametrize(
    ("zone", "night"),
    [
        # IANA time zone database: clocks go forward and back in these nights
        ("Pacific/Auckland", datetime(2026, 9, 26, 12, tzinfo=UTC)),
        ("Pacific/Auckland", datetime(2026, 4, 4, 12, tzinfo=UTC)),
        ("America/New_York", datetime(2026, 3, 8, 5, tzinfo=UTC)),
        ("America/New_York", datetime(2026, 11, 1, 4, tzinfo=UTC)),
    ],
)
def test_the_night_in_which_the_clocks_change_has_no_hour_more_or_less(
    tmp_path: Path, zone: str, night: datetime
) -> None:
    calls = [
        (night, "lines in"), (night, "set long rigger purple 8"),
        (night.replace(hour=night.hour + 3), "raise long rigger"),
        (night.replace(hour=night.hour + 4), "lines out"),
    ]  # fmt: skip

    assert _hours(tmp_path, zone, calls) == pytest.approx(4.0, abs=0.01)


def test_a_boat_that_crosses_zones_goes_on_with_its_trip(tmp_path: Path) -> None:
    start = datetime(2026, 7, 1, 6, tzinfo=UTC)
    first = [(start, "lines in"), (start, "set long rigger purple 8")]
    then = [(start.replace(hour=9), "strike long rigger"), (start.replace(hour=10), "lines out")]

    _hours(tmp_path, "Pacific/Tongatapu", first)
    hours = _hours(tmp_path, "Pacific/Pago_Pago", then)  # a day and 24 hours of the clock away

    assert hours == pytest.approx(4.0, abs=0.01)
    assert run(tmp_path, "trips").out.count("2026-07-01") == 2  # its name and its begin: one trip
