"""What the crew saw acknowledged is in the log exactly once, whatever happens to process and network."""

import contextlib
import os
import random
import sqlite3
import subprocess
import threading
import time
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.transports.bot_api import BotApi, Fault
from tests.transports.conftest import GROUP, BotProcess

CALLS = 60


def test_kill_9_at_random_moments_under_load_loses_and_doubles_nothing(
    api: BotApi, bot: BotProcess
) -> None:
    dice = random.Random(20)
    caller = threading.Thread(target=_call, args=(api, CALLS, 0.05))
    bot.start(slow_s=0.02)
    caller.start()
    kills = 0
    while caller.is_alive() or kills < 6:
        time.sleep(dice.uniform(0.3, 1.2))
        bot.kill()
        kills += 1
        bot.start(slow_s=0.02)
    caller.join()

    _each_once(api, bot, CALLS)
    assert kills >= 6


def test_updates_given_twice_are_logged_once(api: BotApi, bot: BotProcess) -> None:
    bot.start()
    for number in range(1, 11):
        update = api.message(GROUP, number, f"strike {number}")
        api.update(dict(api.updates[-1]), update)  # the same update again
    again = dict(api.updates[0])
    again.pop("update_id")
    api.wait_for("all answered", lambda: "strike 10" in "\n".join(api.texts()))
    api.update(again)  # the same message under another update id

    api.message(GROUP, 11, "strike 11")
    _each_once(api, bot, 11)


