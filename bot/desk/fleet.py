"""The desks of several boats, for transports with many people; they can run in a process of their own.

A boat is named by the folder of its log; an empty name is the boat of the settings.
`open_desks` runs in the process that answers; what it gives is asked by method name from outside.
"""

import logging
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from bot.answers.board import between_trips, board, helm
from bot.answers.drawing import spread_pictures
from bot.batch import BatchResult, BoatCall
from bot.desk.desk import Desk
from bot.errors import LogbookError
from bot.messages import Message, Reply
from bot.own_process import sendable
from bot.settings import Settings, of_boat
from bot.transcript import HearingResult

if TYPE_CHECKING:
    from bot.reports.forms import ReportForm
    from bot.speech.engine import EngineGrammar

_log = logging.getLogger(__name__)


OpenDesk = Callable[[Settings], Desk]
"""Opens the desk of a home; raises DeckcallError."""
SETTLERS: Final = 8
"""Most logs that are flushed at the same time."""


@dataclass(slots=True)
class Fleet:
    """A Desk for each boat, opened when its first call comes."""

    settings: Settings
    open_desk: OpenDesk
    stack: ExitStack
    desks: dict[Path, Desk]
    flushes: dict[Path, Callable[[], None]]
    """Callables that wait until the log of each open Desk is on the disk."""
    flushers: ThreadPoolExecutor

    def answer(self, message: Message, heard: HearingResult | None = None) -> Reply:
        """Return the reply of a message's boat; `heard` is what was made of its recording."""
        home = self._home(message.boat)
        reply = self._desk(home).answer(message, heard)
        self.flushes[home]()
        return reply

    def grammar(self, message: Message) -> "EngineGrammar | None":
        """Return what may be said in a recording; None where it was already answered."""
        return self._desk(self._home(message.boat)).grammar(message)

    def tidy(self) -> None:
        """Remove the recordings of every boat that are past their time."""
        from bot.logbook.recordings import purge
        from bot.logbook.store import FILE, Logbook

        for home in self.settings.homes:
            if home in self.desks:
                self.desks[home].tidy()
            elif (home / FILE).exists():
                with Logbook.open(home) as log:
                    purge(log, self.settings.speech.keep_days, datetime.now(UTC))

    def answer_all(self, said: Sequence[Sequence[BoatCall]]) -> list[BatchResult]:
        """Answer messages of several boats, each boat's in order; they are on the disk on return.

        A boat is left where one of its messages fails; the others go on.
        """
        answered = [self._one_boat(calls) for calls in said]
        homes = [self._home(calls[0].message.boat) for calls in said]
        settled = dict(zip(set(homes), self.flushers.map(self._flush, set(homes)), strict=True))
        return [
            found if settled[home] is None else BatchResult((), settled[home])
            for home, found in zip(homes, answered, strict=True)
        ]

    def _one_boat(self, calls: Sequence[BoatCall]) -> BatchResult:
        replies: list[Reply] = []
        for call in calls:
            try:
                home = self._home(call.message.boat)
                replies.append(self._desk(home).answer(call.message, call.heard))
            except Exception as exc:
                _log.debug("a call could not be answered", exc_info=True)
                return BatchResult(tuple(replies), sendable(exc))
        return BatchResult(tuple(replies))

    def _flush(self, home: Path) -> LogbookError | None:
        try:
            if home in self.flushes:
                self.flushes[home]()
        except LogbookError as exc:
            return exc
        return None

    def board(self, boat: str) -> tuple[str, str, bool] | None:
        """Return the trip and text of a boat's board, and whether it is live; None where no trip is open."""
        return board(self._desk(self._home(boat)).view())

    def between_trips(self, boat: str) -> str:
        """Return what stands on a boat's board where no trip is open."""
        return between_trips(self._desk(self._home(boat)).view())

    def helm(self) -> dict[str, Any] | None:
        """Return the board of this boat as values, for a screen; None where no trip is open."""
        return helm(self._desk(self.settings.home).view())

    def claim_due(self, boat: str, channel: str) -> tuple[str, ...]:
        """Return what a boat has to say unasked, once for each channel."""
        home = self._home(boat)
        if home not in self.desks and not _written_lately(home):
            return ()
        found = self._desk(home).claim_due(channel)
        if found:
            self.flushes[home]()
        return found

    def only_asks(self, text: str) -> bool:
        """Return whether a text only asks questions, which is all that a guest may do."""
        return self._desk(self.settings.home).only_asks(text)

    def spread_png(self) -> bytes | None:
        """Draw what is laid out on this boat; None where nothing is."""
        pictures = spread_pictures(self._desk(self.settings.home).view())
        return pictures[0].data if pictures else None

    def report(self, boat: str, trip: str, form: "ReportForm") -> bytes:
        """Return the report of a trip of a boat as a file; raises LogbookError."""
        from bot.desk.on_paper import trip_on_paper

        found = of_boat(self.settings, self._home(boat))
        return trip_on_paper(found, trip, form, datetime.now(UTC))

    def _home(self, boat: str) -> Path:
        """Return the folder of a boat; for an unknown name that of the settings."""
        named = Path(boat) if boat else self.settings.home
        return named if named in self.settings.homes else self.settings.home

    def _desk(self, home: Path) -> Desk:
        if home not in self.desks:
            opened = self.open_desk(of_boat(self.settings, home))
            self.desks[home] = self.stack.enter_context(opened)
            self.flushes[home] = opened.defer_sync()
        return self.desks[home]


def _written_lately(home: Path) -> bool:
    """Return whether a log was written so lately that it may hold an open trip."""
    from bot.logbook.store import FILE
    from bot.trip.conditions import FORGOTTEN_AFTER

    files = (home / FILE, home / f"{FILE}-wal")
    written = max((file.stat().st_mtime for file in files if file.exists()), default=0.0)
    return datetime.now(UTC).timestamp() - written < FORGOTTEN_AFTER.total_seconds()


@contextmanager
def open_desks(settings: Settings, open_desk: OpenDesk) -> Iterator[Fleet]:
    """Open the Desk of the home at once, so that faults show; the others when they are needed."""
    with ExitStack() as stack:
        flushers = stack.enter_context(ThreadPoolExecutor(SETTLERS))
        found = Fleet(settings, open_desk, stack, {}, {}, flushers)
        found._desk(settings.home)
        yield found
