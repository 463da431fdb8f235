"""What the crew saw acknowledged is in the log exactly once, whatever happens to process and network."""

import contextlib
import os
import random
import subprocess
import threading
import time
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

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
    api: BotApi, base: str, small_disk: Path
) -> None:
    bot = BotProcess(base, small_disk)
    bot.start_real()
    api.message(GROUP, 1, "trip start")
    api.wait_for("an answer", lambda: api.sent)
    fill = (small_disk / "fill").open("wb", buffering=0)
    with contextlib.suppress(OSError):
        while fill.write(bytes(4096)):
            pass
    fill.close()
    for number in range(2, 32):
        api.message(GROUP, number, f"note: {number} " + "x" * 2000)
    time.sleep(6.0)
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