def test_three_people_calling_through_a_bad_line_lose_nothing(api: BotApi, bot: BotProcess) -> None:
    dice = random.Random(3)
    for method in ("getUpdates", "sendMessage"):
        for status in (502, 500, 429):
            more = {"retry_after": 1} if status == 429 else {}
            api.fail(Fault(method, status, parameters=more))
        api.fail(Fault(method, 200, drop=True))
    bot.start()
    callers = [
        threading.Thread(target=_call, args=(api, 20, dice.uniform(0.05, 0.2), person * 1000))
        for person in range(3)
    ]
    for caller in callers:
        caller.start()
    for caller in callers:
        caller.join()

    logged = _logged(api, bot, 60)
    assert sorted(logged.values()) == [1] * 60


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A file system of its own that is soon full."""
    folder = tmp_path / "disk"
    folder.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", "size=40m", "tmpfs", str(folder)]
    if os.name != "posix" or subprocess.run(mount, capture_output=True).returncode != 0:
        pytest.skip("may not mount a small file system here")
    yield folder
    subprocess.run(["umount", "-l", str(folder)], check=True)


def test_a_full_disk_holds_calls_back_and_loses_none(
    api: BotApi, base: str, small_disk: Path, tmp_path: Path
) -> None:
    bot = BotProcess(base, small_disk, log=tmp_path)
    bot.start_quick()
    api.message(GROUP, 1, "trip start")
    api.wait_for("an answer", lambda: api.sent)
    fill = (small_disk / "fill").open("wb", buffering=0)
    with contextlib.suppress(OSError):
        while fill.write(bytes(4096)):
            pass
    fill.close()
    for number in range(2, 32):
        api.message(GROUP, number, f"note: {number} " + "x" * 2000)
    held_back = ("the inbox cannot be written", "a call waits")
    api.wait_for("attempts", lambda: sum(map(bot.stderr.count, held_back)) > 3)
    held = len(bot.entries())
    (small_disk / "fill").unlink()
    api.wait_for("all calls logged", lambda: len(bot.entries()) == 31, seconds=90)

    assert held < 31
    assert bot.alive
    said = [text.split()[1] for (text,) in bot.entries("text")[1:]]
    answered = Counter(text[:12] for text in api.texts(GROUP) if text.startswith("Noted"))
    assert max(answered.values(), default=1) == 1
    assert said == [str(number) for number in range(2, 32)]
    assert bot.stop(60) == 0
    bot.close()


def test_a_log_that_another_process_holds_is_waited_for(api: BotApi, bot: BotProcess) -> None:
    bot.start_quick()
    api.message(GROUP, 1, "trip start")
    api.wait_for("an answer", lambda: api.sent, seconds=60)
    holder = sqlite3.connect(bot.folder / "deckcall.db", isolation_level=None)
    holder.execute("BEGIN EXCLUSIVE")
    for number in range(2, 7):
        api.message(GROUP, number, f"note: {number}")
    # the log itself has waited for the lock, and given up
    api.wait_for("an attempt", lambda: "a call waits" in bot.stderr)
    held = len(api.texts(GROUP))
    holder.execute("ROLLBACK")
    holder.close()
    api.wait_for("all calls logged", lambda: len(bot.entries()) == 6, seconds=90)

    assert bot.stop(60) == 0
    assert [text for (text,) in bot.entries("text")[1:]] == [f"note: {n}" for n in range(2, 7)]
    assert held <= 2  # the answer and the board from before
    assert bot.store("SELECT count(*) FROM inbox WHERE state != 'done'") == [(0,)]


def test_sigterm_while_a_recording_is_decoded_loses_and_doubles_nothing(
    api: BotApi, bot: BotProcess
) -> None:
    spoken = Path(__file__).parents[2] / "fixtures" / "recordings" / "strike_long_rigger.ogg"
    api.files["v1"] = spoken.read_bytes()
    voice = {"file_unique_id": "v", "duration": 3, "mime_type": "audio/ogg", "file_id": "v1"}
    bot.start_real()
    api.message(GROUP, 1, "trip start")
    api.wait_for("an answer", lambda: api.sent, seconds=60)
    api.message(GROUP, 2, voice=voice)
    api.message(GROUP, 3, "note: after it")
    api.wait_for("the recording to be fetched", lambda: _asked(api, "getFile"), seconds=60)
    time.sleep(0.3)  # the first decode also loads the model, which takes longer
    under_way = bot.store("SELECT count(*) FROM inbox WHERE state = 'waiting'")
    assert bot.stop(60) == 0
    after_end = bot.entries("act")

    bot.start_real()
    api.wait_for("the note", lambda: len(bot.entries()) == 3, seconds=60)
    api.wait_for("both answers", lambda: _replies(api).keys() >= {2, 3}, seconds=60)

    assert bot.stop(60) == 0
    assert under_way == [(2,)]
    assert after_end == [("trip_start",), ("strike",)]  # what was under way was finished and kept
    assert bot.entries("act") == [("trip_start",), ("strike",), ("note",)]
    assert _replies(api) == Counter({1: 1, 2: 1, 3: 1})


def test_a_clock_that_steps_back_changes_neither_order_nor_count(
    api: BotApi, bot: BotProcess
) -> None:
    now = int(time.time())
    bot.start_real()
    api.message(GROUP, 1, "trip start", date=now - 7200)
    api.message(GROUP, 2, "note: first", date=now - 60)
    api.message(GROUP, 3, "note: an hour back", date=now - 3660)
    api.message(GROUP, 4, "note: ahead", date=now + 1800)
    api.message(GROUP, 5, "note: again", date=now - 30)
    api.message(GROUP, 6, "undo", date=now - 3600)
    api.wait_for("an undo", lambda: "Undone" in " ".join(api.texts(GROUP)), seconds=60)

    assert bot.stop(60) == 0
    assert [text for (text,) in bot.entries("text")] == [
        "trip start", "note: first", "note: an hour back", "note: ahead",
    ]  # fmt: skip


def test_a_plain_entry_is_acknowledged_by_a_reaction_where_that_is_set(
    api: BotApi, bot: BotProcess
) -> None:
    (bot.folder / "deckcall.toml").write_text(
        '[telegram]\nacknowledge = "reaction"\nboard = false\n', encoding="utf-8"
    )
    bot.start_real()
    api.message(GROUP, 1, "trip start")
    api.wait_for("a reaction", lambda: _asked(api, "setMessageReaction"), seconds=60)
    api.fail(Fault("setMessageReaction", 400, "Bad Request: REACTION_INVALID"), times=2)
    api.message(GROUP, 2, "lines in")
    api.wait_for("words instead", lambda: api.texts(GROUP))
    api.message(GROUP, 3, "tally")
    api.wait_for("the tally", lambda: len(api.texts(GROUP)) == 2)

    assert bot.stop(60) == 0
    (first, *_) = _asked(api, "setMessageReaction")
    assert int(first["message_id"]) == 1
    assert api.texts(GROUP)[0].startswith("Lines in")
    assert bot.entries() == [("trip_start",), ("lines_in",)]


def _asked(api: BotApi, method: str) -> list[dict[str, Any]]:
    with api.lock:
        return [data for name, data in api.asked if name == method]


def _replies(api: BotApi) -> Counter[int]:
    with api.lock:
        return Counter(
            sent["reply_parameters"]["message_id"]
            for sent in api.sent
            if "reply_parameters" in sent
        )


def _call(api: BotApi, count: int, pause_s: float, first: int = 0) -> None:
    for number in range(first + 1, first + count + 1):
        api.message(GROUP, number, f"strike {number}", name=f"Mate {first}")
        time.sleep(pause_s)


def _logged(api: BotApi, bot: BotProcess, count: int) -> Counter[str]:
    api.wait_for("all calls logged", lambda: len(bot.calls()) >= count, seconds=90)
    time.sleep(0.5)
    return Counter(ref for ref, _, _, _ in bot.calls())


def _each_once(api: BotApi, bot: BotProcess, count: int) -> None:
    logged = _logged(api, bot, count)
    expected = {f"telegram:{GROUP}:{number}": 1 for number in range(1, count + 1)}
    assert dict(logged) == expected
