"""What becomes of calls when things go wrong: the fault table, each row counted anew.

The program itself runs as a process over real HTTP on loopback against a Bot API server that loses,
repeats, refuses and goes away. A call is acknowledged when the crew was sent an answer to it; what was
acknowledged must be in the log exactly once, and what was called must get there.
"""

import argparse
import asyncio
import contextlib
import os
import random
import sqlite3
import subprocess
import tempfile
import time
from collections.abc import Awaitable, Callable, Iterator, Mapping
from pathlib import Path
from typing import Final

from bot.bench.crews_server import CUT
from bot.bench.faults_rig import FIRST, GROUP, FaultRow, Rig, words

Scenario = Callable[[Rig, float], Awaitable[None]]
"""Plays one fault; the number scales how long it goes on."""
RECORDING: Final = Path("fixtures/recordings/strike_long_rigger.ogg")


def main(argv: list[str]) -> int:
    """Print the table; ends with 1 where a call was lost or doubled."""
    parser = argparse.ArgumentParser(prog="python -m bot.bench faults", description=__doc__)
    parser.add_argument("--only", help="one fault, by a part of its name")
    parser.add_argument("--scale", type=float, default=1.0, help="0.1 for a tenth of the calls")
    args = parser.parse_args(argv)
    print("| fault | sent | acknowledged | logged once | lost | doubled |")
    print("| --- | --: | --: | --: | --: | --: |")
    bad = 0
    for name, scenario in FAULTS.items():
        if args.only and args.only not in name:
            continue
        found = asyncio.run(_play(scenario, args.scale))
        if found is None:
            print(f"| {name} | not possible here | | | | |", flush=True)
            continue
        print(f"| {name} | {found.sent} | {found.acknowledged} | {found.once} | {found.lost}"
              f" | {found.doubled} |", flush=True)  # fmt: skip
        bad += found.lost + found.doubled + (found.acknowledged > found.once)
    return 1 if bad else 0


async def _play(scenario: Scenario, scale: float) -> FaultRow | None:
    with tempfile.TemporaryDirectory() as folder, _disk(Path(folder), scenario) as home:
        if home is None:
            return None
        rig = Rig(home)
        await rig.server.start()
        try:
            await scenario(rig, scale)
            await rig.until_answered()
            await rig.stop()
            spoken = _spoken(rig)
            return rig.counted() if spoken is None else spoken
        finally:
            await rig.kill()
            await rig.server.stop()


async def _quiet(rig: Rig, scale: float) -> None:
    """Let three people make five calls a second each for a minute; nothing goes wrong."""
    await rig.start()
    await _several(rig, int(300 * scale), 0.2)


async def _several(rig: Rig, each: int, gap_s: float) -> None:
    async def one(user: int) -> None:
        for _ in range(each):
            rig.call(user)
            await asyncio.sleep(gap_s)

    await asyncio.gather(*(one(user) for user in (501, 502, 503)))


async def _killed(rig: Rig, scale: float) -> None:
    dice, kills = random.Random(5), max(1, int(25 * scale))
    await rig.start()

    async def calls() -> None:
        for _ in range(int(200 * scale)):
            rig.call()
            await asyncio.sleep(0.25)

    calling = asyncio.create_task(calls())
    for _ in range(kills):
        await asyncio.sleep(dice.uniform(0.5, 4.0))
        await rig.kill()
        await rig.start()
    await calling


async def _bad_line(rig: Rig, scale: float) -> None:
    await rig.start()
    for status in (502, CUT, 500, 429) * 3:
        rig.server.faults += [("getUpdates", status), ("sendMessage", status)]
        await _several(rig, max(1, int(5 * scale)), 0.2)


async def _outage(rig: Rig, scale: float) -> None:
    """Start without a signal, make calls meanwhile, and take the signal away once more in the middle."""
    await rig.server.stop()
    await rig.start()
    for _ in range(int(20 * scale)):
        rig.call()
    await asyncio.sleep(8)
    await rig.server.start()
    for _ in range(int(20 * scale)):
        rig.call()
        await asyncio.sleep(0.1)
    await rig.server.stop()
    await asyncio.sleep(8)
    await rig.server.start()


async def _repeated(rig: Rig, scale: float) -> None:
    await rig.start()
    for _ in range(int(50 * scale)):
        rig.call()
        last = dict(rig.server.waiting[-1])
        number = last.pop("update_id")
        rig.server.give(last, number)  # the same update again
        rig.server.give(last)  # the same message under another number
        await asyncio.sleep(0.05)


async def _edited(rig: Rig, scale: float) -> None:
    """Make each call wrong and then edit it, with kills in between and edits that come first."""
    dice, now = random.Random(8), int(time.time()) - 600
    await rig.start()
    for number in range(int(30 * scale)):
        edit = {"message_id": 10 * (number + 1), "date": now + number, "name": "Mate501"}
        if number % 3 == 0:
            rig.server.call(GROUP, words(FIRST + number), edit_date=now + number + 20, **edit)
        rig.server.call(GROUP, f"note: draft {number}", **edit)
        if number % 3:
            rig.server.call(GROUP, words(FIRST + number), edit_date=now + number + 20, **edit)
        rig.calls += 1
        await asyncio.sleep(dice.uniform(0.1, 0.5))
        if number % 6 == 5:
            await rig.kill()
            await rig.start()


