"""Ids. Outside check: RFC 9562, section 5.7 (layout of UUID version 7)."""

import uuid
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

from bot.logbook.ids import Ids, trip_id


def test_ids_are_uuids_of_version_7_with_the_time_in_front() -> None:
    before = datetime.now(UTC).timestamp()
    made = uuid.UUID(Ids().new())
    after = datetime.now(UTC).timestamp()

    # RFC 9562, 5.7: 48 bits of Unix time in ms, version 7, variant 10
    assert made.version == 7
    assert made.variant == uuid.RFC_4122
    assert int(before * 1000) <= made.int >> 80 <= after * 1000


def test_ids_are_unique_and_in_the_order_of_making() -> None:
    ids = Ids()

    made = [ids.new() for _ in range(20_000)]

    assert made == sorted(set(made))


def test_ids_go_on_upwards_when_the_clock_has_gone_back() -> None:
    ahead = "f1a2120b-31fb-7521-96a2-c4fae0a6e8cc"
    ids = Ids(ahead)

    made = [ids.new() for _ in range(1000)]

    assert [ahead, *made] == sorted({ahead, *made})
    assert all(uuid.UUID(one).version == 7 for one in made)


def test_a_trip_is_named_by_the_boats_own_day() -> None:
    first = "01a2120b-31fb-7521-96a2-c4fae0a6e8cc"
    evening = datetime(2026, 3, 14, 19, 40, tzinfo=UTC)

    assert trip_id(first, evening) == "2026-03-14-a6e8cc"
    assert trip_id(first, evening, ZoneInfo("Pacific/Auckland")) == "2026-03-15-a6e8cc"
