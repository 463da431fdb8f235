"""The Desk in a process of its own, so that no recording can take the bot down with it.

A decoder that hangs is ended after `Limits.seconds`, one that eats memory runs into
`Limits.memory_mb`, one that crashes takes only its own process along: each is a TransportError here,
and the next message finds a new process. Only messages and replies cross.
"""

import multiprocessing
import os
import signal
from collections.abc import Callable
from contextlib import AbstractContextManager, suppress
from dataclasses import dataclass
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from typing import Any, Final

from bot.errors import TransportError
from bot.messages import Message, Reply


@dataclass(frozen=True, slots=True)
class Limits:
    """What one answer may take."""

    seconds: float = 60.0
    """From the message to its answer, the loading of a model included."""
    memory_mb: int = 6000
    """Address space of the process, a large speech model included; 0 for no limit."""


class Broken(TransportError):
    """The process that was to answer has ended, or had to be ended."""


Opener = Callable[..., AbstractContextManager[Any]]
"""Opens an object with the methods that are called; must be importable, for it runs over there."""
_CLOSE: Final = ""


class Isolated:
    """An object that lives in another process; started when it is first needed. One thread only."""

    def __init__(self, opener: Opener, *args: object, limits: Limits | None = None) -> None:
        self._opener, self._args = opener, args
        self._limits = limits or Limits()
        self._process: BaseProcess | None = None
        self._pipe: Connection | None = None

    def __enter__(self) -> "Isolated":
        return self

    def __exit__(self, *_exc: object) -> None:
        self.close()

    def answer(self, message: Message) -> Reply:
        """Answer a message over there; raises what was raised there, or Broken."""
        reply: Reply = self.call("answer", message)
        return reply

    def call(self, method: str, *args: object) -> Any:
        """Call a method over there with values that can be pickled."""
        pipe = self._started()
        try:
            pipe.send((method, args))
            if not pipe.poll(self._limits.seconds):
                self._end()
                raise Broken(f"no answer within {self._limits.seconds:g} s; that call was given up")
            worked, value, is_open = pipe.recv()
        except (EOFError, OSError) as exc:
            self._end()
            raise Broken("the part that understands calls has crashed; it starts anew") from exc
        if not is_open:
            self._end()
        if worked:
            return value
        raise value

    def close(self) -> None:
        """End the process; an answer under way there is finished first."""
        if self._pipe is not None and self._process is not None:
            with suppress(OSError):
                self._pipe.send((_CLOSE, ()))
            self._process.join(self._limits.seconds)
        self._end()

    def _started(self) -> Connection:
        if self._pipe is None or self._process is None or not self._process.is_alive():
            self._end()
            context = multiprocessing.get_context("spawn")
            self._pipe, theirs = context.Pipe()
            self._process = context.Process(
                target=_serve,
                args=(theirs, self._opener, self._args, self._limits),
                daemon=True,
                name="desk",
            )
            self._process.start()
            theirs.close()
        return self._pipe

    def _end(self) -> None:
        if self._process is not None:
            self._process.kill()
            self._process.join()
            self._process.close()
        if self._pipe is not None:
            self._pipe.close()
        self._process = self._pipe = None


def _serve(pipe: Connection, opener: Opener, args: tuple[object, ...], limits: Limits) -> None:
    """Answer until told to close, or until the other end is gone."""
    for number in (signal.SIGINT, signal.SIGTERM):
        signal.signal(number, signal.SIG_IGN)  # the bot says when it ends
    _limit(limits)
    with suppress(EOFError, BrokenPipeError):
        try:
            with opener(*args) as held:
                _answer_all(pipe, held)
        except Exception as exc:
            pipe.recv()
            pipe.send((False, _sendable(exc), False))


def _answer_all(pipe: Connection, held: Any) -> None:
    while True:
        method, args = pipe.recv()
        if method == _CLOSE:
            return
        try:
            result = (True, getattr(held, method)(*args), True)
        except Exception as exc:
            result = (False, _sendable(exc), True)
        pipe.send(result)


def _sendable(exc: Exception) -> Exception:
    """Give the error itself where it can cross, else what it says."""
    import pickle

    try:
        pickle.loads(pickle.dumps(exc))
    except Exception:
        return RuntimeError(f"{type(exc).__name__}: {exc}")
    return exc


def _limit(limits: Limits) -> None:
    if limits.memory_mb and os.name == "posix":
        import resource

        size = limits.memory_mb << 20
        resource.setrlimit(resource.RLIMIT_AS, (size, size))
