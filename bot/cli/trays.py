"""Trays: list, show, card for the lid, import, export, template, drop; and a plan that goes into one."""

import sys
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
    from bot.spread.plan import Plan
    from bot.tackle.trays import Tray

MOST_BYTES: Final = 1_000_000
"""Of a file of trays."""
FORMS: Final = ("pdf", "svg", "png")


def tray(args: Arguments, found: Settings) -> int:
    """Do the job that was named."""
    jobs = {"list": _list, "show": _show, "card": _card, "import": _bring, "export": _export,
            "template": _template, "drop": _drop}  # fmt: skip
    return jobs[args.job](args, found)


def keep_plan(
    name: str, plan: "Plan", view: "View", found: Settings, tackle: str | float | None
) -> "Tray":
    """Keep a plan as a tray of this name, in the place of one that has it; return the tray."""
    from bot.answers.put_out import tray_from
    from bot.logbook.store import Logbook
    from bot.logbook.trays import keep_trays

    try:
        made = tray_from(view, name.casefold(), plan, tackle)
    except ValueError as exc:
        raise TackleError(f"{exc}; give it one after --tray") from exc
    with Logbook.open(found.home, check=True) as logbook:
        keep_trays(logbook, [made], datetime.now(UTC))
    return made


def _list(args: Arguments, found: Settings) -> int:
    from bot.answers.drawing import terms_of
    from bot.spread.trays import not_ready

    view = _view(found)
    if args.json:
        put_json({"trays": [_as_json(view, one) for one in view.trays]})
        return 0
    rows = [
        (one.name, str(len(one.runners)), str(len(one.spares)),
         str(len(not_ready(one, view.readiness))), terms_of(one, view.units))
        for one in view.trays
    ]  # fmt: skip
    if rows:
        put_columns(("tray", "lures", "spares", "not ready", "for"), rows)
    else:
        print(
            "No tray is filled: deckcall plan --tray NAME, or deckcall tray import FILE.csv",
            file=sys.stderr,
        )
    return 0


def _show(args: Arguments, found: Settings) -> int:
    from bot.answers.tray_talk import tray_lines

    view = _view(found)
    one = _named(view, args.name)
    if args.json:
        put_json(_as_json(view, one))
    else:
        print("\n".join(tray_lines(view, one)))
    return 0


def _card(args: Arguments, found: Settings) -> int:
    from bot.answers.drawing import tray_pictures

    view = _view(found)
    one = _named(view, args.name)
    form = args.out.lower().rsplit(".", 1)[-1] if args.out else "pdf"
    if form not in FORMS:
        raise TackleError(f"{args.out} must end in .pdf, .svg or .png")
    drawn = tray_pictures(view, one, form)  # type: ignore[arg-type]
    if not drawn:
        raise TackleError(f"nothing lies in {one.words}: fill it first")
    out_file(args.out, args, found).put(drawn[0].data)
    return 0


def _bring(args: Arguments, found: Settings) -> int:
    from bot.logbook.store import Logbook
    from bot.logbook.trays import keep_trays
    from bot.tackle.trays import parse

    view = _view(found)
    read = parse(read_file(args.file, MOST_BYTES), view.box, view.boat.positions)
    for line, what in read.refused:
        print(f"line {line}: {what}", file=sys.stderr)
    if read.refused:
        bad = len({line for line, _ in read.refused})
        raise TackleError(
            f"{args.file}: {bad} bad line{'s' if bad > 1 else ''}, nothing imported; mend them"
        )
    with Logbook.open(found.home, check=True) as logbook:
        keep_trays(logbook, read.trays, datetime.now(UTC))
    names = ", ".join(one.name for one in read.trays)
    print(f"{len(read.trays)} tray{'s' if len(read.trays) != 1 else ''}: {names}")
    return 0


def _export(args: Arguments, found: Settings) -> int:
    from bot.tackle.trays import format

    out_file(args.out, args, found).put(format(_view(found).trays))
    return 0


def _template(args: Arguments, found: Settings) -> int:
    from bot.tackle.trays import TEMPLATE

    out_file(args.out, args, found).put(TEMPLATE)
    return 0


def _drop(args: Arguments, found: Settings) -> int:
    """Give a tray up; its lures stay in the box."""
    from bot.logbook.store import Logbook
    from bot.logbook.trays import keep_trays
    from bot.tackle.trays import Tray

    one = _named(_view(found), args.name)
    with Logbook.open(found.home, check=True) as logbook:
        keep_trays(logbook, [Tray(one.name)], datetime.now(UTC))
    print(f"{one.words} is given up; its lures stay in the box")
    return 0


def _named(view: "View", said: list[str]) -> "Tray":
    from bot.tackle.trays import named_tray

    name = " ".join(said)
    one = named_tray(view.trays, name)
    if one is None:
        near = get_close_matches(name, [tray.name for tray in view.trays], 1, 0.6)
        meant = f'did you mean "{near[0]}"?' if near else "deckcall tray list shows what there is"
        raise TackleError(f'there is no tray "{name}"; {meant}')
    return one


def _view(found: Settings) -> "View":
    from bot.build import open_desk

    with open_desk(found) as desk:
        view = desk.view()
        _ = view.readiness, view.trays  # look at earlier trips, so while the log is open
        return view


def _as_json(view: "View", one: "Tray") -> dict[str, Any]:
    from bot.spread.trays import not_ready

    due = {held.label: why for held, why in not_ready(one, view.readiness)}
    lures = [
        {"lure": held.label, "position": held.position, "spare": held.spare, "size_in": held.size_in,
         "colours": list(held.colours), "head": held.head, "not_ready": due.get(held.label)}
        for held in one.lures
    ]  # fmt: skip
    return {"tray": one.name, "tackle": one.tackle, "speed_kn": one.speed_kn, "lures": lures}
