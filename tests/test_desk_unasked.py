"""The Desk says reminders by itself: once for each channel, over a restart, until the trip ends."""

from datetime import datetime, timedelta
from pathlib import Path

from bot.desk import Desk
from bot.stamps import Fix
from tests.builders import at, message

ASKED = "remind me to check for weed in twenty minutes"


def begun(desk: Desk) -> None:
    desk.say("purple eight on the long rigger", at=at("06:00"))
    desk.say("lines in", at=at("06:05"))


def test_a_reminder_is_promised_said_once_and_survives_a_restart(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        begun(desk)
        reply = desk.say(ASKED, crew="Ruta", at=at("07:00"))
        before = desk.claim_due("chat", at("07:19"))

    with Desk(tmp_path) as desk:
        said = [desk.claim_due("chat", at("07:20")), desk.claim_due("chat", at("07:21"))]
        said += [desk.claim_due("listen", at("07:22"))]
    with Desk(tmp_path) as desk:
        after = desk.claim_due("chat", at("07:25"))

    assert reply.text.splitlines()[-1] == "I will say so at 07:20."
    assert before == ()
    assert said == [
        ("Reminder for Ruta: Check for weed.",),
        (),
        ("Reminder for Ruta: Check for weed.",),
    ]
    assert after == ()


def test_two_desks_of_one_boat_say_it_once_over_a_channel(tmp_path: Path) -> None:
    with Desk(tmp_path) as one, Desk(tmp_path) as other:
        begun(one)
        one.say(ASKED, crew="Ruta", at=at("07:00"))
        found = [desk.claim_due("telegram", at("07:20")) for desk in (one, other, one)]

    assert [len(texts) for texts in found] == [1, 0, 0]


def test_an_undone_note_reminds_of_nothing(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        begun(desk)
        desk.say(ASKED, crew="Ruta", at=at("07:00"))
        desk.say("undo", crew="Ruta", at=at("07:01"))

        assert desk.claim_due("chat", at("07:30")) == ()


def test_after_the_trip_nothing_is_said(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        begun(desk)
        desk.say(ASKED, crew="Ruta", at=at("07:00"))
        desk.say("trip end", at=at("07:10"))

        assert desk.claim_due("chat", at("07:30")) == ()


def test_the_settings_ask_too_and_the_instruments_tell_the_place(tmp_path: Path) -> None:
    (tmp_path / "deckcall.toml").write_text(
        '[instruments]\nkind = "udp"\n[reminders]\nno_position_min = 10\nsunset_min = 60\n'
    )
    sunset_at_hand = at("17:50")  # at 0 N 0 E on that day it sets some minutes after 18:00 UTC

    def measured(now: datetime) -> Fix | None:
        return Fix(now, 0.0, 0.0) if now >= sunset_at_hand else None

    with Desk(tmp_path, instruments=measured) as desk:
        begun(desk)
        lost = desk.claim_due("web", at("06:15"))
        found = desk.claim_due("web", sunset_at_hand + timedelta(minutes=1))

    assert lost == ("No position for 15 min: entries carry no place.",)
    assert len(found) == 1
    assert found[0].startswith("Sunset 18:1")


def test_a_wish_without_a_time_is_asked_for_one(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        begun(desk)
        reply = desk.say("remind me to buy ice", crew="Ruta", at=at("07:00"))

    assert "When?" in reply.text


def test_the_last_time_here_is_told_once_where_it_is_switched_on(tmp_path: Path) -> None:
    bank, off = (-35.05, 174.45), (-35.40, 174.45)
    (tmp_path / "deckcall.toml").write_text("[reminders]\nlast_time_here = true\n", "utf-8")

    def there(desk: Desk, text: str, when: datetime, place: tuple[float, float]) -> None:
        desk.answer(message(text, when=when, latitude=place[0], longitude=place[1]))

    with Desk(tmp_path, clock=lambda: at("20:00")) as desk:
        before = at("07:00") - timedelta(days=9)
        there(desk, "set long rigger purple eight, lines in", before, bank)
        there(desk, "strike long rigger", before + timedelta(hours=1), bank)
        desk.say("trip over", at=before + timedelta(hours=5))
        there(desk, "lines in", at("06:00"), off)
        far = desk.claim_due("chat", at("06:01"))
        there(desk, "birds", at("06:30"), bank)
        stale = desk.claim_due("chat", at("06:40"))
        there(desk, "hooked up on the short rigger", at("07:00"), bank)
        fighting = desk.claim_due("chat", at("07:01"))
        there(desk, "released a wahoo", at("07:20"), bank)
        told = [desk.claim_due(way, at("07:21")) for way in ("chat", "chat", "web")]
        desk.say("trip over", at=at("08:00"))
        there(desk, "lines in", at("16:00"), bank)
        again = desk.claim_due("chat", at("16:01"))

    assert far == stale == fighting == ()
    words = "Last time here, 5 March 2026 08:00: Strike, long rigger, purple 8-inch, not hooked"
    assert [len(one) for one in told] == [1, 0, 1]
    assert told[0][0].casefold().startswith(words.casefold())
    assert again[0].startswith("Last time here, 14 March 2026 07:00: ")
    assert again[0].endswith("1 more strike within 2 nm.")


def test_the_last_time_here_is_off_unless_it_is_switched_on(tmp_path: Path) -> None:
    with Desk(tmp_path, clock=lambda: at("20:00")) as desk:
        for day in (9, 0):
            when = at("07:00") - timedelta(days=day)
            desk.answer(
                message("lines in, strike long rigger", when=when, latitude=1.0, longitude=2.0)
            )
            found = desk.claim_due("chat", when + timedelta(minutes=1))
            desk.say("trip over", at=when + timedelta(hours=2))

    assert found == ()
