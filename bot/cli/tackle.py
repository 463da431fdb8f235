"""The tackle box: import, list, export, show."""

import sys
from datetime import UTC, datetime
from typing import Any

from bot.cli.options import Arguments
from bot.cli.shown import put_columns, put_file, put_json, read_file
from bot.errors import TackleError
from bot.settings import Settings


def box(args: Arguments, found: Settings) -> int:
    """Do the job that was named."""
    jobs = {"import": _bring, "list": _list, "export": _export, "show": _show}
    return jobs[args.job](args, found)


def _bring(args: Arguments, found: Settings) -> int:
    from bot.logbook.store import Logbook
    from bot.tackle.box import merge, parse

    read = parse(read_file(args.file), found.words.colours)
    for line, reason in read.refused:
        print(f"line {line}: {reason}", file=sys.stderr)
    if read.refused and not (args.skip_bad and read.lures):
        raise TackleError(
            f"{args.file}: {len(read.refused)} bad line(s), nothing imported;"
            " mend them, or import the rest with --skip-bad"
        )
    with Logbook.open(found.home) as logbook:
        before = len(logbook.lures())
        after = merge(logbook.lures(), read.lures)
        logbook.import_lures(read.lures, datetime.now(UTC))
    added = len(after) - before
    print(f"{added} added, {len(read.lures) - added} brought up to date, {len(after)} in the box")
    return 0


def _list(args: Arguments, found: Settings) -> int:
    lures = _lures(found)
    if args.json:
        put_json({"lures": [_as_json(lure) for lure in lures]})
    elif lures:
        rows = [
            (
                lure.name, lure.head or "", f"{lure.size_in:g}", " ".join(lure.colours),
                lure.hook_gauge or "", "yes" if lure.ready else "",
            )
            for lure in lures
        ]  # fmt: skip
        put_columns(("name", "head", "size_in", "colours", "hook_gauge", "ready"), rows)
    else:
        print("The box is empty: deckcall box import FILE.csv", file=sys.stderr)
    return 0


def _export(args: Arguments, found: Settings) -> int:
    from bot.tackle.box import format

    put_file(format(_lures(found)), args.out)
    return 0


def _show(args: Arguments, found: Settings) -> int:
    from bot.tackle.box import find

    name = " ".join(args.name)
    matches = find(_lures(found), lure=name)
    if not matches:
        raise TackleError(f'no lure "{name}" in the box; deckcall box list shows what there is')
    lure, record = matches[0], _record(found, matches[0].name)
    if args.json:
        put_json(_as_json(lure) | {"record": record})
        return 0
    for key, value in _as_json(lure).items():
        print(f"{key}: {' '.join(value) if isinstance(value, list) else value}")
    print(
        f"record: {record['strikes']} strikes, {record['hookups']} hook-ups, {record['caught']} caught"
        f" in {record['hours']:.1f} lure-hours"
    )
    return 0


def _lures(found: Settings) -> tuple[Any, ...]:
    from bot.logbook.store import Logbook

    with Logbook.open(found.home) as logbook:
        return logbook.lures()


def _record(found: Settings, name: str) -> dict[str, Any]:
    """Give what the whole log says of a lure."""
    from bot.cli.record import folded
    from bot.trip.exposure import Only
    from bot.trip.tally import tally

    total = tally(folded(found, "all"), "none", datetime.now(UTC), only=Only(lure=name)).total
    return {
        "strikes": total.strikes,
        "hookups": total.hookups,
        "caught": total.caught,
        "hours": round(total.hours, 2),
    }


def _as_json(lure: Any) -> dict[str, Any]:
    """Give a lure with only what is known of it."""
    from bot.tackle.box import COLUMNS

    slots = {column: getattr(lure, column) for column in COLUMNS}
    return {k: list(v) if isinstance(v, tuple) else v for k, v in slots.items() if v is not None}
