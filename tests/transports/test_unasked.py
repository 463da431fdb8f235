"""Reminders over Telegram and the web: they come without a call, and never twice."""

import json
from datetime import UTC, datetime, timedelta
from pathlib import Path

from bot.desk import Desk
from tests.transports.bot_api import BotApi
from tests.transports.conftest import GROUP, SKIPPER, BotProcess
from tests.transports.web_rig import paired, serving_web

REMINDER = "Reminder for Ruta (for "


def test_a_reminder_comes_to_every_chat_of_the_crew_once_over_restarts(
    api: BotApi, bot: BotProcess
) -> None:
    begun = datetime.now(UTC) - timedelta(hours=1)
    with Desk(bot.folder) as desk:
        desk.say("trip start", at=begun)
        desk.say("remind me to check for weed in twenty minutes", crew="Ruta", at=begun)

    bot.start_real()
    api.wait_for("the reminder", lambda: len(api.texts()) >= 2, seconds=60)
    assert bot.stop(60) == 0
    bot.start_real()
    api.message(GROUP, 5, "tally")
    api.wait_for("the tally", lambda: len(api.texts()) >= 3, seconds=60)
    assert bot.stop(60) == 0

    for chat in (GROUP, SKIPPER):
        found = [text for text in api.texts(chat) if text.startswith(REMINDER)]
        assert len(found) == 1
        assert found[0].endswith("Check for weed.")


def test_a_phone_that_comes_later_sees_what_was_said_unasked(tmp_path: Path) -> None:
    (tmp_path / "unasked.txt").write_text("Check the lures for weed.")
    with (
        serving_web(tmp_path) as served,
        paired(served) as client,
        client.stream("GET", "events") as stream,
    ):
        lines = (json.loads(line[6:]) for line in stream.iter_lines() if line.startswith("data: "))
        said = next(line for line in lines if line.get("text"))

    assert (said["who"], said["text"]) == ("deckcall", "Check the lures for weed.")
