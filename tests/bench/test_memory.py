"""The bench of memory: what is read of the system."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from bot.bench.memory import processes

pytestmark = pytest.mark.skipif(
    not Path("/proc/self/smaps_rollup").exists(), reason="reads /proc, which only Linux has"
)


def test_memory_of_a_process_and_of_those_it_started_is_counted() -> None:
    held = bytearray(os.urandom(1)) * (64 << 20)
    child = subprocess.Popen([sys.executable, "-c", "input()"], stdin=subprocess.PIPE)
    try:
        found = tuple(processes(os.getpid()))
    finally:
        assert child.stdin is not None
        child.stdin.close()
        child.wait()

    assert len(found) >= 2
    assert found[0].what == "bot"
    assert found[0].pss_mb > len(held) / 1e6
    assert all(0 < one.pss_mb <= one.rss_mb for one in found)
