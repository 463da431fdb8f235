"""What `doctor` says of the instruments: as the bot that runs hears them, else as they are heard now."""

from datetime import UTC, datetime, timedelta
from typing import Final

from bot.build import open_feed_lines
from bot.errors import DeckcallError
from bot.instruments.feed import known_now
from bot.instruments.fold import Instruments
from bot.settings import Settings
from bot.stamps import MEASURED

LISTEN_FOR: Final = timedelta(seconds=3)


def heard_now(found: Settings) -> tuple[bool, str]:
    """Return whether anything useful is heard, and what."""
    known, now = known_now(found.home), datetime.now(UTC)
    if known is None or not _names(known, now):
        try:
            known = _listen(found)
        except (OSError, DeckcallError) as exc:
            return (
                False,
                f"{exc}; look at [instruments] in deckcall.toml, the cable and the network",
            )
    names = _names(known, datetime.now(UTC))
    lost = ", ".join(f"{many} {why}" for why, many in known.dropped.items() if why != "not used")
    dropped = f"; dropped: {lost}" if lost else ""
    if not names:
        return False, f"nothing that can be used is heard{dropped}; are they switched on?"
    return True, f"{', '.join(names)}{dropped}"


def _listen(found: Settings) -> Instruments:
    known, until = Instruments(), datetime.now(UTC) + LISTEN_FOR
    for line in open_feed_lines(found):
        now = datetime.now(UTC)
        if line:
            known = known.take(line, now)
        if now >= until:
            break
    return known


def _names(known: Instruments, now: datetime) -> list[str]:
    fix = known.fix(now)
    there = ["place"] if fix.place is not None else []
    return there + [name for name in MEASURED if getattr(fix.stamp, name) is not None]
