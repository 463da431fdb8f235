"""The Telegram bot as a process, over real HTTP against a Bot API server on loopback."""

import sqlite3
import time
from typing import Any

import pytest

from bot.transports.telegram import offer_code
from tests.transports.bot_api import BotApi, Fault, serving
from tests.transports.conftest import GROUP, SKIPPER, BotProcess


def test_a_call_in_the_group_is_logged_and_answered_as_a_reply(
    api: BotApi, bot: BotProcess
) -> None:
    bot.start()
    api.message(GROUP, 5, "strike long rigger", name="Ana", date=1_700_000_000)
    api.wait_for("an answer", lambda: api.sent)

    assert bot.stop() == 0
    assert bot.calls() == [
        (f"telegram:{GROUP}:5", "Ana", "2023-11-14T22:13:20+00:00", "strike long rigger")
    ]
    sent = api.sent[0]
    assert sent["text"].endswith("logged: strike long rigger")
    assert sent["reply_parameters"]["message_id"] == 5
    assert sent["reply_parameters"]["allow_sending_without_reply"] is True


def test_a_late_answer_says_when_the_call_was_made(api: BotApi, bot: BotProcess) -> None:
    bot.start()
    api.message(GROUP, 5, "strike", date=1_700_000_000)
    api.message(GROUP, 6, "fish on")
    api.wait_for("two answers", lambda: len(api.sent) == 2)

    assert api.texts() == [
        "(to the call of 22:13 on 14 November)\nlogged: strike", "logged: fish on",
    ]  # fmt: skip


def test_a_voice_message_is_fetched_and_answered(api: BotApi, bot: BotProcess) -> None:
    bot.start()
    api.files["v1"] = b"x" * 1234
    voice = {"file_id": "v1", "file_unique_id": "v1", "duration": 2, "mime_type": "audio/ogg"}
    api.message(GROUP, 5, voice=voice)
    api.wait_for("an answer", lambda: api.sent)

    assert api.texts() == ["logged: <1234 bytes>"]


@pytest.mark.parametrize("announced", [True, False])
def test_a_recording_that_is_too_large_is_refused_kindly(
    api: BotApi, bot: BotProcess, announced: bool
) -> None:
    bot.start()
    api.files["v1"] = b"x" * 100_001
    voice = {"file_id": "v1", "file_unique_id": "v1", "duration": 2, "mime_type": "audio/ogg"}
    api.message(GROUP, 5, voice=voice | ({"file_size": 100_001} if announced else {}))
    api.wait_for("an answer", lambda: api.sent)

    assert "0.1 MB" in api.texts()[0]
    assert bot.calls() == []


def test_a_recording_that_is_gone_does_not_hold_up_the_rest(api: BotApi, bot: BotProcess) -> None:
    bot.start()
    voice = {"file_id": "gone", "file_unique_id": "g", "duration": 2, "mime_type": "audio/ogg"}
    api.message(GROUP, 5, voice=voice)
    api.files["v2"] = b"ogg"
    api.fail(Fault("download", 404), times=3)
    api.message(GROUP, 6, voice=voice | {"file_id": "v2"})
    api.message(GROUP, 7, "strike")
    api.wait_for("three answers", lambda: len(api.sent) == 3)

    texts = api.texts()
    assert ["no longer has" in text for text in texts] == [True, True, False]


def test_talk_gets_no_answer_and_a_picture_is_no_call(api: BotApi, bot: BotProcess) -> None:
    bot.start()
    api.message(GROUP, 4, "talk")
    api.message(GROUP, 5, photo=[{"file_id": "p", "file_unique_id": "p", "width": 1, "height": 1}])
    api.message(GROUP, 6, "talk", kind="edited_message", edit_date=int(time.time()))
    api.message(GROUP, 7, "/tally@other_bot")
    api.message(GROUP, 8, "/tally@deck_test_bot")
    api.wait_for("an answer", lambda: api.sent)

    assert bot.stop() == 0
    assert api.texts() == ["logged: tally"]


def test_strangers_get_one_polite_line_and_nothing_is_kept(api: BotApi, bot: BotProcess) -> None:
    bot.start()
    for number in range(5):
        api.message(666, number + 1, f"hello {number}", name="Eve")
        api.message(-2002, number + 1, f"strike {number}", user=SKIPPER)
    api.press(666, 3, "b1", "q1", user=666)
    last = api.message(GROUP, 9, "strike")
    api.wait_for("the crew's answer", lambda: "logged: strike" in api.texts())

    assert bot.stop() == 0
    assert len(api.texts(666)) == 1
    assert len(api.texts(-2002)) == 1
    assert [call[3] for call in bot.calls()] == ["strike"]
    assert bot.store("SELECT update_id FROM inbox") == [(last,)]
    assert "Eve" not in bot.stderr


