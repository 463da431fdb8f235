"""What the commands open: settings to a Desk, to the call language, to an ear.

A thin door above the desk, so that `cli` need not know what a desk is made of.
"""

from contextlib import AbstractContextManager, contextmanager, nullcontext
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from bot.collector import collector_off
from bot.messages import Source
from bot.settings import Settings

if TYPE_CHECKING:
    from collections.abc import Iterator

    from bot.answers.view import View
    from bot.calls.language import Language
    from bot.desk import Desk
    from bot.desk.fleet import Fleet
    from bot.instruments.lines import Where
    from bot.speech.workers import Workers
    from bot.stamps import FixAt


def open_desk(
    found: Settings, *, source: Source = "console", workers: "Workers | None" = None
) -> "Desk":
    """Open the desk of a home; `workers` hear for it, and stay the caller's; raises DeckcallError."""
    with collector_off():
        from bot.desk import Desk  # all that answers: who only hands calls on does without it

    if not found.instruments.kind:
        return Desk(settings=found, source=source, workers=workers)
    from bot.instruments.feed import now_of

    return Desk(settings=found, source=source, workers=workers, instruments=now_of(found.home))


@contextmanager
def open_view(found: Settings) -> "Iterator[View]":
    """Yield what is true now, the log open meanwhile, for commands that only look; raises DeckcallError."""
    from bot.desk.views import Views
    from bot.fittings import boat_of
    from bot.logbook.store import Logbook
    from bot.stamps import nothing_measured
    from bot.trip.memory import Memory

    fix_at: FixAt = nothing_measured
    if found.instruments.kind:
        from bot.instruments.feed import now_of

        fix_at = now_of(found.home)
    with Logbook.open(found.home, check=True) as log:
        views = Views(log, found, boat_of(found), Memory(), fix_at)
        yield views.of(log.latest_trip(), log.lures(), datetime.now(UTC).replace(microsecond=0))


def open_fleet(found: Settings) -> "AbstractContextManager[Fleet]":
    """Open the desks of all boats, as another process does for its transport; raises DeckcallError."""
    from bot.desk.fleet import open_desks

    return open_desks(found, open_desk)


def open_feed(found: Settings) -> AbstractContextManager[object]:
    """Return what reads the instruments while it is entered; nothing where the settings name none."""
    if not found.instruments.kind:
        return nullcontext()
    from bot.instruments.feed import Feed

    return Feed(found.home, _where(found), track=found.instruments.track)


def open_feed_lines(found: Settings) -> "Iterator[str | None]":
    """Return what the instruments say now, line by line; raises OSError, DeckcallError."""
    from bot.instruments.lines import lines

    return lines(_where(found))


def _where(found: Settings) -> "Where":
    from bot.instruments.lines import Where

    said = found.instruments
    return Where(said.kind, said.host, said.port, said.device, said.baud)  # type: ignore[arg-type]


def open_language(found: Settings) -> "Language":
    """Make the call language of a home with its box, logging nothing; raises DeckcallError."""
    with collector_off():
        import bot.calls.understand  # noqa: F401 - with all that reads a line
        from bot.fittings import language_of
        from bot.logbook.store import FILE, Logbook

    if not (found.home / FILE).exists():
        return language_of(found, (), keep=False)
    with Logbook.open(found.home) as logbook:
        return language_of(found, logbook.lures(), keep=True)
