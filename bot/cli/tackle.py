"""The tackle box: import, list, export, show, remove, template."""

import sys
from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import UTC, datetime
from difflib import get_close_matches
from typing import TYPE_CHECKING, Any, Final

from bot.cli.options import Arguments
from bot.cli.outfile import out_file
from bot.cli.shown import put_columns, put_json, read_file
from bot.errors import TackleError
from bot.settings import Settings

if TYPE_CHECKING:
    from bot.answers.view import View
    from bot.tackle.items import Lure

MOST_BYTES: Final = 2_000_000
"""Largest file of lures, in bytes."""
MOST_LINES: Final = 5
"""Lines of which the same is said that are named one by one."""


def box(args: Arguments, found: Settings) -> int:
    """Do the job that was named."""
    jobs = {"import": _bring, "list": _list, "export": _export, "show": _show,
            "remove": _remove, "template": _template}  # fmt: skip
    return jobs[args.job](args, found)


def _bring(args: Arguments, found: Settings) -> int:
    from bot.fittings import clashes, colour_words
    from bot.logbook.store import Logbook
    from bot.tackle.box import merge, name_key, parse

    words = colour_words(found.words.colours)
    read = parse(read_file(args.file, MOST_BYTES), words=words)
    for said in _by_line(read.refused):
        print(said, file=sys.stderr)
    if read.refused and not (args.skip_bad and read.lures):
        bad = len({line for line, _ in read.refused})
        raise TackleError(
            f"{args.file}: {bad} bad line{'s' if bad > 1 else ''}, nothing imported;"
            " mend them, or import the rest with --skip-bad"
        )
    for said in _by_line(read.taken_for):
        print(f"note: {said}", file=sys.stderr)
    if read.taken_for:
        print(
            "note: a colour of your own goes into [words.colours] of deckcall.toml", file=sys.stderr
        )
    with Logbook.open(found.home, check=True) as logbook:
        before = len(logbook.lures())
        after = merge(logbook.lures(), read.lures)
        logbook.import_lures(read.lures, datetime.now(UTC))
    for said in clashes(found, after, frozenset(lure.name for lure in read.lures)):
        print(f"note: {said}", file=sys.stderr)
    told = {name_key(lure.name) for lure in read.lures}
    missing = [x.name for x in after if name_key(x.name) not in told]
    if 0 < len(missing) < len(told):
        print(f"note: {_not_in_file(missing, args.file)}", file=sys.stderr)
    added = len(after) - before
    print(f"{added} added, {len(read.lures) - added} brought up to date, {len(after)} in the box")
    return 0


def _not_in_file(names: Sequence[str], file: str) -> str:
    """Return which lures of the box a file does not hold: left at home, or there under another name."""
    return (
        f"not in {file}, and still in the box: {_first_of(names)};"
        " deckcall box remove NAME takes one out"
    )


def _first_of(said: Sequence[object]) -> str:
    """Return the first few of a list in words, and how many more there are."""
    shown = ", ".join(str(one) for one in said[:MOST_LINES])
    more = f" and {len(said) - MOST_LINES} more" if len(said) > MOST_LINES else ""
    return f"{shown}{more}"


def _by_line(told: Sequence[tuple[int, str]]) -> Iterator[str]:
    """Yield what is said of lines, once for all lines of which the same is said."""
    lines: dict[str, list[int]] = {}
    for line, what in told:
        lines.setdefault(what, []).append(line)
    for what, where in lines.items():
        first, last, many = where[0], where[-1], len(where)
        if many == 1:
            yield f"line {first}: {what}"
        elif last - first == many - 1:
            yield f"lines {first} to {last}: {what}"
        else:
            yield f"lines {_first_of(where)}: {what}"


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


def _remove(args: Arguments, found: Settings) -> int:
    """Take a lure out of the box; its past stays in the log."""
    from bot.logbook.store import Logbook

    lure = _meant(args, found, _view(found))
    with Logbook.open(found.home, check=True) as logbook:
        logbook.remove_lure(lure.name)
        left = len(logbook.lures())
    print(f"{lure.name} is out of the box, {left} in it; what was logged of it stays")
    return 0


def _meant(args: Arguments, found: Settings, view: "View") -> "Lure":
    """Return the lure that is named; raises TackleError where there is none."""
    from bot.tackle.box import find

    said = " ".join(args.name)
    matches = find(_now(view), lure=_named(said, view, found)) or _by_a_word(said, view)
    if not matches:
        near = get_close_matches(said, [lure.name for lure in view.box], 1, 0.6)
        meant = f'did you mean "{near[0]}"?' if near else "deckcall box list shows what there is"
        raise TackleError(f'no lure "{said}" in the box; {meant}')
    return matches[0]


def _by_a_word(said: str, view: "View") -> tuple["Lure", ...]:
    """Return the one lure whose name holds all these words, or none: "hat" is the Church Hat."""
    words = set(said.casefold().split())
    fit = tuple(one for one in _now(view) if words <= set(one.name.casefold().split()))
    return fit if words and len(fit) == 1 else ()


def _show(args: Arguments, found: Settings) -> int:
    view = _view(found)
    lure = _meant(args, found, view)
    record = _record(found, lure.name)
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


def _named(said: str, view: "View", found: Settings) -> str:
    """Return the name of a lure that is called by its name or a nickname."""
    from bot.tackle.box import same_name

    if any(same_name(lure.name, said) for lure in view.box):
        return said
    nicknames = found.words.nicknames.items()
    return next((n for n, forms in nicknames if any(same_name(f, said) for f in forms)), said)


def _view(found: Settings) -> "View":
    from bot.build import open_view

    with open_view(found) as view:
        _ = view.readiness  # looks at earlier trips, so while the log is open
        return view


def _now(view: "View") -> tuple["Lure", ...]:
    """Return the lures of the box, ready where they are ready now, whatever was imported."""
    return tuple(
        replace(lure, ready=view.readiness[lure.name].state == "ready") for lure in view.box
    )


def _more(view: "View", lure: "Lure") -> dict[str, Any]:
    """Return how a lure stands, and what can take its place."""
    stands = view.readiness[lure.name]
    return {"stands": stands.state, "reason": stands.reason, "spares": _spares(view, lure)}


def _spares(view: "View", lure: "Lure") -> list[str]:
    """Return the names of its spares that are on board still."""
    from bot.tackle.box import spares

    return [x.name for x in spares(lure, view.box) if view.readiness[x.name].state != "lost"]


def _words(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return " ".join(value) if isinstance(value, list) else f"{value}"


def _record(found: Settings, name: str) -> dict[str, Any]:
    """Return what the whole log says of a lure."""
    from bot.answers.asked import ALL_TRIPS, TallyRequest, tally_for
    from bot.build import open_view
    from bot.trip.exposure import Only

    with open_view(found) as view:
        total = tally_for(view, TallyRequest(only=Only(lure=name), span=ALL_TRIPS)).total
    return {
        "strikes": total.strikes,
        "hookups": total.hookups,
        "caught": total.caught,
        "hours": round(total.hours, 2),
    }


def _as_json(lure: Any) -> dict[str, Any]:
    """Return a lure with only what is known of it."""
    from bot.tackle.box import COLUMNS

    slots = {column: getattr(lure, column) for column in COLUMNS}
    return {k: _plain(v) for k, v in slots.items() if v is not None}


def _plain(value: Any) -> Any:
    if isinstance(value, tuple):
        return list(value)
    return int(value) if isinstance(value, float) and value.is_integer() else value