def test_an_empty_list_serves_nobody(api: BotApi, bot: BotProcess) -> None:
    bot.start(crew="")
    api.message(SKIPPER, 1, "strike")
    api.wait_for("a polite line", lambda: api.sent)

    assert bot.stop() == 0
    assert bot.calls() == []
    assert "Nobody is let in" in bot.stderr


def test_a_button_is_answered_once_and_stale_ones_say_so(api: BotApi, bot: BotProcess) -> None:
    bot.start()
    api.message(GROUP, 5, "which one")
    api.wait_for("a question", lambda: api.sent)
    row = api.sent[0]["reply_markup"]["inline_keyboard"][0]
    assert [button["text"] for button in row] == ["First", "Second"]
    bot.kill()
    bot.start()  # buttons outlive the process

    api.press(GROUP, api.sent[0]["made"], row[1]["callback_data"], "q1")
    api.press(GROUP, api.sent[0]["made"], row[0]["callback_data"], "q2")
    api.press(GROUP, api.sent[0]["made"], "nonsense", "q3")
    asked = _answered(api, 3)

    assert bot.stop() == 0
    assert [call[3] for call in bot.calls()] == ["which one", "second"]
    assert ["text" in data for data in asked] == [False, True, True]


def test_a_button_is_stale_after_the_next_call(api: BotApi, bot: BotProcess) -> None:
    bot.start()
    api.message(GROUP, 5, "which one")
    api.message(GROUP, 6, "strike")
    api.wait_for("answers", lambda: len(api.sent) == 2)

    api.press(GROUP, api.sent[0]["made"],
              api.sent[0]["reply_markup"]["inline_keyboard"][0][0]["callback_data"], "q1")  # fmt: skip

    assert "other calls came since" in _answered(api, 1)[0]["text"]


def test_a_proposal_can_be_taken_up_after_others_have_asked_but_not_after_the_log_has_changed(
    api: BotApi, bot: BotProcess
) -> None:
    bot.start()
    api.message(GROUP, 5, "propose")
    api.message(GROUP, 6, "which one")
    api.wait_for("answers", lambda: len(api.sent) == 2)
    done, no = (key["callback_data"] for key in api.sent[0]["reply_markup"]["inline_keyboard"][0])
    api.press(GROUP, api.sent[0]["made"], no, "q1")  # it would answer what was asked since
    api.press(GROUP, api.sent[0]["made"], done, "q2")
    api.wait_for("the swap", lambda: len(api.sent) == 3)
    api.message(GROUP, 7, "propose")
    api.message(GROUP, 8, "strike")
    api.wait_for("answers", lambda: len(api.sent) == 5)
    late = api.sent[3]["reply_markup"]["inline_keyboard"][0][0]["callback_data"]
    api.press(GROUP, api.sent[3]["made"], late, "q3")
    asked = _answered(api, 3)

    assert ["text" in data for data in asked] == [True, False, True]
    assert [call[3] for call in bot.calls()] == [
        "propose",
        "which one",
        "swap",
        "propose",
        "strike",
    ]
    assert bot.stop() == 0


def test_the_report_comes_into_the_chat_as_a_file(api: BotApi, bot: BotProcess) -> None:
    bot.start()
    api.message(GROUP, 5, "trip over")
    api.wait_for("the report", lambda: len(api.sent) == 2)

    assert api.sent[0]["text"] == "Trip ended"
    assert api.sent[1]["method"] == "sendDocument"
    assert api.sent[1]["document"] == b"%PDF of 2026-03-01-ab12cd"
    assert bot.stop() == 0


def test_429_and_broken_connections_delay_an_answer_and_lose_none(
    api: BotApi, bot: BotProcess
) -> None:
    api.fail(Fault("sendMessage", 429, "Too Many Requests", {"retry_after": 1}))
    api.fail(Fault("sendMessage", 502, "Bad Gateway"), times=2)
    api.fail(Fault("sendMessage", 200, drop=True))
    bot.start()
    for number in range(3):
        api.message(GROUP, number + 1, f"strike {number}")
    api.wait_for("three answers", lambda: len(set(api.texts())) == 3)

    unique = list(dict.fromkeys(api.texts()))
    assert unique == ["logged: strike 0", "logged: strike 1", "logged: strike 2"]
    assert len(bot.calls()) == 3


