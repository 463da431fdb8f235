"""A process whose parent was killed ends itself, also where it hangs; the rest is in test_isolated."""

import os
import re
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from bot.own_process import OwnProcess, ProcessBroken

ROOT = Path(__file__).parents[1]
PARENT = """
from bot.own_process import OwnProcess
from tests.test_own_process import opened
if __name__ == "__main__":
    process = OwnProcess(opened)
    print(process.call("pid"), flush=True)
    process.call("hang", seconds=1.0)
"""


class _Held:
    def pid(self) -> int:
        return os.getpid()

    def hang(self) -> None:
        re.match(r"(a+)+b", "a" * 64)  # never ends, and lets no other thread run


@contextmanager
def opened() -> Iterator[_Held]:
    yield _Held()


@pytest.mark.skipif(not Path("/proc/self").exists(), reason="looks at /proc")
def test_what_hangs_ends_itself_when_its_parent_was_killed(tmp_path: Path) -> None:
    script = tmp_path / "parent.py"
    script.write_text(PARENT, encoding="utf-8")
    parent = subprocess.Popen(
        [sys.executable, str(script)],
        stdout=subprocess.PIPE,
        env=os.environ | {"PYTHONPATH": str(ROOT)},
        text=True,
    )
    assert parent.stdout is not None
    child = Path(f"/proc/{parent.stdout.readline().strip()}")
    assert child.exists()
    parent.stdout.close()
    parent.kill()
    parent.wait()

    end = time.monotonic() + 60
    while child.exists() and "(zombie)" not in (child / "status").read_text(encoding="utf-8"):
        assert time.monotonic() < end
        time.sleep(0.05)


def test_one_that_was_stopped_answers_no_more() -> None:
    process = OwnProcess(opened)
    assert process.call("pid") == process.pid

    process.stop()

    with pytest.raises(ProcessBroken):
        process.call("pid")
    assert process.pid is None
