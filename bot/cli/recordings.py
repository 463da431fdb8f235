"""What was said, as sound: list the recordings, give one as a file, hear again what waits, forget them."""

import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from bot.cli.options import Arguments
from bot.cli.outfile import out_file
from bot.cli.shown import put_json, read_file
from bot.errors import DeckcallError
from bot.settings import Settings

if TYPE_CHECKING:
    from bot.logbook.recordings import Recording


def recording(args: Arguments, found: Settings) -> int:
    """List the recordings that are there, or write one to a file or to standard output."""
    from bot.logbook.recordings import recording_of, recordings
    from bot.logbook.store import Logbook

    out = out_file(args.out, args, found)
    with Logbook.open(found.home) as log:
        if not args.id:
            return _listed(args, found, recordings(log))
        one = recording_of(log, args.id)
    if one is None:
        raise DeckcallError(
            f'no recording of "{args.id}": it was typed, or removed after [speech] keep_days;'
            " deckcall recording lists what is there"
        )
    if args.out is None and sys.stdout.isatty():
        print(one.path)
    else:
        out.put(read_file(str(one.path)))
    return 0


def _listed(args: Arguments, found: Settings, there: "tuple[Recording, ...]") -> int:
    if args.json:
        put_json(
            {
                "recordings": [
                    {
                        "id": one.message,
                        "entries": list(one.entries),
                        "at": one.said_at.isoformat(),
                        "crew": one.crew,
                        "heard": one.heard,
                        "outcome": one.outcome,
                        "file": str(one.path),
                    }
                    for one in there
                ]
            }
        )
    elif there:
        for one in there:
            said = f"{one.said_at.astimezone(found.boat.zone):%Y-%m-%d %H:%M}"
            what = "waits for hear --retry" if one.waits else one.heard or one.outcome
            print(f"{one.message[-8:]}  {said}  {one.crew}: {what}")
    else:
        print("There are no recordings.", file=sys.stderr)
    return 0


def forget(args: Arguments, found: Settings) -> int:
    """Remove recordings of this boat, and of the others of the settings, after asking.

    What was learnt from those calls is forgotten with them.
    """
    from bot.logbook.recordings import forget as remove, recordings
    from bot.logbook.store import FILE, Logbook

    homes = found.homes
    count = 0
    for home in (home for home in homes if (home / FILE).exists()):
        with Logbook.open(home) as log:
            chosen = [one for one in recordings(log) if _is_meant(one, args)]
            if not chosen or args.yes or _agreed(chosen, home):
                count += remove(log, chosen)
                _unlearn(home, args, chosen)
    print(f"{count} recording{'' if count == 1 else 's'} removed; the log stays.")
    return 0


def _unlearn(home: Path, args: Arguments, chosen: "list[Recording]") -> None:
    """Learn no more from the calls that were meant, whether or not there was a recording of them."""
    from bot.logbook.learnt import unlearn

    now = datetime.now(UTC)
    if args.entry is not None:
        unlearn(home, now, messages=[one.message for one in chosen])
    elif args.older_than is not None:
        unlearn(home, now - timedelta(days=args.older_than))
    else:
        unlearn(home, now, crew=args.crew)


def _is_meant(one: "Recording", args: Arguments) -> bool:
    if args.entry is not None:
        return args.entry == one.message or args.entry in one.entries
    if args.crew is not None:
        return bool(one.crew.casefold() == args.crew.casefold())
    if args.older_than is not None:
        return one.arrived_at < datetime.now(UTC) - timedelta(days=args.older_than)
    return bool(args.all)


def _agreed(chosen: "list[Recording]", home: Path) -> bool:
    """Ask before anything is removed; where nobody can be asked, an option has to say it."""
    waits = sum(one.waits for one in chosen)
    not_heard = f", {waits} of them not heard yet" if waits else ""
    what = f"{len(chosen)} recording{'' if len(chosen) == 1 else 's'}{not_heard} in {home}"
    if not sys.stdin.isatty():
        raise DeckcallError(f"{what}: nothing removed; add --yes to remove them")
    print(f"Remove {what} for good? [y/N] ", end="", file=sys.stderr, flush=True)
    return sys.stdin.readline().strip().lower() in ("y", "yes")


def retry(args: Arguments, found: Settings) -> int:
    """Hear what waits, and log it at the time at which it was said; what hangs again goes on waiting."""
    from bot.build import open_desk
    from bot.fittings import ear_workers
    from bot.logbook.recordings import waiting_recordings
    from bot.logbook.store import Logbook

    with Logbook.open(found.home) as log:
        waits = waiting_recordings(log)
        with ear_workers(found) as ears, open_desk(found, workers=ears) as desk:
            for one in waits:
                reply = desk.retry(one)
                answer = {
                    "file": one.path.name, "at": one.said_at.isoformat(), "crew": one.crew,
                    "text": reply.heard, "calls": list(reply.calls),
                    "confidence": round(reply.confidence, 3), "ask": reply.ask, "reply": reply.text,
                    "logged": list(reply.logged),
                }  # fmt: skip
                if args.json:
                    put_json(answer)
                else:
                    said = one.said_at.astimezone(found.boat.zone)
                    print(f"{said:%Y-%m-%d %H:%M} {one.crew}: {reply.text or reply.heard}")
        left = len(waiting_recordings(log))
    if left:
        raise DeckcallError(
            f"{left} of {len(waits)} still could not be heard and wait on; "
            "deckcall doctor shows what the ear lacks, deckcall recording plays them"
        )
    if not waits:
        print("No recording waits to be heard.", file=sys.stderr)
    return 0
