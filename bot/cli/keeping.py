"""`backup` and `restore`: a checked copy of the log, and the way back to one."""

import sys
from datetime import UTC, datetime
from pathlib import Path

from bot.cli.options import Arguments
from bot.cli.outfile import refuse_kept
from bot.cli.shown import put_json
from bot.replies.amounts import count
from bot.settings import Settings


def backup(args: Arguments, found: Settings) -> int:
    """Copy the log while it may be in use, and check the copy."""
    from bot.logbook.backups import BACKUPS
    from bot.logbook.keeping import back_up, look_at

    out = Path(args.out).expanduser() if args.out else None
    if out is not None and out.resolve().parent != (found.home / BACKUPS).resolve():
        refuse_kept(out, found)
    made = back_up(found.home, datetime.now(UTC), out)
    held = look_at(made)
    if args.json:
        put_json(
            {
                "file": str(made),
                "trips": held.trips,
                "entries": held.entries,
                "last_at": held.last_at,
            }
        )
    else:
        print(
            f"{made}: {count(held.trips, 'trip')}, {count(held.entries, 'entry')}, checked from end to end"
        )
    return 0


def restore(args: Arguments, found: Settings) -> int:
    """Put a copy in the place of the log; the log that was there is kept."""
    from bot.logbook.keeping import restore as put_back

    held, kept = put_back(found.home, Path(args.file).expanduser(), datetime.now(UTC))
    found_in_it = f"{count(held.trips, 'trip')}, {count(held.entries, 'entry')}"
    print(f"restored: {found_in_it}, the last of {held.last_at or '-'}")
    if held.dropped:
        print(
            f"left out: {count(held.dropped, 'name of a recording')}; no recording of a boat is called that",
            file=sys.stderr,
        )
    if kept is not None:
        print(f"the log that was there is now {kept}")
    return 0
