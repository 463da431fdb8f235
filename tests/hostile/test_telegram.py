"""A network that fails, and what Telegram sends besides plain words: nothing waits long, nothing doubles."""

import io
from fractions import Fraction
from typing import Any

import av
import numpy as np

from bot.speech.audio import to_pcm
from bot.transports.telegram.updates import PersonMessage, read
from tests.transports.bot_api import BotApi, Fault
from tests.transports.conftest import GROUP, BotProcess

VOICE = {"file_unique_id": "v", "duration": 2, "mime_type": "audio/ogg"}


def _say(api: BotApi, number: int) -> None:
    api.files[f"v{number}"] = b"OggS" + bytes([number]) * 100
    api.message(GROUP, number, voice=VOICE | {"file_id": f"v{number}"})


def _answered(api: BotApi, message: int) -> list[dict[str, Any]]:
    with api.lock:
        sent = list(api.sent)
    return [one for one in sent if one.get("reply_parameters", {}).get("message_id") == message]


def test_typed_calls_overtake_a_recording_that_cannot_be_fetched(
    api: BotApi, bot: BotProcess
) -> None:
    bot.start()
    api.message(GROUP, 1, "lines in")
    api.wait_for("an answer", lambda: _answered(api, 1))
    api.fail(Fault("download", 502), times=40)
    _say(api, 2)
    api.message(GROUP, 3, "set long rigger purple eight")
    api.wait_for("the typed call to overtake", lambda: _answered(api, 3), seconds=8)
    overtaken = not _answered(api, 2)
    api.message(GROUP, 4, "strike long rigger")
    api.wait_for("the next one at once", lambda: _answered(api, 4), seconds=3)
    with api.lock:
        api.faults.clear()
    api.wait_for("the recording to come at last", lambda: _answered(api, 2), seconds=60)

    assert overtaken
    assert bot.stop() == 0
    assert [said for _, _, _, said in bot.calls()].count("<104 bytes>") == 1


def test_a_recording_that_cannot_be_fetched_survives_a_kill(api: BotApi, bot: BotProcess) -> None:
    bot.start()
    api.fail(Fault("download", 502), times=40)
    _say(api, 1)
    api.message(GROUP, 2, "strike")
    api.wait_for("the typed call to overtake", lambda: _answered(api, 2), seconds=15)
    bot.kill()
    with api.lock:
        api.faults.clear()
    bot.start()
    api.wait_for("the recording to be answered", lambda: _answered(api, 1))

    assert bot.stop() == 0
    assert sorted(said for _, _, _, said in bot.calls()) == ["<104 bytes>", "strike"]


def test_one_400_is_asked_again(api: BotApi, bot: BotProcess) -> None:
    # core.telegram.org/bots/api: "wrong file_id or the file is temporarily unavailable" is one 400
    bot.start()
    api.fail(
        Fault("getFile", 400, "Bad Request: wrong file_id or the file is temporarily unavailable")
    )
    _say(api, 1)
    api.wait_for("an answer", lambda: _answered(api, 1))

    assert "logged: <104 bytes>" in _answered(api, 1)[0]["text"]
    assert bot.stop() == 0


def test_a_recording_that_is_gone_for_good_is_told_once(api: BotApi, bot: BotProcess) -> None:
    bot.start()
    api.message(GROUP, 1, voice=VOICE | {"file_id": "nothing"})
    api.wait_for("an answer", lambda: _answered(api, 1), seconds=30)

    assert len(_answered(api, 1)) == 1
    assert "no longer has that recording" in _answered(api, 1)[0]["text"]
    assert bot.stop() == 0


def test_edits_in_quick_succession_make_one_answer(api: BotApi, bot: BotProcess) -> None:
    bot.start()
    api.message(GROUP, 1, "strike long riger", date=1_800_000_000)
    api.wait_for("an answer", lambda: _answered(api, 1))
    for second, text in enumerate(
        ("strike long rigge", "strike long rigger", "strike long rigger!"), 1
    ):
        api.message(GROUP, 1, text, kind="edited_message", date=1_800_000_000,
                    edit_date=1_800_000_000 + second)  # fmt: skip
    api.wait_for("the answer to the last edit", lambda: len(_answered(api, 1)) > 1)
    api.message(GROUP, 2, "tally")
    api.wait_for("an answer to the next call", lambda: _answered(api, 2))

    assert [one["text"] for one in _answered(api, 1)][1:] == ["corrected: strike long rigger!"]
    assert bot.stop() == 0
    assert bot.store("SELECT count(*) FROM inbox WHERE state != 'done'") == [(0,)]


def test_answers_go_to_the_topic_of_a_forum(api: BotApi, bot: BotProcess) -> None:
    # core.telegram.org/bots/api: message_thread_id, is_topic_message
    bot.start()
    api.message(GROUP, 1, "strike", message_thread_id=44, is_topic_message=True)
    api.message(GROUP, 2, "strike", message_thread_id=1)
    api.wait_for("answers", lambda: _answered(api, 1) and _answered(api, 2))

    assert int(_answered(api, 1)[0]["message_thread_id"]) == 44
    assert "message_thread_id" not in _answered(api, 2)[0]
    assert bot.stop() == 0


def test_the_words_under_a_photo_are_the_call(api: BotApi, bot: BotProcess) -> None:
    bot.start()
    photo = [{"file_id": "p", "file_unique_id": "p", "width": 9, "height": 9}]
    api.message(GROUP, 1, caption="boated a wahoo", photo=photo)
    api.message(GROUP, 2, photo=photo)
    api.message(GROUP, 3, "strike")
    api.wait_for("answers", lambda: _answered(api, 1) and _answered(api, 3))

    assert [said for _, _, _, said in bot.calls()] == ["boated a wahoo", "strike"]
    assert bot.stop() == 0


def test_a_round_video_is_a_recording(api: BotApi, bot: BotProcess) -> None:
    bot.start()
    api.files["r1"] = _round_video()
    note = {"file_id": "r1", "file_unique_id": "r", "length": 240, "duration": 2}
    api.message(GROUP, 1, video_note=note)
    api.wait_for("an answer", lambda: _answered(api, 1))

    assert f"<{len(api.files['r1'])} bytes>" in _answered(api, 1)[0]["text"]
    assert abs(to_pcm(api.files["r1"]).seconds - 1.0) < 0.2
    assert bot.stop() == 0


def test_words_under_a_recording_do_not_take_its_place() -> None:
    body = {
        "message_id": 1, "date": 1_800_000_000, "chat": {"id": 5, "type": "private"},
        "from": {"id": 5, "is_bot": False, "first_name": "Ana"}, "caption": "listen to this",
        "voice": VOICE | {"file_id": "v"},
    }  # fmt: skip
    said = read({"update_id": 1, "message": body})

    assert isinstance(said, PersonMessage)
    assert said.text is None
    assert said.file is not None


def _round_video() -> bytes:
    """Make a second of picture and tone in an MP4, as phones send round videos."""
    out = io.BytesIO()
    with av.open(out, "w", format="mp4") as file:
        sound = file.add_stream("aac", rate=16_000)
        tone = np.sin(np.arange(16_000) * 2 * np.pi * 440 / 16_000).astype(np.float32)[None, :] / 2
        for start in range(0, 16_000, 1024):
            frame = av.AudioFrame.from_ndarray(tone[:, start : start + 1024], "fltp", "mono")
            frame.sample_rate, frame.pts, frame.time_base = 16_000, start, Fraction(1, 16_000)
            file.mux(sound.encode(frame))
        file.mux(sound.encode(None))
    return out.getvalue()
