"""The program itself on Telegram: the real Desk, real recordings, a real log."""

import random
import threading
import time
from collections import Counter
from pathlib import Path

from bot.transports.telegram.board import END_LINE
from tests.transports.bot_api import BotApi
from tests.transports.conftest import GROUP, SKIPPER, BotProcess

RECORDINGS = Path(__file__).parents[2] / "fixtures" / "recordings"
VOICE = {"file_unique_id": "v", "duration": 3, "mime_type": "audio/ogg"}


def test_typed_and_spoken_calls_become_entries_with_their_speakers(
    api: BotApi, bot: BotProcess
) -> None:
    bot.start_real()
    spoken = RECORDINGS / "strike_long_rigger.ogg"
    api.files["v1"] = spoken.read_bytes()
    api.message(GROUP, 1, "trip start", name="Ana")
    api.message(GROUP, 2, "lines in", name="Ana")
    api.message(GROUP, 3, "set long rigger purple eight", name="Ben")
    api.message(GROUP, 4, name="Cleo", voice=VOICE | {"file_id": "v1"})
    api.message(GROUP, 5, "what a lovely sunrise that was, lads", name="Ben")
    api.message(GROUP, 6, "tally", name="Ana")
    api.wait_for("the tally", lambda: _answers_to(api, 6), seconds=90)
    api.wait_for("the spoken call", lambda: _answers_to(api, 4), seconds=90)

    assert bot.stop(60) == 0
    found = bot.entries("act, position, size_in, colours, crew, source")
    assert found == [
        ("trip_start", None, None, None, "Ana", "telegram"),
        ("lines_in", None, None, None, "Ana", "telegram"),
        ("set", "long rigger", 8, "purple", "Ben", "telegram"),
        ("strike", "long rigger", 8, "purple", "Cleo", "telegram"),
    ]
    assert _answers_to(api, 4)[0].startswith("Strike, long rigger")
    assert _answers_to(api, 5) == []


def test_kill_9_with_the_real_desk_logs_each_call_once(api: BotApi, bot: BotProcess) -> None:
    dice = random.Random(7)
    api.message(GROUP, 1, "trip start")
    api.message(GROUP, 2, "lines in")

    def call() -> None:
        for number in range(3, 43):
            api.message(GROUP, number, f"note: call number {number}")
            time.sleep(0.12)

    caller = threading.Thread(target=call)
    bot.start_real()
    caller.start()
    kills = started_before = 0
    while caller.is_alive() or kills < 4:
        time.sleep(dice.uniform(1.0, 2.5))
        bot.kill()
        kills += 1
        started_before = bot.stderr.count("Listening as")
        bot.start_real()
    caller.join()
    api.wait_for("all calls logged", lambda: len(bot.entries()) >= 42, seconds=90)
    # the one that was started last may not be up yet: it would die of the signal instead of ending
    api.wait_for("the last start", lambda: bot.stderr.count("Listening as") > started_before)

    assert bot.stop(60) == 0
    assert kills >= 4
    said = Counter(text for (text,) in bot.entries("text"))
    assert said == Counter(
        ["trip start", "lines in", *(f"note: call number {n}" for n in range(3, 43))]
    )


def test_a_damaged_recording_is_answered_and_the_bot_goes_on(api: BotApi, bot: BotProcess) -> None:
    bot.start_real()
    api.files["bad"] = b"OggS" + bytes(3000)
    api.message(GROUP, 1, voice=VOICE | {"file_id": "bad"})
    api.message(GROUP, 2, "trip start")
    api.wait_for("the answer after it", lambda: _answers_to(api, 2), seconds=60)
    api.wait_for("its own answer", lambda: _answers_to(api, 1), seconds=60)

    assert len(_answers_to(api, 1)) == 1
    assert bot.entries() == [("trip_start",)]


def test_the_board_of_the_trip_is_pinned_and_follows_it(api: BotApi, bot: BotProcess) -> None:
    bot.start_quick()
    api.message(GROUP, 1, "trip start")
    api.wait_for("a board", lambda: any(m == "pinChatMessage" for m, _ in api.asked), seconds=60)
    api.message(GROUP, 2, "lines in")
    api.message(GROUP, 3, "set long rigger purple eight")
    api.wait_for("an edit", lambda: _edits(api), seconds=60)

    assert "long rigger: purple 8-inch" in _edits(api)[-1]


def test_a_trip_that_is_ended_in_a_private_chat_ends_the_board_of_the_group(
    api: BotApi, bot: BotProcess
) -> None:
    bot.start_quick()
    api.message(GROUP, 1, "trip start")
    api.wait_for("a board", lambda: any(m == "pinChatMessage" for m, _ in api.asked), seconds=60)
    api.message(SKIPPER, 2, "trip end")
    api.wait_for("the last edit", lambda: END_LINE in _edits(api), seconds=60)


def test_a_guest_may_ask_and_log_nothing(api: BotApi, bot: BotProcess) -> None:
    (bot.folder / "deckcall.toml").write_text("[telegram]\nguests = [88]\n", encoding="utf-8")
    bot.start_real()
    api.message(GROUP, 1, "trip start")
    api.message(88, 1, "strike long rigger", name="Guest")
    api.message(88, 2, "first", name="Guest")
    api.message(88, 3, name="Guest", voice=VOICE | {"file_id": "v1"})
    api.message(88, 4, "tally", name="Guest")
    api.wait_for("answers to the guest", lambda: len(api.texts(88)) == 4, seconds=60)

    assert ["Guests may ask" in text for text in api.texts(88)] == [True, True, True, False]
    assert bot.entries() == [("trip_start",)]


def _answers_to(api: BotApi, message: int) -> list[str]:
    with api.lock:
        return [
            sent["text"]
            for sent in api.sent
            if sent.get("reply_parameters", {}).get("message_id") == message
        ]


def _edits(api: BotApi) -> list[str]:
    with api.lock:
        return [sent["text"] for sent in api.sent if sent["method"] == "editMessageText"]
