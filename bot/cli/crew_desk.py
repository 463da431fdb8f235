"""The Desk as the transports with many people need it: by boat, and able to cross into a process.

`open_crew_desk` runs in the process that answers; what it gives is asked by method name from outside.
"""

import logging
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Final

from bot.apart import sendable
from bot.errors import LogbookError
from bot.messages import Message, Reply
from bot.settings import Settings
from bot.settings.values import InstrumentSettings
from bot.transcript import Heard
from bot.transports.answered import Answered, Call

if TYPE_CHECKING:
    from bot.desk import Desk
    from bot.speech.engine import EngineGrammar

_log = logging.getLogger(__name__)


SETTLERS: Final = 8
"""So many logs are waited for at the disk at the same time: it takes them together."""


@dataclass(slots=True)
class CrewDesk:
    """A Desk for each boat, opened when its first call comes."""

    settings: Settings
    stack: ExitStack
    desks: "dict[Path, Desk]"
    settles: dict[Path, Callable[[], None]]
    """For each open Desk what waits for its log to be on the disk."""
    settlers: ThreadPoolExecutor

    def answer(self, message: Message, heard: Heard | None = None) -> Reply:
        """Answer a call on the boat that its chat belongs to; `heard` is what was made of its recording."""
        home = home_of(self.settings, _chat(message))
        reply = self._desk(home).answer(message, heard)
        self.settles[home]()
        return reply

    def grammar(self, message: Message) -> "EngineGrammar | None":
        """Give what may be said in a recording; None where it was answered before."""
        return self._desk(home_of(self.settings, _chat(message))).grammar(message)

    def tidy(self) -> None:
        """Remove the recordings of every boat that were kept for long enough."""
        from bot.logbook.recordings import purge
        from bot.logbook.store import FILE, Logbook

        for home in (self.settings.home, *self.settings.telegram.boats.values()):
            if home in self.desks:
                self.desks[home].tidy()
            elif (home / FILE).exists():
                with Logbook.open(home) as log:
                    purge(log, self.settings.speech.keep_days, datetime.now(UTC))

    def answer_all(self, said: Sequence[Sequence[Call]]) -> list[Answered]:
        """Answer messages of several boats, each boat's in order; they are on the disk on return.

        A boat is left where one of its messages fails; the others go on.
        """
        answered = [self._one_boat(calls) for calls in said]
        homes = [home_of(self.settings, _chat(calls[0].message)) for calls in said]
        settled = dict(zip(set(homes), self.settlers.map(self._settle, set(homes)), strict=True))
        return [
            found if settled[home] is None else Answered((), settled[home])
            for home, found in zip(homes, answered, strict=True)
        ]

    def _one_boat(self, calls: Sequence[Call]) -> Answered:
        replies: list[Reply] = []
        for call in calls:
            try:
                home = home_of(self.settings, _chat(call.message))
                replies.append(self._desk(home).answer(call.message, call.heard))
            except Exception as exc:
                _log.debug("a call could not be answered", exc_info=True)
                return Answered(tuple(replies), sendable(exc))
        return Answered(tuple(replies))

    def _settle(self, home: Path) -> LogbookError | None:
        try:
            if home in self.settles:
                self.settles[home]()
        except LogbookError as exc:
            return exc
        return None

    def board(self, chat: int) -> tuple[str, str, bool] | None:
        """Give trip, text and liveliness of a chat's board; None where there is no open trip."""
        from bot.cli.board import board

        return board(self._desk(home_of(self.settings, chat)).view())

    def unasked(self, chat: int, channel: str) -> tuple[str, ...]:
        """Give what the boat of a chat has to say by itself, once for each channel."""
        home = home_of(self.settings, chat)
        if home not in self.desks and not _written_lately(home):
            return ()
        found = self._desk(home).unasked(channel)
        if found:
            self.settles[home]()
        return found

    def only_asks(self, text: str) -> bool:
        """Say whether a text is nothing but questions: what a guest may say."""
        from bot.build import open_language
        from bot.calls.understand import understand
        from bot.transcript import typed
        from bot.trip.acts import QUESTIONS

        calls = understand(typed(text), open_language(self.settings)).calls if text.strip() else ()
        return bool(calls) and all(call.act in QUESTIONS for call in calls)

    def spread_png(self) -> bytes | None:
        """Draw what is laid out on this boat; None where nothing is."""
        from bot.answers.drawing import spread_pictures

        pictures = spread_pictures(self._desk(self.settings.home).view())
        return pictures[0].data if pictures else None

    def _desk(self, home: Path) -> "Desk":
        from bot.build import open_desk

        if home not in self.desks:
            found = self.settings
            if home != found.home:  # the instruments are those of the boat whose settings these are
                found = replace(found, home=home, instruments=InstrumentSettings())
            opened = open_desk(found)
            self.desks[home] = self.stack.enter_context(opened)
            self.settles[home] = opened.put_off()
        return self.desks[home]


def _written_lately(home: Path) -> bool:
    """Say whether a log can hold a trip that is open; others need not be opened to look."""
    from bot.logbook.store import FILE
    from bot.trip.conditions import FORGOTTEN_AFTER

    files = (home / FILE, home / f"{FILE}-wal")
    written = max((file.stat().st_mtime for file in files if file.exists()), default=0.0)
    return datetime.now(UTC).timestamp() - written < FORGOTTEN_AFTER.total_seconds()


@contextmanager
def open_crew_desk(settings: Settings) -> Iterator[CrewDesk]:
    """Open the Desk of the home itself, so that what is wrong shows at once; others when called for."""
    with ExitStack() as stack:
        settlers = stack.enter_context(ThreadPoolExecutor(SETTLERS))
        found = CrewDesk(settings, stack, {}, {}, settlers)
        found._desk(settings.home)
        yield found


def home_of(settings: Settings, chat: int) -> Path:
    """Give the folder of the boat that a chat belongs to."""
    boats: Mapping[int, Path] = settings.telegram.boats
    return boats.get(chat, settings.home)


def _chat(message: Message) -> int:
    parts = (message.ref or "").split(":")
    return int(parts[1]) if parts[0] == "telegram" and len(parts) > 2 else 0
