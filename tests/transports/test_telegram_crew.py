"""Edits, two callers, roles and shared positions: the program itself on Telegram, over real HTTP."""

import json
import time
from pathlib import Path

from tests.transports.bot_api import BotApi
from tests.transports.conftest import GROUP, BotProcess, _rows

ANA, BO, CY = 501, 502, 503


def edit(api: BotApi, message: int, text: str, date: int, after_s: int = 20) -> int:
    return api.message(GROUP, message, text, date=date, kind="edited_message",
                       edit_date=date + after_s, user=ANA, name="Ana")  # fmt: skip


def test_an_edited_message_amends_its_entry_and_is_answered_as_a_reply(
    api: BotApi, bot: BotProcess
) -> None:
    bot.start_quick()
    now = int(time.time())
    api.message(GROUP, 1, "trip start", date=now - 600, user=ANA, name="Ana")
    api.message(GROUP, 2, "strike long rigger", date=now - 300, user=ANA, name="Ana")
    edit(api, 2, "strike short corner", now - 300)
    api.message(GROUP, 3, "note: done", user=ANA, name="Ana")
    api.wait_for("the answers", lambda: len(api.texts(GROUP)) >= 4, seconds=60)

    assert bot.stop(60) == 0
    when = time.strftime("%Y-%m-%dT%H:%M:%SZ", time.gmtime(now - 300))
    assert ("strike", "short corner", when, "Ana") in bot.entries("act, position, at, crew")
    assert len(bot.entries()) == 3
    assert any("Corrected: strike, short corner" in text for text in api.texts(GROUP))


def test_edits_out_of_order_and_given_again_end_at_the_last_one(
    api: BotApi, bot: BotProcess
) -> None:
    bot.start_quick()
    now = int(time.time()) - 600
    api.message(GROUP, 1, "trip start", date=now, user=ANA, name="Ana")
    edit(api, 2, "strike short corner", now + 60, after_s=40)  # before its message
    edit(api, 2, "strike shotgun", now + 60, after_s=10)  # an older one after it
    api.message(GROUP, 2, "strike long rigger", date=now + 60, user=ANA, name="Ana")
    again = edit(api, 2, "strike short corner", now + 60, after_s=40)
    api.update(dict(api.updates[-1]), again)
    api.message(GROUP, 3, "note: done", user=ANA, name="Ana")
    api.wait_for("the last answer", lambda: "done" in " ".join(api.texts(GROUP)), seconds=60)

    assert bot.stop(60) == 0
    assert bot.entries("act, position") == [
        ("trip_start", None), ("strike", "short corner"), ("note", None),
    ]  # fmt: skip


def test_kill_9_between_a_message_and_its_edit_leaves_one_entry(
    api: BotApi, bot: BotProcess
) -> None:
    now = int(time.time()) - 600
    api.message(GROUP, 1, "trip start", date=now, user=ANA, name="Ana")
    bot.start_quick()
    for number in range(2, 12):
        api.message(GROUP, number, f"note: draft {number}", date=now + number)
        edit(api, number, f"note: final {number}", now + number)
        if number % 3 == 0:
            time.sleep(1.2)
            bot.kill()
            bot.start_quick()
    api.wait_for("all edited", lambda: _finals(bot) == 10, seconds=90)

    assert bot.stop(60) == 0
    assert sorted(text for (text,) in bot.entries("text")[1:]) == sorted(
        f"note: final {number}" for number in range(2, 12)
    )


def test_two_people_who_call_one_strike_make_one_entry(api: BotApi, bot: BotProcess) -> None:
    bot.start_real()
    now = int(time.time())
    api.message(GROUP, 1, "trip start", date=now - 300, user=ANA, name="Ana")
    api.message(GROUP, 2, "strike long rigger", date=now - 40, user=ANA, name="Ana")
    api.message(GROUP, 3, "strike long rigger", date=now - 10, user=BO, name="Bo")
    api.wait_for("an answer to the second", lambda: "Already logged by Ana" in " ".join(
        api.texts(GROUP)), seconds=60)  # fmt: skip

    assert bot.stop(60) == 0
    assert bot.entries("act, crew") == [("trip_start", "Ana"), ("strike", "Ana, Bo")]


