"""The tackle box: import, list, export, show, template."""

import sys
from dataclasses import replace
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any, Final

from bot.cli.options import Arguments
from bot.cli.outfile import out_file
from bot.cli.shown import put_columns, put_json, read_file
from bot.errors import TackleError
from bot.settings import Settings

if TYPE_CHECKING:
    from bot.answers.view import View
    from bot.tackle.items import Lure

MOST_BYTES: Final = 10_000_000
"""Of a file of lures."""


def box(args: Arguments, found: Settings) -> int:
    """Do the job that was named."""
    jobs = {"import": _bring, "list": _list, "export": _export, "show": _show,
            "template": _template}  # fmt: skip
    return jobs[args.job](args, found)


def _bring(args: Arguments, found: Settings) -> int:
    from bot.fittings import clashes
    from bot.logbook.store import Logbook
    from bot.tackle.box import merge, parse

    read = parse(read_file(args.file, MOST_BYTES), found.words.colours)
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
    for said in clashes(found, after, frozenset(lure.name for lure in read.lures)):
        print(f"note: {said}", file=sys.stderr)
    added = len(after) - before
    print(f"{added} added, {len(read.lures) - added} brought up to date, {len(after)} in the box")
    return 0


def _list(args: Arguments, found: Settings) -> int:
    view = _view(found)
    if args.json:
        put_json({"lures": [_as_json(lure) | _more(view, lure) for lure in _now(view)]})
    elif view.box:
        rows = [
            (
                lure.name, f"{lure.size_in:g}", " ".join(lure.colours), lure.head or "",
                lure.hook_gauge or "", str(len(_spares(view, lure))), view.readiness[lure.name].state,
            )
            for lure in sorted(view.box, key=lambda lure: (-lure.size_in, lure.name.casefold()))
        ]  # fmt: skip
        put_columns(("name", "size_in", "colours", "head", "hook_gauge", "spares", "stands"), rows)
    else:
        print("The box is empty: deckcall box import FILE.csv", file=sys.stderr)
    return 0


def _export(args: Arguments, found: Settings) -> int:
    from bot.tackle.box import format

    out = out_file(args.out, args, found)
    out.put(format(_now(_view(found))))
    return 0


def _template(args: Arguments, found: Settings) -> int:
    """Write an example of a box file: invented lures, every column, every kind of value."""
    from bot.tackle.box import TEMPLATE

    out_file(args.out, args, found).put(TEMPLATE)
    return 0


def _show(args: Arguments, found: Settings) -> int:
    from bot.tackle.box import find

    name = " ".join(args.name)
    view = _view(found)
    matches = find(_now(view), lure=name)
    if not matches:
        raise TackleError(f'no lure "{name}" in the box; deckcall box list shows what there is')
    lure, record = matches[0], _record(found, matches[0].name)
    if args.json:
        put_json(_as_json(lure) | _more(view, lure) | {"record": record})
        return 0
    for key, value in _as_json(lure).items():
        print(f"{key}: {_words(value)}")
    others = [f"{x} ({view.readiness[x].state})" for x in _spares(view, lure)]
    print(f"spares: {', '.join(others) or 'none'}")
    stands = view.readiness[lure.name]
    print(f"stands: {stands.state}{f' ({stands.reason})' if stands.reason else ''}")
    print(
        f"record: {record['strikes']} strikes, {record['hookups']} hook-ups, {record['caught']} caught"
        f" in {record['hours']:.1f} lure-hours"
    )
    return 0


def _view(found: Settings) -> "View":
    from bot.build import open_desk

    with open_desk(found) as desk:
        view = desk.view()
        _ = view.readiness  # looks at earlier trips, so while the log is open
        return view


def _now(view: "View") -> tuple["Lure", ...]:
    """Give the lures of the box, ready where they are ready now, whatever was imported."""
    return tuple(
        replace(lure, ready=view.readiness[lure.name].state == "ready") for lure in view.box
    )


def _more(view: "View", lure: "Lure") -> dict[str, Any]:
    """Give how a lure stands, and what can take its place."""
    stands = view.readiness[lure.name]
    return {"stands": stands.state, "reason": stands.reason, "spares": _spares(view, lure)}


def _spares(view: "View", lure: "Lure") -> list[str]:
    """Give the names of its spares that are on board still."""
    from bot.tackle.box import spares

    return [x.name for x in spares(lure, view.box) if view.readiness[x.name].state != "lost"]


def _words(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return " ".join(value) if isinstance(value, list) else f"{value}"


def _record(found: Settings, name: str) -> dict[str, Any]:
    """Give what the whole log says of a lure."""
    from bot.answers.asked import ALL_TRIPS, Asked, tally_for
    from bot.build import open_desk
    from bot.trip.exposure import Only

    with open_desk(found) as desk:
        total = tally_for(desk.view(), Asked(only=Only(lure=name), span=ALL_TRIPS)).total
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
    return {k: _plain(v) for k, v in slots.items() if v is not None}


def _plain(value: Any) -> Any:
    if isinstance(value, tuple):
        return list(value)
    return int(value) if isinstance(value, float) and value.is_integer() else value
