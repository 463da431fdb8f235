"""Power is cut at random moments: what was answered is in the log, once, with its recording.

The disk keeps only what was synced (`power_cut.c`); DECKCALL_CUTS asks for more cuts than these few.
"""

import contextlib
import os
import random
import re
import shutil
import sqlite3
import subprocess
import sys
import tempfile
import threading
import time
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.hostile.power_cut import ForgetfulDisk, built
from tests.transports.bot_api import TOKEN, BotApi
from tests.transports.conftest import CREW, GROUP

ROOT = Path(__file__).parents[2]
FIRST = 70_000
"""No time and no count of anything else has as many figures."""
CUTS = int(os.environ.get("DECKCALL_CUTS", "4"))
SPOKEN = b"RIFF" + bytes(2000)

pytestmark = pytest.mark.timeout(1200)


@pytest.fixture
def disk(tmp_path: Path) -> Iterator[ForgetfulDisk]:
    library = built(tmp_path)
    if library is None or not Path("/dev/shm").is_dir():
        pytest.skip("needs a C compiler and a tmpfs")
    root = Path(tempfile.mkdtemp(dir="/dev/shm"))
    yield ForgetfulDisk(root, library)
    shutil.rmtree(root, ignore_errors=True)


def rows(home: Path, sql: str) -> list[tuple[str]]:
    """Return what a statement finds in a copy of the log: to look at the log itself would write to it."""
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / "home"
        shutil.copytree(home, copy)
        if not (copy / "deckcall.db").exists():
            return []
        db = sqlite3.connect(copy / "deckcall.db")
        try:
            assert db.execute("PRAGMA integrity_check").fetchone() == ("ok",)
            if not db.execute("SELECT 1 FROM sqlite_master WHERE name = 'entries'").fetchone():
                return []
            return db.execute(sql).fetchall()
        finally:
            db.close()


def notes(home: Path) -> Counter[str]:
    """Return how often each numbered note stands in the log."""
    found = rows(home, "SELECT text FROM entries WHERE act = 'note' AND NOT void")
    return Counter(text for (text,) in found)


DESK = """
import sys
from pathlib import Path
from bot.desk import Desk
with Desk(sys.argv[1]) as desk:
    for line in sys.stdin:
        said = line.strip()
        reply = desk.hear(Path(said[1:]).read_bytes()) if said[0] == "@" else desk.say(said)
        print(said, flush=True)
"""


def test_what_the_terminal_answered_survives_a_cut(disk: ForgetfulDisk) -> None:
    chance = random.Random(18)
    answered: list[str] = []
    number = FIRST
    for _ in range(CUTS):
        process = subprocess.Popen(
            [sys.executable, "-c", DESK, str(disk.home)], stdin=subprocess.PIPE,
            stdout=subprocess.PIPE, text=True, cwd=ROOT, env=disk.environment(),
        )  # fmt: skip
        assert process.stdin is not None
        assert process.stdout is not None
        seen: list[str] = []
        reader = threading.Thread(target=lambda out=process.stdout, to=seen: to.extend(out))
        reader.start()
        with contextlib.suppress(BrokenPipeError):
            process.stdin.write("lines in\n")
            for _ in range(400):
                number += 1
                process.stdin.write(f"note: bucket {number}\n")
            process.stdin.flush()
        while not seen and process.poll() is None:
            time.sleep(0.01)
        time.sleep(chance.uniform(0.0, 0.8))
        process.kill()
        process.wait()
        reader.join()
        process.stdout.close()
        with contextlib.suppress(BrokenPipeError):
            process.stdin.close()
        answered += [
            line.strip() for line in seen if line.startswith("note") and line.endswith("\n")
        ]
        disk.cut()

        held = notes(disk.home)
        lost = [said for said in answered if held[said] != 1]
        assert lost == [], f"after cut {disk.cuts}"
    assert len(answered) >= 5 * CUTS
    print(f"{CUTS} cuts, {len(answered)} answered, none lost")


def test_a_recording_that_was_answered_survives_a_cut(disk: ForgetfulDisk, tmp_path: Path) -> None:
    sound = tmp_path / "call.wav"
    sound.write_bytes(SPOKEN)
    chance = random.Random(19)
    for _ in range(max(2, CUTS // 2)):
        process = subprocess.Popen(
            [sys.executable, "-c", DESK, str(disk.home)], stdin=subprocess.PIPE,
            stdout=subprocess.PIPE, text=True, cwd=ROOT, env=disk.environment(),
        )  # fmt: skip
        assert process.stdin is not None
        assert process.stdout is not None
        process.stdin.write(f"lines in\n@{sound}\n@{sound}\n")
        process.stdin.flush()
        process.stdout.readline()
        process.stdout.readline()
        time.sleep(chance.uniform(0.0, 0.05))
        process.kill()
        process.communicate()
        disk.cut()

        sql = "SELECT sound FROM messages WHERE sound IS NOT NULL"
        named = [path for (path,) in rows(disk.home, sql)]
        assert named
        assert all((disk.home / path).read_bytes() == SPOKEN for path in named)


def test_what_the_group_saw_answered_survives_a_cut(
    disk: ForgetfulDisk, api: BotApi, base: str
) -> None:
    chance = random.Random(20)
    number = FIRST
    for _ in range(CUTS):
        environ = disk.environment() | {
            "DECKCALL_TELEGRAM_API": base, "DECKCALL_TELEGRAM_TOKEN": TOKEN, "DECKCALL_CREW": CREW,
        }  # fmt: skip
        process = subprocess.Popen(
            [sys.executable, "-m", "bot", "telegram"], cwd=ROOT, env=environ,
            stderr=subprocess.DEVNULL, start_new_session=True,
        )  # fmt: skip
        before = len(seen(api))
        for _ in range(12):
            number += 1
            api.message(GROUP, number - FIRST, f"note: bucket {number}", user=500 + number % 3)
        api.wait_for("an answer", lambda many=before: len(seen(api)) > many, seconds=60)
        time.sleep(chance.uniform(0.0, 1.0))
        os.killpg(process.pid, 9)
        process.wait()
        disk.cut()

        held = notes(disk.home)
        lost = [said for said in seen(api) if held[said] != 1]
        assert lost == [], f"after cut {disk.cuts}"
    print(f"{CUTS} cuts, {len(seen(api))} answered, none lost")


def seen(api: BotApi) -> set[str]:
    """Return the notes that the group saw answered."""
    with api.lock:
        texts = " ".join(str(one.get("text", "")) for one in api.sent)
    return {f"note: bucket {number}" for number in re.findall(r"bucket (7\d{4})", texts)}