def test_two_of_the_same_first_name_are_two_people(api: BotApi, bot: BotProcess) -> None:
    bot.start_real()
    now = int(time.time())
    ana = {"first_name": "Ana", "is_bot": False}
    api.message(GROUP, 1, "trip start", date=now - 300, user=ANA, name="Ana")
    api.message(GROUP, 2, "strike long rigger", date=now - 40, user=ANA, name="Ana")
    api.message(GROUP, 3, "strike long rigger", date=now - 10,
                **{"from": ana | {"id": BO, "last_name": "Bell"}})  # fmt: skip
    api.wait_for("an answer to the second", lambda: "Already logged by Ana" in " ".join(
        api.texts(GROUP)), seconds=60)  # fmt: skip
    api.message(GROUP, 4, "note: hers", **{"from": ana | {"id": CY, "last_name": "Brown"}})
    api.wait_for("an answer to the third", lambda: "hers" in " ".join(api.texts(GROUP)), seconds=60)

    assert bot.stop(60) == 0
    assert bot.entries("act, crew") == [
        ("trip_start", "Ana"), ("strike", "Ana, Ana B"), ("note", "Ana Brown"),
    ]  # fmt: skip


def test_where_skippers_are_listed_only_they_take_back_what_others_logged(
    api: BotApi, bot: BotProcess
) -> None:
    (bot.folder / "deckcall.toml").write_text(f"[telegram]\nskippers = [{CY}]\n", encoding="utf-8")
    bot.start_real()
    api.message(GROUP, 1, "trip start", user=ANA, name="Ana")
    api.message(GROUP, 2, "strike long rigger", user=ANA, name="Ana")
    api.message(GROUP, 3, "undo", user=BO, name="Bo")
    api.wait_for("a refusal", lambda: "Ana logged that" in " ".join(api.texts(GROUP)), seconds=60)
    assert bot.entries() == [("trip_start",), ("strike",)]
    api.message(GROUP, 4, "undo", user=CY, name="Cy")
    api.wait_for("an undo", lambda: "Undone: strike" in " ".join(api.texts(GROUP)))

    assert bot.entries() == [("trip_start",)]


def test_a_shared_place_is_stamped_on_entries_while_it_is_fresh(
    api: BotApi, bot: BotProcess
) -> None:
    bot.start_real()
    now = int(time.time())
    first = {"latitude": -36.5, "longitude": 175.25, "live_period": 900}
    api.message(GROUP, 1, "trip start", date=now - 1800)
    api.message(GROUP, 2, date=now - 1500, location=first)
    api.message(GROUP, 3, "note: here", date=now - 1480)
    api.message(GROUP, 2, date=now - 1500, kind="edited_message", edit_date=now - 1300,
                location=first | {"latitude": -36.6})  # fmt: skip
    api.message(GROUP, 4, "mark this spot", date=now - 1290)
    api.message(GROUP, 5, "note: much later", date=now)
    api.wait_for("all answered", lambda: len(bot.entries()) == 4, seconds=60)

    assert bot.stop(60) == 0
    places = [
        (body.get("latitude"), body.get("longitude"))
        for body in (json.loads(text) for text in _bodies(bot.folder))
    ]
    assert places == [(None, None), (-36.5, 175.25), (-36.6, 175.25), (None, None)]
    assert bot.store("SELECT latitude, longitude FROM places") == [(-36.6, 175.25)]


def _finals(bot: BotProcess) -> int:
    return sum("final" in text for (text,) in bot.entries("text"))


def _bodies(home: Path) -> list[str]:
    query = "SELECT body FROM records WHERE kind = 'entry' ORDER BY seq"
    return [body for (body,) in _rows(home / "deckcall.db", query)]
