"""`export` and `import`: the log out to other programs, and in from another boat."""

import sys
from collections.abc import Sequence
from datetime import UTC, datetime

from bot.cli.options import Arguments
from bot.cli.outfile import out_file
from bot.cli.shown import plain, put_json, read_file
from bot.errors import DeckcallError
from bot.replies.amounts import count
from bot.settings import Settings

MOST_SHOWN = 10
"""Bad lines that are named one by one."""
MOST_BYTES = 50_000_000
"""Largest file that is imported, in bytes: the log of a thousand trips has less."""


def export(args: Arguments, found: Settings) -> int:
    """Write the log, or one trip of it, to standard output or to a file."""
    from bot.logbook.exchange import going_out
    from bot.logbook.store import Logbook
    from bot.logbook.track import track_of
    from bot.reports.exports import BINARY, OF_PLACES, export_file, export_form
    from bot.reports.gather import named_trip

    form = args.format or export_form(args.out)
    if form in BINARY and args.out is None and sys.stdout.isatty():
        raise DeckcallError(f"{form} is nothing for a terminal; name a file with --out")
    out = out_file(args.out, args, found)
    with Logbook.open(found.home) as logbook:
        known = [row.id for row in logbook.trips()]
        said = args.trip or args.of_trip
        wanted = known if said in (None, "all") else [named_trip(logbook, said)]
        of_places = form in OF_PLACES
        tracks = {trip: way for trip in wanted if of_places and (way := track_of(logbook, trip))}
    records = going_out(found.home, wanted)
    made = export_file(
        records, form, found.boat.name, positions=args.positions, tracks=tracks, tz=found.boat.zone
    )
    out.put(made)
    if of_places and not tracks and not any(one.place for one in records):
        print("No entry has a place: nobody shared where the boat was.", file=sys.stderr)
    return 0


def bring(args: Arguments, found: Settings) -> int:
    """Take in an export of another boat, or of this one; what is known already stays as it is."""
    from bot.logbook.exchange import merge
    from bot.reports.as_jsonl import from_jsonl

    try:
        text = read_file(args.file, MOST_BYTES).decode("utf-8-sig")
    except UnicodeDecodeError as exc:
        raise DeckcallError(
            f"{args.file} is not UTF-8 (byte {exc.start}), so it is no export of deckcall"
        ) from exc
    read = from_jsonl(text)
    _show([(f"line {line}", reason) for line, reason in read.refused], "such lines")
    if read.refused and not read.rows:
        raise DeckcallError(
            f"{args.file} is no export that can be taken in; make one with: deckcall export --out"
            " log.jsonl"
        )
    if read.refused and not args.skip_bad:
        raise DeckcallError(
            f"{args.file}: {count(len(read.refused), 'bad line')}, nothing imported;"
            " import the rest with --skip-bad"
        )
    now = datetime.now(UTC)
    done = merge(found.home, read.rows, read.boats, found.boat.name, now, the_rest=args.skip_bad)
    _show(done.refused, "such records")
    if done.refused and not args.skip_bad:
        raise DeckcallError(
            f"{args.file}: {count(len(done.refused), 'record')} of it clash with this log, nothing imported;"
            " import the rest with --skip-bad"
        )
    if args.json:
        put_json(
            {"added": done.added, "entries": done.entries, "known": done.known,
             "differ": list(done.differ), "trips": list(done.trips),
             "refused": [{"id": name, "why": why} for name, why in done.refused]}
        )  # fmt: skip
    else:
        print(
            f"{count(done.added, 'record')} added, {done.entries} of them entries; {done.known} known"
            f" already; {count(len(done.trips), 'new trip')}"
        )
    return 0


def _show(refused: Sequence[tuple[str, str]], what: str) -> None:
    for name, reason in refused[:MOST_SHOWN]:
        print(plain(f"{name}: {reason}"), file=sys.stderr)
    if len(refused) > MOST_SHOWN:
        print(f"and {len(refused) - MOST_SHOWN} more {what}", file=sys.stderr)
