"""Recordings beside the log: found, kept for as long as the boat wants, removed, heard once more."""

import os
from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from bot.errors import LogbookError
from bot.logbook.recordings import (
    KEPT_OUTCOME,
    again,
    forget,
    purge,
    recording_of,
    recordings,
    retry_ref,
    trip_at,
    waiting_recordings,
)
from bot.logbook.store import Logbook, MessageRecord
from bot.messages import Reply
from tests.builders import at, entry, message

NOW = at("12:00")
SOUND = b"OggS" + bytes(60)


@pytest.fixture
def log(tmp_path: Path) -> Iterator[Logbook]:
    with Logbook.open(tmp_path) as opened:
        yield opened


def _keep(
    log: Logbook, arrived: datetime, outcome: str = "logged", crew: str = "Mate", ref: str = ""
) -> str:
    name = log.new_id()
    heard = Reply("Strike.", heard="strike shotgun", logged=(f"entry-of-{name}",))
    kept = MessageRecord(
        name,
        message(text=None, crew=crew, when=at("07:00"), sound=SOUND, ref=ref or None),
        heard if outcome == "logged" else Reply("Not logged."),
        outcome,
        arrived_at=arrived,
    )
    log.record(kept)
    return name


def _files(log: Logbook) -> int:
    return len(list((log.path.parent / "recordings").glob("*")))


def test_a_recording_tells_who_said_what_and_which_entry_came_of_it(log: Logbook) -> None:
    name = _keep(log, NOW)

    (one,) = recordings(log)

    assert (one.message, one.crew, one.heard, one.said_at) == (
        name,
        "Mate",
        "strike shotgun",
        at("07:00"),
    )
    assert one.entries == (f"entry-of-{name}",)
    assert recording_of(log, f"entry-of-{name}") == one
    assert recording_of(log, name[-8:]) == one


def test_an_end_that_several_ids_have_is_not_guessed(log: Logbook) -> None:
    for _ in range(40):
        _keep(log, NOW)
    ends = [one.message[-1] for one in recordings(log)]
    twice = next(end for end in ends if ends.count(end) > 1)

    with pytest.raises(LogbookError, match="give more of it"):
        recording_of(log, twice)
    assert recording_of(log, "") is None
    assert recording_of(log, "nothing") is None


@pytest.mark.parametrize(
    ("keep_days", "left"),
    [(30, {"new", "waits"}), (60, {"new", "waits", "old", "old waits"}), (0, {"waits"})],
)
def test_recordings_are_removed_when_they_were_kept_for_long_enough(
    log: Logbook, keep_days: int, left: set[str]
) -> None:
    ages = {"new": 29, "old": 31, "waits": 29, "old waits": 31}
    for who, days in ages.items():
        outcome = KEPT_OUTCOME if "waits" in who else "logged"
        _keep(log, NOW - timedelta(days=days), outcome, who)

    count = purge(log, keep_days, NOW)

    assert {one.crew for one in recordings(log)} == left
    assert count == 4 - len(left)
    assert _files(log) == len(left)


def test_old_files_that_the_log_does_not_name_are_removed_too(log: Logbook) -> None:
    _keep(log, NOW)
    for name, days in (("a.ogg", 31), ("b.ogg", 1)):
        path = log.path.parent / "recordings" / name
        path.write_bytes(SOUND)
        stamp = (NOW - timedelta(days=days)).timestamp()
        os.utime(path, (stamp, stamp))

    assert purge(log, 30, NOW) == 1
    assert _files(log) == 2


def test_what_is_forgotten_is_gone_and_its_entry_stays(log: Logbook) -> None:
    _keep(log, NOW, crew="Ana")
    _keep(log, NOW, crew="Ben")

    count = forget(log, [one for one in recordings(log) if one.crew == "Ana"])

    assert count == 1
    assert [one.crew for one in recordings(log)] == ["Ben"]
    assert log.rows("SELECT count(*) FROM messages") == [(2,)]


def test_a_recording_waits_until_it_was_heard_once_more(log: Logbook) -> None:
    name = _keep(log, NOW, KEPT_OUTCOME, "Ana", "telegram:1:2")
    (one,) = waiting_recordings(log)

    said = again(one)
    heard = Reply("Strike.", heard="strike shotgun", logged=("e1",))
    place = one.path.relative_to(log.path.parent).as_posix()
    log.record(MessageRecord(log.new_id(), said, heard, "logged", sound=place))

    assert (said.crew, said.at, said.sound, said.ref) == (
        "Ana",
        at("07:00"),
        SOUND,
        retry_ref(name),
    )
    assert waiting_recordings(log) == ()
    (now,) = recordings(log)
    assert (now.message, now.heard, now.entries) == (name, "strike shotgun", ("e1",))
    assert _files(log) == 1


def test_the_trip_of_a_time_is_the_last_that_had_begun(log: Logbook) -> None:
    for clock in ("06:00", "09:00"):
        record = entry(clock, "trip_start", trip=f"trip {clock}")
        log.record(
            MessageRecord(log.new_id(), message(), Reply(""), "logged", (record,), f"trip {clock}")
        )

    assert trip_at(log, at("05:00")) is None
    assert trip_at(log, at("08:59")) == "trip 06:00"
    assert trip_at(log, at("10:00")) == "trip 09:00"