def test_an_answer_that_telegram_refuses_is_sent_plain_then_given_up(
    api: BotApi, bot: BotProcess
) -> None:
    api.fail(Fault("sendMessage", 400, "Bad Request: message thread not found"), times=3)
    bot.start()
    api.message(GROUP, 1, "strike 1")
    api.message(GROUP, 2, "strike 2")
    api.message(GROUP, 3, "strike 3")
    api.wait_for("two answers", lambda: len(api.sent) == 2)

    assert api.texts() == ["logged: strike 2", "logged: strike 3"]
    assert "reply_parameters" not in api.sent[0]


def test_a_long_answer_is_cut_into_messages_that_telegram_takes(
    api: BotApi, bot: BotProcess
) -> None:
    bot.start()
    api.message(GROUP, 1, "long")
    api.wait_for("two messages", lambda: len(api.sent) == 2)

    assert [len(text) <= 4096 for text in api.texts()] == [True, True]
    assert sum(text.count("line") for text in api.texts()) == 1500


def test_the_ids_that_the_settings_want_can_be_asked_for(api: BotApi, bot: BotProcess) -> None:
    bot.start()
    api.message(GROUP, 1, "/me", user=501)
    api.wait_for("an answer", lambda: api.sent)

    assert api.texts() == [f"Your id is 501, this chat's is {GROUP}."]
    assert bot.calls() == []


def test_a_burst_in_a_group_is_answered_within_twenty_messages(
    api: BotApi, bot: BotProcess
) -> None:
    bot.start()
    for number in range(60):
        api.message(GROUP, number + 1, f"strike {number}")
    api.wait_for("all calls answered", lambda: "strike 59" in " ".join(api.texts()))

    assert len(api.sent) <= 20
    told = "\n".join(api.texts())
    assert [f"strike {n}" in told for n in range(60)] == [True] * 60


def test_polling_survives_conflict_refusal_and_garbage(api: BotApi, bot: BotProcess) -> None:
    bot.start()
    api.message(GROUP, 1, "strike 1")
    api.wait_for("an answer", lambda: api.sent)
    api.fail(Fault("getUpdates", 401, "Unauthorized"), times=4)
    api.fail(Fault("getUpdates", 409, "Conflict: terminated by other getUpdates request"))
    api.fail(Fault("getUpdates", 500, "Internal Server Error"))
    api.update({"message": {"message_id": "x", "chat": None}})
    api.message(-2002, 1, "of a stranger", date="today")
    bad = api.message(GROUP, 2, "strike", date="today")
    api.update({"my_chat_member": {}})
    api.message(GROUP, 3, "strike 2")
    api.wait_for("the answer after it", lambda: len(api.sent) == 2)

    assert bot.alive
    assert bot.store("SELECT update_id FROM inbox WHERE state = 'quarantined'") == [(bad,)]
    assert "12345:test-token" not in bot.stderr


def test_a_token_that_never_worked_ends_with_one_line(api: BotApi, bot: BotProcess) -> None:
    api.fail(Fault("getUpdates", 401, "Unauthorized"), times=9)
    bot.start()

    assert bot.wait() == 1
    assert "TransportError: Telegram refuses the token" in bot.stderr
    assert "12345:test-token" not in bot.stderr


def test_a_call_that_makes_the_program_fail_is_set_aside(api: BotApi, bot: BotProcess) -> None:
    bot.start()
    api.message(GROUP, 1, "bug")
    api.message(GROUP, 2, "strike")
    api.wait_for("two answers", lambda: len(api.sent) == 2)

    assert "not logged" in api.texts()[0]
    assert api.texts()[1] == "logged: strike"


def test_a_start_during_an_outage_waits_for_the_signal(bot: BotProcess) -> None:
    other = BotApi()
    with serving(other) as address:
        free = int(address.rsplit(":", 1)[1])
    bot.base = f"http://127.0.0.1:{free}"
    bot.start()
    other.wait_for("attempts", lambda: bot.stderr.count("no news from Telegram") > 2)
    assert bot.alive
    with serving(other, free):
        other.message(GROUP, 1, "strike")
        other.wait_for("an answer", lambda: other.sent, seconds=90)
        assert bot.stop() == 0

    assert [call[3] for call in bot.calls()] == ["strike"]


