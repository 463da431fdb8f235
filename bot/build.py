"""What the commands open: settings to a Desk, to the call language, to an ear.

A thin door above the desk, so that `cli` need not know what a desk is made of.
"""

from typing import TYPE_CHECKING

from bot.desk import Desk
from bot.messages import Source
from bot.settings import Settings

if TYPE_CHECKING:
    from bot.calls.understand import Language
    from bot.speech.workers import Workers


def open_desk(
    found: Settings, *, source: Source = "console", workers: "Workers | None" = None
) -> Desk:
    """Open the desk of a home; `workers` hear for it, and stay the caller's; raises DeckcallError."""
    return Desk(settings=found, source=source, workers=workers)


def open_language(found: Settings) -> "Language":
    """Make the call language of a home with its box, writing nothing; raises DeckcallError."""
    from bot.fittings import language_of
    from bot.logbook.store import FILE, Logbook

    if not (found.home / FILE).exists():
        return language_of(found, ())
    with Logbook.open(found.home) as logbook:
        return language_of(found, logbook.lures())
