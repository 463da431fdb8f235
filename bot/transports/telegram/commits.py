"""Writing to the store from many tasks: what is asked for while the disk is busy shares a transaction.

A commit waits for the disk, which takes milliseconds; it does so in the one thread that holds the
store, and whoever wrote waits for it without holding up anybody else.
"""

import asyncio
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, TypeVar

from bot.transports.telegram.store import Store

_T = TypeVar("_T")
_Job = tuple[Callable[[Store], Any], "asyncio.Future[Any]"]


@dataclass(slots=True)
class Commits:
    """The store, as the tasks of one loop see it."""

    path: Path
    _worker: ThreadPoolExecutor = field(default_factory=lambda: ThreadPoolExecutor(max_workers=1))
    _waiting: list[_Job] = field(default_factory=list)
    _under_way: asyncio.Task[None] | None = None
    _store: Store | None = None

    async def open(self) -> None:
        """Open the store; raises sqlite3.Error."""
        self._store = await self._in_worker(lambda: Store(self.path))

    async def close(self) -> None:
        """Close the store, after what has been asked for."""
        if self._under_way is not None:
            await asyncio.wait([self._under_way])
        if self._store is not None:
            await self._in_worker(self._store.close)
        self._worker.shutdown()

    async def do(self, job: Callable[[Store], _T]) -> _T:
        """Do a job on the store; when this returns, what it wrote is on the disk.

        Raises what the job or the disk raises; then nothing of it is kept.
        """
        done: asyncio.Future[Any] = asyncio.get_running_loop().create_future()
        self._waiting.append((job, done))
        if self._under_way is None or self._under_way.done():
            self._under_way = asyncio.create_task(self._work())
        found: _T = await done
        return found

    async def _work(self) -> None:
        while self._waiting:
            jobs, self._waiting = self._waiting, []
            if not await self._together(jobs) and len(jobs) > 1:
                for job in jobs:  # one of them is at fault: the others shall not suffer
                    await self._together([job], last=True)

    async def _together(self, jobs: list[_Job], last: bool = False) -> bool:
        """Do jobs in one transaction; False where that failed and each is to be tried alone."""
        store = self._store
        try:
            if store is None:
                raise RuntimeError("the store is not open")
            wanted = [job for job, _ in jobs]
            found = await self._in_worker(lambda: store.together(wanted))
        except Exception as exc:
            if len(jobs) > 1 and not last:
                return False
            for _, done in jobs:
                if not done.done():
                    done.set_exception(exc)
            return False
        for (_, done), result in zip(jobs, found, strict=True):
            if not done.done():  # its task may have been given up meanwhile
                done.set_result(result)
        return True

    async def _in_worker(self, do: Callable[[], _T]) -> _T:
        return await asyncio.get_running_loop().run_in_executor(self._worker, do)
