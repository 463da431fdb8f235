"""Ears in processes of their own: a few at most, started when they are needed, a bounded queue before them.

A recording that takes too long, or on which a decoder breaks, is given up, and its process replaced; the
others go on. Loads nothing of speech on this side: who waits for an answer needs no decoder in memory.
"""

import threading
from collections.abc import Callable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

from bot.errors import AudioError, EngineBusy, EngineError, GivenUp
from bot.own_process import Limits, OwnProcess, ProcessBroken, TookTooLong
from bot.speech.engine import Engine, EngineGrammar, failure_of
from bot.transcript import HearingResult, Transcript

OPEN_S: Final = 180.0
"""How long an engine may take to load its model and a grammar; a large model on a slow disk needs it."""
SPARE_MB: Final = 500
"""A second worker is started only where so much memory is free; else the first does all the work."""

OpenEngine = Callable[[], Engine]
"""Starts an engine; must be picklable, for it runs over there."""


@dataclass(frozen=True, slots=True)
class EarLimits:
    """How many recordings are heard at once, how many may wait, and how long one may take."""

    workers: int = 1
    queue: int = 20
    give_up_s: float = 30.0
    """Time from the start of the decoding; waiting and loading do not count."""
    max_s: float = 60.0
    """Longer recordings are refused."""
    memory_mb: int = 6000
    """Address space of a worker; 0 for no limit."""


@dataclass(slots=True)
class _Worker:
    """One process, and the grammar that it was given last."""

    apart: OwnProcess
    digest: str = ""


@dataclass(slots=True)
class _Slots:
    """The workers that were made, and those of them that are free."""

    made: list[_Worker] = field(default_factory=list)
    free: list[_Worker] = field(default_factory=list)


