"""The web chat as a process of its own, and phones that were let in."""

import contextlib
import os
import shutil
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import IO

import httpx

from bot.transports.web.doorway import IDLE_S

MARK = {"X-Deckcall": "1"}
CHROMIUM = shutil.which("chromium") or shutil.which("google-chrome")


@dataclass
class Served:
    address: str
    codes: IO[str]
    folder: Path
    process: subprocess.Popen[str]

    def code(self, role: str = "crew") -> str:
        """Return the code of a role that the console shows next."""
        return self.codes.readline().split()[1 + ("crew", "guest", "skipper").index(role)]


@contextmanager
def serving_web(folder: Path, secure: bool = False, idle_s: float = IDLE_S) -> Iterator[Served]:
    """Serve the scripted web chat from a folder."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    root = Path(__file__).parents[2]
    script = str(Path(__file__).with_name("scripted_web.py"))
    process = subprocess.Popen(
        [
            sys.executable,
            script,
            str(port),
            str(folder),
            str(idle_s),
            *(["secure"] if secure else []),
        ],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        cwd=root,
        env=os.environ | {"PYTHONPATH": str(root)},
    )
    assert process.stdout is not None
    try:
        _wait_until_served(port)
        scheme = "https" if secure else "http"
        yield Served(f"{scheme}://127.0.0.1:{port}/", process.stdout, folder, process)
        process.send_signal(signal.SIGTERM)
        assert process.wait(20) == 0
    finally:
        process.kill()
        process.wait()
        process.stdout.close()
        if process.stdin is not None:
            process.stdin.close()


def _wait_until_served(port: int) -> None:
    """Wait for the server: told to stop before it listens, it could only be cut off."""
    for _ in range(600):
        with contextlib.suppress(OSError), socket.create_connection(("127.0.0.1", port), 1):
            return
        time.sleep(0.05)
    raise AssertionError("the web chat did not come up within 30 s")


@contextmanager
def paired(served: Served, name: str = "Ana", role: str = "crew") -> Iterator[httpx.Client]:
    """Yield what a phone that was let in would use."""
    with httpx.Client(base_url=served.address, headers=MARK, timeout=120) as client:
        told = client.post("pair", json={"code": served.code(role), "name": name})
        assert told.status_code == 200
        yield client
