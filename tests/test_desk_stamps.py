"""Entries carry where the boat was: by the instruments, by a phone, or as the track has it."""

from datetime import datetime, timedelta
from pathlib import Path

import pytest

from bot.desk import Desk
from bot.messages import Message
from bot.stamps import Fix, Stamp
from bot.trip.entry import Entry
from tests.builders import at

PHONE, BOAT = (-35.5, 174.5), (-35.0, 174.0)
SOG = Stamp("instruments", sog_kn=7.8, water_c=22.3)


def measured(now: datetime) -> Fix | None:
    """Return a boat that goes north a minute of arc in ten minutes, heard from seven to eight."""
    if not at("07:00") <= now <= at("08:00"):
        return None
    return Fix(now, BOAT[0] + (now - at("07:00")) / timedelta(minutes=600), BOAT[1], stamp=SOG)


def latitude_at(clock: str) -> float:
    fix = measured(at(clock))
    assert fix is not None
    assert fix.latitude is not None
    return fix.latitude


def phone(text: str, clock: str, place_at: str | None = None) -> Message:
    return Message(
        "Ana", at(clock), "telegram", text=text, ref=f"telegram:1:{clock}", latitude=PHONE[0],
        longitude=PHONE[1], place_at=at(place_at) if place_at else None,
    )  # fmt: skip


def last(desk: Desk) -> Entry:
    return max(desk.view().stood, key=lambda entry: entry.id)


def test_of_a_phone_and_the_instruments_the_fresher_place_is_taken(tmp_path: Path) -> None:
    with Desk(tmp_path, instruments=measured) as desk:
        desk.answer(phone("lines in", "07:10", "07:06"))
        old_phone = last(desk)
        desk.answer(phone("birds to port", "09:00", "08:58"))
        only_phone = last(desk)

    assert old_phone.place == pytest.approx((latitude_at("07:10"), BOAT[1]))
    assert old_phone.stamp == SOG
    assert only_phone.place == PHONE
    assert only_phone.stamp == Stamp("shared")


def test_what_happened_before_it_was_said_is_put_where_the_track_was(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        track = [measured(at("07:00") + timedelta(seconds=30 * n)) for n in range(60)]
        desk.keep_track(fix for fix in track if fix is not None)
        desk.say("purple eight on the long rigger", at=at("07:00"))
        desk.say("lines in", at=at("07:01"))
        desk.say("strike long rigger ten minutes ago", at=at("07:20"))
        told_late = last(desk)
        desk.say("that was fifteen minutes ago", at=at("07:20"))
        moved = last(desk)
        desk.say("birds to port", at=at("07:50"))
        beyond = last(desk)

    assert told_late.place == pytest.approx((latitude_at("07:10"), BOAT[1]))
    assert (moved.call.act, moved.at) == ("strike", at("07:05"))
    assert moved.place == pytest.approx((latitude_at("07:05"), BOAT[1]))
    assert beyond.place is None


def test_a_correction_keeps_the_place(tmp_path: Path) -> None:
    with Desk(tmp_path, instruments=measured) as desk:
        desk.say("lines in", at=at("07:00"))
        desk.say("strike long rigger", at=at("07:10"))
        desk.say("no, short corner", at=at("07:15"))
        found = last(desk)

    assert (found.call.position, found.stamp) == ("short corner", SOG)
    assert found.place == pytest.approx((latitude_at("07:10"), BOAT[1]))


def test_stamps_are_the_same_when_the_log_is_opened_again(tmp_path: Path) -> None:
    with Desk(tmp_path, instruments=measured) as desk:
        desk.say("lines in", at=at("07:10"))
        before = desk.view().stood
    with Desk(tmp_path) as desk:
        assert desk.view().stood == before


def test_the_sun_is_that_of_where_the_boat_is(tmp_path: Path) -> None:
    with Desk(tmp_path, instruments=measured) as desk:
        unknown = desk.say("what time is sunset", at=at("06:00"))
        known = desk.say("what time is sunset", at=at("07:30"))
        desk.say("lines in", at=at("07:31"))
        remembered = desk.say("what time is sunset", at=at("09:00"))

    assert "need the boat's position" in unknown.text
    assert "unset" in known.text
    assert known.text.splitlines()[0] == remembered.text.splitlines()[0]
    assert "Moon" in known.text