def test_sigterm_lets_an_answer_under_way_be_finished(api: BotApi, bot: BotProcess) -> None:
    bot.start(slow_s=1.5)
    api.message(GROUP, 1, "strike 1")
    api.message(GROUP, 2, "strike 2")
    api.wait_for("the first to be under way", lambda: bot.calls())
    assert bot.stop() == 0

    assert [call[3] for call in bot.calls()] == ["strike 1"]
    assert api.texts() == ["logged: strike 1"]
    bot.start()
    api.wait_for("the second", lambda: len(api.sent) == 2)
    assert api.texts() == ["logged: strike 1", "logged: strike 2"]


def test_an_inbox_that_another_program_locks_is_waited_for(api: BotApi, bot: BotProcess) -> None:
    bot.start()
    api.message(GROUP, 1, "strike 1")
    api.wait_for("an answer", lambda: api.sent)
    db = sqlite3.connect(bot.folder / "telegram.db", isolation_level=None)
    db.execute("BEGIN EXCLUSIVE")
    api.message(GROUP, 2, "strike 2")
    api.wait_for("attempts", lambda: bot.stderr.count("the inbox cannot be written") > 0)
    db.execute("ROLLBACK")
    db.close()
    api.wait_for("the answer after it", lambda: len(api.sent) == 2)

    assert [call[3] for call in bot.calls()] == ["strike 1", "strike 2"]


def test_a_code_from_the_console_lets_a_chat_in_once(api: BotApi, bot: BotProcess) -> None:
    bot.start(crew="")
    api.wait_for("the bot to poll", lambda: any(m == "getUpdates" for m, _ in api.asked))
    code = offer_code(bot.folder / "telegram.db")
    api.message(-3003, 1, "WRNG-CDEF")
    api.message(-3003, 2, f"/pair {code.lower()}")
    api.message(-3003, 3, "strike")
    api.message(-4004, 1, code)
    api.message(-4004, 2, "strike too")
    api.wait_for("the crew's answer", lambda: "logged: strike" in api.texts(-3003))
    bot.kill()
    bot.start(crew="")
    api.message(-3003, 4, "fish on")
    api.wait_for("the crew's answer", lambda: "logged: fish on" in api.texts(-3003))

    assert [call[3] for call in bot.calls()] == ["strike", "fish on"]
    assert len(api.texts(-4004)) == 1
    assert code.replace("-", "").encode() not in (bot.folder / "telegram.db").read_bytes()


def test_wrong_codes_make_the_right_one_worthless(api: BotApi, bot: BotProcess) -> None:
    bot.start(crew="")
    api.wait_for("the bot to poll", lambda: any(m == "getUpdates" for m, _ in api.asked))
    code = offer_code(bot.folder / "telegram.db")
    for number in range(5):
        api.message(-3003, number + 1, "AAAAAAA" + "ABCDE"[number])
    api.message(-3003, 9, code)
    api.message(-3003, 10, "strike")
    api.wait_for("all confirmed", lambda: not api.updates, seconds=40)

    assert bot.stop() == 0
    assert bot.calls() == []


def test_a_second_bot_on_the_same_log_is_turned_away(bot: BotProcess, api: BotApi) -> None:
    bot.start()
    api.wait_for("the bot to poll", lambda: any(m == "getUpdates" for m, _ in api.asked))
    other = BotProcess(bot.base, bot.folder)
    other.start()

    assert other.wait() == 1
    assert "running here already" in bot.stderr
    other.close()


def test_the_board_is_pinned_once_and_edited_in_place(api: BotApi, bot: BotProcess) -> None:
    bot.start(board=True)
    api.message(GROUP, 1, "strike 1")
    api.wait_for("a board", lambda: "board: 1 calls" in api.texts())
    board = next(sent for sent in api.sent if sent["text"] == "board: 1 calls")
    for number in range(2, 6):
        api.message(GROUP, number, f"strike {number}")
    api.fail(Fault("editMessageText", 429, "Too Many Requests", {"retry_after": 1}))
    api.wait_for("an edit", lambda: "board: 5 calls" in api.texts(), seconds=60)

    edits = [sent for sent in api.sent if sent["method"] == "editMessageText"]
    assert {edit["made"] for edit in edits} == {board["made"]}
    assert len(edits) == 1
    pins = [data for method, data in api.asked if method == "pinChatMessage"]
    assert [int(pin["message_id"]) for pin in pins] == [board["made"]]


def _answered(api: BotApi, count: int) -> list[dict[str, Any]]:
    def found() -> list[dict[str, Any]]:
        return [data for method, data in api.asked if method == "answerCallbackQuery"]

    api.wait_for("buttons answered", lambda: len(found()) >= count)
    return found()
