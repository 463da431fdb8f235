"""However long a recording takes to be heard, the crew's other calls are answered, and nothing is lost."""

import time

from bot.logbook.recordings import waiting_recordings
from bot.logbook.store import Logbook
from tests.speech.ears import CRASHES, GOOD, HANGS, recorded
from tests.transports.bot_api import BotApi
from tests.transports.conftest import GROUP, BotProcess

VOICE = {"file_unique_id": "v", "duration": 2, "mime_type": "audio/wav"}


def _say(api: BotApi, number: int, seconds: float, **more: object) -> None:
    api.files[f"v{number}"] = recorded(seconds)
    api.message(GROUP, number, voice=VOICE | {"file_id": f"v{number}"} | more)


def _answer_to(api: BotApi, message: int) -> str:
    with api.lock:
        return " | ".join(
            sent["text"]
            for sent in api.sent
            if sent.get("reply_parameters", {}).get("message_id") == message
        )


def test_typed_calls_are_answered_while_a_recording_hangs_which_is_then_given_up_and_kept(
    api: BotApi, bot: BotProcess
) -> None:
    bot.start_hanging(workers=1, queue=1, give_up_s=60.0)
    api.message(GROUP, 1, "lines in")
    api.wait_for("an answer", lambda: _answer_to(api, 1), seconds=60)
    _say(api, 2, HANGS)
    api.message(GROUP, 3, "set long rigger purple eight")
    api.wait_for("an answer to the typed call", lambda: _answer_to(api, 3), seconds=60)
    _say(api, 4, GOOD)
    _say(api, 5, GOOD)
    api.wait_for(
        "the queue to be full", lambda: any(_answer_to(api, n) for n in (4, 5)), seconds=60
    )
    refused, kept = (4, 5) if _answer_to(api, 4) else (5, 4)  # 2 may have stood in the queue yet
    while_hanging = _answer_to(api, 2)
    bot.kill()

    bot.start_hanging(workers=1, queue=5, give_up_s=3.0)
    api.message(GROUP, 6, "tally")
    api.wait_for("all answers", lambda: all(_answer_to(api, n) for n in (2, kept, 6)), seconds=90)

    assert bot.stop(60) == 0
    assert while_hanging == ""
    assert "1 recordings wait already" in _answer_to(api, refused)
    assert "not heard within 3 s" in _answer_to(api, 2)
    assert "kept" in _answer_to(api, 2)
    assert [act for (act,) in bot.entries()] == ["trip_start", "lines_in", "set", "strike"]
    with Logbook.open(bot.folder) as log:
        assert (
            len(waiting_recordings(log)) == 2
        )  # the one that hung, and the one that found no room


def test_after_kill_9_a_recording_that_hung_is_heard_again_and_answered_once(
    api: BotApi, bot: BotProcess
) -> None:
    bot.start_hanging(workers=1, queue=5, give_up_s=2.0)
    _say(api, 1, HANGS)
    api.wait_for("the recording to be fetched", lambda: "getFile" in _asked(api), seconds=60)
    time.sleep(1.0)
    bot.kill()

    bot.start_hanging(workers=1, queue=5, give_up_s=2.0)
    api.wait_for("an answer", lambda: _answer_to(api, 1), seconds=60)
    _say(api, 2, CRASHES)
    _say(api, 3, GOOD)
    api.wait_for("an answer to the last", lambda: _answer_to(api, 3), seconds=60)

    assert bot.stop(60) == 0
    assert "given up" in _answer_to(api, 1)
    assert "broke on that recording" in _answer_to(api, 2)
    assert "trike" in _answer_to(api, 3)
    with Logbook.open(bot.folder) as log:
        assert [len(log.rows("SELECT id FROM messages")), len(waiting_recordings(log))] == [3, 2]


def test_a_recording_that_is_too_long_is_answered_and_not_fetched(
    api: BotApi, bot: BotProcess
) -> None:
    (bot.folder / "deckcall.toml").write_text("[speech]\nmax_s = 5\n", encoding="utf-8")
    bot.start_hanging(workers=1, queue=5, give_up_s=12.0)
    _say(api, 1, GOOD, duration=6)
    api.wait_for("an answer", lambda: _answer_to(api, 1), seconds=60)

    assert "longer than 5 s" in _answer_to(api, 1)
    assert "getFile" not in _asked(api)


def _asked(api: BotApi) -> list[str]:
    with api.lock:
        return [method for method, _ in api.asked]
