"""Whatever is said, in whatever order and at whatever times: it is answered, kept, and can be taken back."""

import sqlite3
import tempfile
from datetime import UTC, datetime, timedelta
from pathlib import Path

from hypothesis import HealthCheck, given, settings, strategies as st

from bot import Desk
from bot.messages import Message
from bot.trip.fold import fold
from bot.trip.history import standing_entries

DAY = datetime(2026, 3, 14, 6, 0, tzinfo=UTC)
LINES = (
    "trip start", "lines in", "lines out", "trip end", "set long rigger purple eight",
    "set shotgun pink six", "swap long rigger for black ten", "clear the shotgun",
    "strike long rigger", "strike shotgun, black twelve", "strike", "hooked up", "fish on",
    "missed it", "pulled the hook", "broke off", "boated a wahoo, 12 kilos",
    "released a striped marlin, tagged", "raised a blue on the short corner", "undo", "undo that",
    "no, long corner", "that was ten minutes ago", "twenty minutes ago, strike shotgun", "yes",
    "no", "first", "second", "do it", "tally", "what's out", "what next", "why", "last strike",
    "what's ready", "plan a spread", "sunset", "help", "speed eight", "birds and bait",
    "strike long rigger, hooked up, boated a tuna", "pass the sandwiches",
)  # fmt: skip

said = st.one_of(st.sampled_from(LINES), st.sampled_from(LINES), st.text(max_size=40))
talk = st.lists(st.tuples(said, st.integers(-30, 240)), min_size=1, max_size=14)


def rows(home: Path, sql: str) -> list[tuple[object, ...]]:
    db = sqlite3.connect(home / "deckcall.db")
    try:
        return db.execute(sql).fetchall()
    finally:
        db.close()


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(talk)
def test_everything_is_kept_and_every_entry_is_one_that_a_reply_named(
    spoken: list[tuple[str, int]],
) -> None:
    with tempfile.TemporaryDirectory() as folder:
        home, now = Path(folder), DAY
        named: list[str] = []
        with Desk(home) as desk:
            for text, minutes in spoken:
                now += timedelta(minutes=minutes)
                reply = desk.say(text, crew="Mate", at=now)
                named += reply.logged
                assert reply.text or not reply.logged

        assert rows(home, "SELECT count(*) FROM messages") == [(len(spoken),)]
        assert sorted(named) == [
            name for (name,) in rows(home, "SELECT id FROM entries ORDER BY id")
        ]


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(talk)
def test_a_desk_opened_anew_knows_the_same_trip(spoken: list[tuple[str, int]]) -> None:
    with tempfile.TemporaryDirectory() as folder:
        home, now = Path(folder), DAY
        with Desk(home) as desk:
            for text, minutes in spoken:
                now += timedelta(minutes=minutes)
                desk.say(text, at=now)
            before = desk.view(now)
        with Desk(home) as desk:
            after = desk.view(now)

    assert after.trip == before.trip
    assert after.trip == fold(standing_entries(after.records))


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(talk)
def test_undoing_often_enough_leaves_nothing_of_the_last_trip_standing(
    spoken: list[tuple[str, int]],
) -> None:
    with tempfile.TemporaryDirectory() as folder:
        home, now = Path(folder), DAY
        with Desk(home) as desk:
            for text, minutes in spoken:
                now += timedelta(minutes=abs(minutes) % 20)
                desk.say(text, at=now)
            desk.say("no", at=now)  # an open question would take the first undo
            for _ in range(len(spoken) * 2 + 2):
                now += timedelta(seconds=5)
                if desk.say("undo", at=now).text == "There is nothing to undo.":
                    break

        stand = "SELECT count(*) FROM entries WHERE void = 0 AND trip = "
        last = "(SELECT id FROM trips ORDER BY seq DESC LIMIT 1)"
        assert rows(home, f"{stand}{last}") == [(0,)]


@settings(max_examples=10, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(talk)
def test_a_day_that_is_delivered_twice_is_logged_once(spoken: list[tuple[str, int]]) -> None:
    with tempfile.TemporaryDirectory() as folder:
        home, now = Path(folder), DAY
        messages = []
        for number, (text, minutes) in enumerate(spoken):
            now += timedelta(minutes=minutes)
            messages.append(Message("Mate", now, "telegram", text=text, ref=f"telegram:1:{number}"))
        with Desk(home) as desk:
            first = [desk.answer(message) for message in messages]
            once = rows(home, "SELECT * FROM entries")
            again = [desk.answer(message) for message in messages]

        assert [reply.text for reply in again] == [reply.text for reply in first]
        assert rows(home, "SELECT * FROM entries") == once
