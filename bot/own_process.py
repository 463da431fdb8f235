"""An object that lives in a process of its own, so that nothing it does can take this one down.

What hangs is ended after `Limits.seconds`, what eats memory runs into `Limits.memory_mb`, what crashes
takes only its own process along: each is `ProcessBroken` here, and the next call finds a new process. Only
what can be pickled crosses. Knows nothing of what it is used for: desks and ears live in it.
"""

import math
import os
import signal
from collections.abc import Callable
from contextlib import AbstractContextManager, suppress
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from bot.errors import DeckcallError

if TYPE_CHECKING:
    from multiprocessing.connection import Connection
    from multiprocessing.process import BaseProcess


@dataclass(frozen=True, slots=True)
class Limits:
    """What one call may take."""

    seconds: float = 60.0
    """Time from the question to the answer, the opening of the object included."""
    memory_mb: int = 6000
    """Address space of the process, a large speech model included; 0 for no limit."""


class ProcessBroken(DeckcallError):
    """The process that was to answer has ended, or had to be ended."""


class TookTooLong(ProcessBroken):
    """It had to be ended because it gave no answer in time."""


Opener = Callable[..., AbstractContextManager[Any]]
"""Opens an object with the methods that are called; must be importable, for it runs over there."""
_CLOSE: Final = ""
_ORPHAN_S: Final = 2
"""How long after its time is up a process ends itself: nobody was left to end it."""


class OwnProcess:
    """An object in another process, which is started when it is first needed. One thread only."""

    def __init__(
        self, opener: Opener, *args: object, limits: Limits | None = None, name: str = "apart"
    ) -> None:
        self._opener, self._args, self._name = opener, args, name
        self._limits = limits or Limits()
        self._process: BaseProcess | None = None
        self._pipe: Connection | None = None
        self._stopped = False

    def call(self, method: str, *args: object, seconds: float | None = None) -> Any:
        """Call a method over there; raises what was raised there, or Broken.

        `seconds` is the limit where it is not the usual one.
        """
        limit_s = self._limits.seconds if seconds is None else seconds
        pipe = self._started()
        try:
            if self._stopped:
                raise EOFError
            pipe.send((method, args, limit_s))
            if not pipe.poll(limit_s):
                self.kill()
                raise TookTooLong(f"no answer within {limit_s:g} s; that call was given up")
            worked, value, is_open = pipe.recv()
        except (EOFError, OSError) as exc:
            self.kill()
            raise ProcessBroken(
                "the part that understands calls has crashed; it starts anew"
            ) from exc
        if not is_open:
            self.kill()
        if worked:
            return value
        raise value

    @property
    def pid(self) -> int | None:
        """Return the id of the process, or None where it has not been started."""
        return None if self._process is None else self._process.pid

    def close(self) -> None:
        """End the process; an answer under way there is finished first."""
        if self._pipe is not None and self._process is not None:
            with suppress(OSError):
                self._pipe.send((_CLOSE, (), 0.0))
            self._process.join(self._limits.seconds)
        self.kill()

    def stop(self) -> None:
        """End the process for good; the one thing that another thread may do, also during a call."""
        self._stopped = True
        process = self._process
        if process is not None:
            with suppress(ValueError, OSError):  # it may have been ended at this moment
                process.kill()

    def kill(self) -> None:
        """End the process at once, whatever it does."""
        if self._process is not None:
            self._process.kill()
            self._process.join()
            self._process.close()
        if self._pipe is not None:
            self._pipe.close()
        self._process = self._pipe = None

    def _started(self) -> "Connection":
        if self._pipe is None or self._process is None or not self._process.is_alive():
            import multiprocessing  # late: what never hears does without it

            self.kill()
            context = multiprocessing.get_context("spawn")
            self._pipe, theirs = context.Pipe()
            self._process = context.Process(
                target=_serve,
                args=(theirs, self._opener, self._args, self._limits),
                daemon=True,
                name=self._name,
            )
            self._process.start()
            theirs.close()
        return self._pipe


def _serve(pipe: "Connection", opener: Opener, args: tuple[object, ...], limits: Limits) -> None:
    """Answer until told to close, or until the other end is gone."""
    for number in (signal.SIGINT, signal.SIGTERM):
        signal.signal(number, signal.SIG_IGN)  # the other side says when it ends
    _limit(limits)
    with suppress(EOFError, BrokenPipeError):
        try:
            with opener(*args) as held:
                _answer_all(pipe, held)
        except Exception as exc:
            pipe.recv()
            pipe.send((False, sendable(exc), False))


def _answer_all(pipe: "Connection", held: Any) -> None:
    while True:
        method, args, limit_s = pipe.recv()
        if method == _CLOSE:
            return
        _end_by_itself(math.ceil(limit_s) + _ORPHAN_S)
        try:
            result = (True, getattr(held, method)(*args), True)
        except Exception as exc:
            result = (False, sendable(exc), True)
        _end_by_itself(0)
        pipe.send(result)


def _end_by_itself(seconds: int) -> None:
    """Let the system end this process after some seconds, 0 for not at all: also one that hangs."""
    if hasattr(signal, "alarm"):
        signal.alarm(seconds)


def sendable(exc: Exception) -> Exception:
    """Return the error itself where it can cross, else what it says; nothing from outside is unpickled."""
    import pickle  # nosec B403

    try:
        pickle.loads(pickle.dumps(exc))  # nosec B301
    except Exception:
        return RuntimeError(f"{type(exc).__name__}: {exc}")
    return exc


def _limit(limits: Limits) -> None:
    if limits.memory_mb and os.name == "posix":
        import resource

        size = limits.memory_mb << 20
        for kind in (resource.RLIMIT_AS, resource.RLIMIT_DATA):
            try:
                resource.setrlimit(kind, (size, size))
            except (ValueError, OSError):  # macOS sets no limit to the address space
                continue
            return