async def _held(rig: Rig, scale: float, file: str = "deckcall.db") -> None:
    await rig.start()
    rig.call()
    await rig.until_answered()
    holder = sqlite3.connect(rig.home / file, isolation_level=None)
    holder.execute("BEGIN EXCLUSIVE")
    for _ in range(int(20 * scale)):
        rig.call()
    await asyncio.sleep(8)
    holder.execute("ROLLBACK")
    holder.close()


async def _inbox_held(rig: Rig, scale: float) -> None:
    await _held(rig, scale, "telegram.db")


async def _full(rig: Rig, scale: float) -> None:
    await rig.start()
    rig.call()
    await rig.until_answered()
    fill = rig.home / "fill"
    with contextlib.suppress(OSError), fill.open("wb", buffering=0) as file:
        while file.write(bytes(4096)):
            pass
    for _ in range(int(200 * scale)):
        rig.call()
    await asyncio.sleep(8)
    fill.unlink()


async def _ended(rig: Rig, scale: float) -> None:
    """Send SIGTERM while a recording is under way and calls wait behind it; then start anew."""
    sound = RECORDING.read_bytes()
    await rig.start()
    rig.call()
    await rig.until_answered()
    for _ in range(max(1, int(5 * scale))):
        seen = rig.server.asked.count("getFile")
        rig.server.speak(GROUP, sound, 3, message_id=100_000 + rig.calls)
        rig.call()
        while rig.server.asked.count("getFile") == seen:
            await asyncio.sleep(0.05)
        await asyncio.sleep(0.2)
        await rig.stop()
        await rig.start()
    end_s = time.monotonic() + 90
    while (found := _spoken(rig)) is not None and found.lost and time.monotonic() < end_s:
        await asyncio.sleep(0.5)


async def _clock(rig: Rig, scale: float) -> None:
    """Let the times of the messages jump, an hour back and half an hour ahead."""
    dice, now = random.Random(2), int(time.time())
    await rig.start()
    for _ in range(int(50 * scale)):
        rig.call(date=now + dice.choice((0, -3600, 1800, -60, -86_400)))
        await asyncio.sleep(0.05)


async def _strangers(rig: Rig, scale: float) -> None:
    """Let a stranger, and one of the crew in a group that is not listed, call in between."""
    await rig.start()
    for _ in range(int(20 * scale)):
        rig.call()
        rig.server.call(-2002, "note: bucket 79999", message_id=1, user=501)
        rig.server.call(-2003, "strike", message_id=2, user=666, name="Eve")
        await asyncio.sleep(0.1)


def _spoken(rig: Rig) -> FaultRow | None:
    """Count typed and spoken calls together, where there were spoken ones."""
    spoken = rig.server.asked.count("getFile") and sum(
        chat == GROUP and message >= 100_000 for chat, message in rig.server.called_s
    )
    if not spoken:
        return None
    path, typed = rig.home / "deckcall.db", rig.counted()
    with contextlib.closing(sqlite3.connect(path, timeout=30)) as db:
        query = "SELECT count(*) FROM entries WHERE act = 'strike' AND void = 0"
        (found,) = db.execute(query).fetchone()
    answers = sum(text.startswith("Strike") for text in rig.server.texts)
    return FaultRow(
        typed.sent + spoken, typed.acknowledged + min(answers, spoken),
        typed.once + min(found, spoken), typed.lost + max(0, spoken - found),
        typed.doubled + max(0, found - spoken),
    )  # fmt: skip


@contextlib.contextmanager
def _disk(folder: Path, scenario: Scenario) -> Iterator[Path | None]:
    """Yield a folder; for the full disk a small one of its own, None where that may not be made."""
    if scenario is not _full:
        yield folder
        return
    small = folder / "small"
    small.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", "size=40m", "tmpfs", str(small)]
    if os.name != "posix" or subprocess.run(mount, capture_output=True).returncode != 0:
        yield None
        return
    try:
        yield small
    finally:
        subprocess.run(["umount", "-l", str(small)], check=True)


FAULTS: Final[Mapping[str, Scenario]] = {
    "none: 3 users, 5 calls/s each, a minute": _quiet,
    "kill -9, 25 times at random moments": _killed,
    "502, 500, 429, cut connections, both ways": _bad_line,
    "started without signal, and a second gap": _outage,
    "every update three times": _repeated,
    "kill -9 between calls and their edits": _edited,
    "log held by another process for 8 s": _held,
    "inbox held by another process for 8 s": _inbox_held,
    "disk full for 8 s": _full,
    "SIGTERM while a recording is heard, 5 times": _ended,
    "clock steps back and ahead": _clock,
    "strangers call in between": _strangers,
}