class Workers:
    """Hears recordings over there; every method may be called from any thread."""

    def __init__(self, open_engine: OpenEngine, limits: EarLimits | None = None) -> None:
        self._open = open_engine
        self.limits = limits or EarLimits()
        self._threads = ThreadPoolExecutor(self.limits.workers, thread_name_prefix="ear")
        self._change = threading.Condition()
        self._slots = _Slots()
        self._under_way = 0
        self._closed = False

    def __enter__(self) -> "Workers":
        return self

    def __exit__(self, *_exc: object) -> None:
        self.close()

    @property
    def pids(self) -> tuple[int, ...]:
        """Return the ids of the processes that are there."""
        with self._change:
            found = (worker.apart.pid for worker in self._slots.made)
            return tuple(pid for pid in found if pid is not None)

    def listen(self, sound: bytes, name: str, grammar: EngineGrammar) -> "Future[HearingResult]":
        """Hear a recording; the future never fails, it holds why nothing was heard."""
        answer: Future[HearingResult] = Future()
        answer.set_running_or_notify_cancel()  # who stops waiting for it does not cancel it
        asked = self.hear(sound, name, grammar)

        def tell(done: "Future[Transcript]") -> None:
            if done.cancelled():
                answer.set_result(failure_of(GivenUp("the program ended before it was heard")))
                return
            problem = done.exception()
            if problem is None:
                answer.set_result(done.result())
            elif isinstance(problem, AudioError | EngineError):
                answer.set_result(failure_of(problem))
            else:
                what = f"what hears failed on it ({type(problem).__name__})"
                answer.set_result(failure_of(GivenUp(what)))

        asked.add_done_callback(tell)
        return answer

    def hear(self, sound: bytes, name: str, grammar: EngineGrammar) -> "Future[Transcript]":
        """Hear a recording; the future fails with AudioError or EngineError."""
        with self._change:
            full = self._under_way >= self.limits.workers + self.limits.queue
            if not full:
                self._under_way += 1
        if full:
            refused: Future[Transcript] = Future()
            refused.set_exception(EngineBusy(f"{self.limits.queue} recordings wait already"))
            return refused
        return self._threads.submit(self._heard, sound, name, grammar)

    def warm(self, grammar: EngineGrammar) -> None:
        """Load an ear in the background, so that the first recording need not wait for it.

        Nothing is done where memory is short; what goes wrong shows at the first recording.
        """
        spare = spare_memory_mb()
        if spare is None or spare >= SPARE_MB:
            with suppress(RuntimeError):  # the program ends already
                self._threads.submit(self._warmed, grammar)

    def _warmed(self, grammar: EngineGrammar) -> None:
        with suppress(ProcessBroken, TookTooLong, EngineError, GivenUp), self._one() as worker:
            self._prepared(worker, grammar)

    def close(self) -> None:
        """End all processes at once; what is being heard is given up."""
        with self._change:
            self._closed = True
            aparts = [worker.apart for worker in self._slots.made]
            self._change.notify_all()
        self._threads.shutdown(wait=False, cancel_futures=True)
        for apart in aparts:
            apart.stop()
        self._threads.shutdown(wait=True)
        for apart in aparts:
            apart.kill()

    def _heard(self, sound: bytes, name: str, grammar: EngineGrammar) -> Transcript:
        try:
            with self._one() as worker:
                return self._ask(worker, sound, name, grammar)
        except TookTooLong as exc:
            raise GivenUp(
                f"that recording was not heard within {self.limits.give_up_s:g} s and was given up"
            ) from exc
        except ProcessBroken as exc:
            raise GivenUp("what hears broke on that recording; it starts anew") from exc
        finally:
            with self._change:
                self._under_way -= 1

    @contextmanager
    def _one(self) -> Iterator[_Worker]:
        """Yield a worker that is nobody else's meanwhile."""
        worker = self._taken()
        try:
            yield worker
        finally:
            with self._change:
                self._slots.free.append(worker)
                self._change.notify()

    def _ask(self, worker: _Worker, sound: bytes, name: str, grammar: EngineGrammar) -> Transcript:
        self._prepared(worker, grammar)
        limits = self.limits
        heard: Transcript = worker.apart.call(
            "hear", sound, name, limits.max_s, seconds=limits.give_up_s
        )
        return heard

    def _prepared(self, worker: _Worker, grammar: EngineGrammar) -> None:
        """Load what a worker needs for a grammar, unless it has it."""
        digest = grammar.digest
        if worker.digest != digest or worker.apart.pid is None:
            worker.digest = ""
            worker.apart.call("ready", grammar, seconds=OPEN_S)
            worker.digest = digest

    def _taken(self) -> _Worker:
        """Return a free worker, made where there is none and room for one."""
        with self._change:
            while True:
                if self._closed:
                    raise GivenUp("the program ended before it was heard")
                if self._slots.free:
                    return self._slots.free.pop()
                if self._may_make():
                    limits = Limits(OPEN_S, self.limits.memory_mb)
                    worker = _Worker(OwnProcess(_opened, self._open, limits=limits, name="ear"))
                    self._slots.made.append(worker)
                    return worker
                self._change.wait()

    def _may_make(self) -> bool:
        made = len(self._slots.made)
        if made == 0:
            return True
        spare = spare_memory_mb()
        return made < self.limits.workers and (spare is None or spare >= SPARE_MB)


class _Ear:
    """What lives over there."""

    def __init__(self, open_engine: OpenEngine) -> None:
        self._open = open_engine
        self._engine: Engine | None = None

    def ready(self, grammar: EngineGrammar) -> None:
        """Load the model, once, and take a grammar; raises EngineError."""
        if self._engine is None:
            self._engine = self._open()
        self._engine.prepare(grammar)

    def hear(self, sound: bytes, name: str, max_s: float) -> Transcript:
        """Hear one recording; raises AudioError or EngineError."""
        from bot.speech.audio import to_pcm

        if self._engine is None:
            raise EngineError("the ear has no grammar yet")
        return self._engine.transcribe(to_pcm(sound, name, max_s))


@contextmanager
def _opened(open_engine: OpenEngine) -> Iterator[_Ear]:
    yield _Ear(open_engine)


def spare_memory_mb() -> int | None:
    """Return how much memory is free for more work, in MB; None where the system does not say."""
    with suppress(OSError, ValueError, IndexError):
        for line in Path("/proc/meminfo").read_text(encoding="ascii").splitlines():
            if line.startswith("MemAvailable:"):
                return int(line.split()[1]) // 1024
    return None
