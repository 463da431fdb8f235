"""The instruments while the bot runs: a thread reads them, keeps the track, and tells every desk what is now.

Only one process of a boat reads them (a serial line can be opened once); what is known now lies in a small
file beside the log, from which every process of that boat takes its stamps. Where that process ends, another
one that runs takes over. A trouble is logged once and tried again for ever; calls never wait for it.
"""

import json
import logging
import os
import sqlite3
import threading
from collections.abc import Callable, Iterator
from contextlib import suppress
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Final

from bot.errors import DeckcallError
from bot.instruments.fold import Instruments, from_json, to_json
from bot.instruments.lines import Where, lines
from bot.instruments.track import is_worth
from bot.logbook.store import Logbook
from bot.logbook.track import keep_fix, last_fix
from bot.stamps import Fix

NOW_FILE: Final = "instruments.json"
LOCK_FILE: Final = "instruments.lock"
WRITE_EVERY: Final = timedelta(seconds=1)
AGAIN_S: Final = (1.0, 2.0, 5.0, 10.0)
"""How long to wait before another try; the last for ever."""
TAKE_OVER_S: Final = 5.0
"""How often a process that does not read asks whether it should."""

_log = logging.getLogger(__name__)


def now_of(home: Path) -> Callable[[datetime], Fix | None]:
    """Return what tells the fix of a time from the file of a boat; None where there is none."""

    def fix(at: datetime) -> Fix | None:
        known = known_now(home)
        return known.fix(at) if known is not None else None

    return fix


def known_now(home: Path) -> Instruments | None:
    """Read what was known last; None where nothing was, or the file is no such file."""
    try:
        return from_json(json.loads((home / NOW_FILE).read_text(encoding="utf-8")))
    except (OSError, ValueError, KeyError, TypeError):
        return None


class Feed:
    """Reads the instruments of a boat from when it is entered until it is left."""

    def __init__(
        self,
        home: Path,
        where: Where,
        *,
        track: bool = True,
        clock: Callable[[], datetime] = lambda: datetime.now(UTC),
        open_lines: Callable[[Where], Iterator[str | None]] = lines,
        again_s: tuple[float, ...] = AGAIN_S,
    ) -> None:
        self._home, self._where, self._track = home, where, track
        self._clock, self._open, self._again_s = clock, open_lines, again_s
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._run, name="instruments", daemon=True)
        self._known = Instruments()
        self._written: datetime | None = None
        self._kept: Fix | None = None
        self._told = ""
        """The last trouble that was logged."""

    def __enter__(self) -> "Feed":
        self._home.mkdir(parents=True, exist_ok=True)
        self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._stop.set()
        self._thread.join(timeout=2 * TAKE_OVER_S)

    def _run(self) -> None:
        lock = self._lock()
        if lock is None:
            return
        try:
            self._read_for_ever()
        finally:
            lock.close()

    def _lock(self) -> sqlite3.Connection | None:
        """Wait until nobody else reads them; None where it is to stop. The lock ends with the process."""
        while not self._stop.is_set():
            lock = sqlite3.connect(
                self._home / LOCK_FILE, timeout=0, isolation_level=None, check_same_thread=False
            )
            try:
                lock.execute("BEGIN EXCLUSIVE")
                return lock
            except sqlite3.OperationalError:
                lock.close()
                self._stop.wait(TAKE_OVER_S)
        return None

    def _read_for_ever(self) -> None:
        tries = 0
        while not self._stop.is_set():
            heard = self._known.used
            try:
                self._read()
            except (OSError, DeckcallError) as exc:
                self._trouble(f"{exc}; trying again")
            except Exception:
                _log.exception("instruments (%s): something failed; going on", self._where)
            if self._known.used > heard:
                tries, self._told = 0, ""
            self._stop.wait(self._again_s[min(tries, len(self._again_s) - 1)])
            tries += 1

    def _read(self) -> None:
        with suppress(DeckcallError):
            self._keep_where_it_left_off()
        for line in self._open(self._where):
            if self._stop.is_set():
                return
            if line is not None and line.strip():
                self._take(line)

    def _take(self, line: str) -> None:
        now = self._clock()
        self._known = self._known.take(line, now)
        if self._written is not None and timedelta(0) <= now - self._written < WRITE_EVERY:
            return
        self._written = now
        self._tell()
        fix = self._known.fix(now)
        if self._track and is_worth(self._kept, fix):
            self._kept = fix  # also where it cannot be kept: the next point will do
            try:
                with Logbook.open(self._home) as log:
                    keep_fix(log, fix)
            except DeckcallError as exc:
                self._trouble(f"a point of the track is not kept: {exc}")

    def _keep_where_it_left_off(self) -> None:
        if self._track and self._kept is None:
            with Logbook.open(self._home) as log:
                self._kept = last_fix(log)

    def _tell(self) -> None:
        """Write what is known now, whole or not at all."""
        path = self._home / NOW_FILE
        fresh = path.with_suffix(f".{os.getpid()}.new")
        try:
            fresh.write_text(json.dumps(to_json(self._known)), encoding="utf-8")
            fresh.replace(path)
        except OSError as exc:
            self._trouble(f"{path} cannot be written ({exc.strerror}); calls are not stamped")

    def _trouble(self, text: str) -> None:
        """Log a trouble, once while it stays the same."""
        if text != self._told:
            self._told = text
            _log.warning("instruments (%s): %s", self._where, text)
