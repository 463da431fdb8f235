"""Questions that the log answers: tally, spread, the next change, a plan, trips."""

import sys
from collections.abc import Mapping
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

from bot.cli.drawn import draw_advice, draw_plan, draw_spread, draw_tally
from bot.cli.options import Arguments
from bot.cli.outfile import OutFile, out_file
from bot.cli.shown import put_columns, put_json
from bot.errors import DeckcallError
from bot.settings import Settings

if TYPE_CHECKING:
    from bot.answers.asked import TallyRequest
    from bot.answers.view import View
    from bot.trip.exposure import By
    from bot.trip.ledger import Header
    from bot.trip.state import Trip
    from bot.trip.tally import TallyRow


def tally(args: Arguments, found: Settings) -> int:
    """Show strikes, hours and rates by one thing or by two."""
    from bot.answers.asked import tally_for
    from bot.answers.values import counted_json
    from bot.build import open_view

    picture = _picture(args, found)
    with open_view(found) as view:
        want = _wanted(args, view)
        counted = tally_for(view, want)
        stands = None
        if args.compare:
            from bot.answers.seasons import compare_rows

            stands = compare_rows(view, want)
        if picture:
            draw_tally(view, counted, want.span.label, picture, args.conversion)
    shown = counted_json(counted, args.conversion, stands)
    if args.json:
        put_json(shown)
        return 0
    heads = [args.by, *([args.also] if args.also else []), "strikes", "hook-ups", "caught",
             "lure-hours", "per 10 h", "95 % interval"]  # fmt: skip
    heads += ["hooked", "landed"] if args.conversion else []
    heads += ["× average", "how sure"] if args.compare else []
    put_columns(heads, [_cells(row, args) for row in [*shown["rows"], shown["total"]]])
    return 0


def _picture(args: Arguments, found: Settings) -> OutFile | None:
    """Return the file of the picture that is asked for, or None."""
    return out_file(args.picture, args, found) if args.picture else None


def _wanted(args: Arguments, view: "View") -> "TallyRequest":
    """Return what the options ask for; raises DeckcallError for a trip that is not in the log."""
    from bot.answers.asked import ALL_TRIPS, THIS_TRIP, Span, TallyRequest, named_span
    from bot.trip.conditions import water_key
    from bot.trip.exposure import ALL, Only

    only = Only(
        positions=tuple(args.position or ()),
        side=args.side,
        colours=tuple(args.colour or ()),
        size_in=args.size,
        lure=args.lure,
        head=args.head,
        species=args.species,
        crew=args.who,
        month=args.month.capitalize() if args.month else None,
        light=tuple(args.light or ()),
        water=tuple(water_key(water_c) for water_c in args.water or ()),
        cells=tuple(_cell(said) for said in args.place or ()),
    )
    span = (named_span(view, args.span) if args.span else None) or THIS_TRIP
    if args.trip == "all":
        span = ALL_TRIPS
    elif args.trip and args.trip != view.trip.id:
        if all(header.trip != args.trip for header in view.past.ledger.headers):
            raise DeckcallError(
                f'no trip "{args.trip}" in the log; deckcall trips shows what there is'
            )
        span = Span(f"Trip {args.trip}", (args.trip,), here=False)
    also: By = args.also if args.also and args.also != args.by else "none"
    return TallyRequest(args.by, also, ALL if only == ALL else only, span)


def _cell(said: str) -> str:
    """Return the cell of a place as `--by place` names it, or as latitude and longitude in degrees."""
    from bot.trip.whereabouts import cell_of, middle_of

    try:
        north, east = map(float, said.split(",")) if "," in said else middle_of(said)
    except (ValueError, IndexError):
        raise DeckcallError(
            f'"{said}" is no place; say it as --by place names it ("35.21S 174.36E"), or in degrees,'
            ' north and east positive ("-35.2,174.4")'
        ) from None
    return cell_of((north, east))


def spread(args: Arguments, found: Settings) -> int:
    """Show what is in the water, where and since when."""
    from bot.answers.values import spread_json
    from bot.build import open_view

    picture = _picture(args, found)
    with open_view(found) as view:
        shown = spread_json(view)
        if picture:
            draw_spread(view, picture)
    if args.json:
        put_json(shown)
    elif shown["positions"]:
        zone = found.boat.zone
        put_columns(
            ("position", "lure", "since", "lure-hours"),
            [
                (one["position"], _words(one), f"{_local(one['since'], zone):%H:%M}",
                 f"{one['hours']:.1f}")
                for one in shown["positions"]
            ],
        )  # fmt: skip
    else:
        print("Nothing is in the water.", file=sys.stderr)
    return 0


def next_change(args: Arguments, found: Settings) -> int:
    """Show the next change worth making, or why to hold."""
    from bot.answers.values import next_json
    from bot.build import open_view
    from bot.messages import Advice

    picture = _picture(args, found)
    with open_view(found) as view:
        shown = next_json(view)
        if picture:
            said = shown["advice"]
            draw_advice(view, Advice(**said) if said else None, picture)
    if args.json:
        put_json(shown)
    elif shown["advice"] is None:
        print(f"Hold: {shown['hold']}")
    else:
        one = shown["advice"]
        print(f"{one['lure']} on the {one['position']}: {one['reason']}")
        print(f"{one['chance']:.0%} that it is better, {one['gain_per_h']:+.2f} strikes an hour.")
    return 0


def plan(args: Arguments, found: Settings) -> int:
    """Show a spread to start with."""
    from bot.answers.planning import build_plan
    from bot.answers.wanted import class_words, plan_input
    from bot.build import open_view
    from bot.cli.trays import keep_plan
    from bot.replies.amounts import sentence
    from bot.trip.acts import PLAN
    from bot.trip.call import Call
    from bot.trip.meant import SpreadWish

    picture = _picture(args, found)
    tackle = _tackle(args.tackle)
    with open_view(found) as view:
        fills = (SpreadWish(to_do="filled"),) if args.tray is not None else ()
        call = Call(
            PLAN, tackle=tackle, speed_kn=args.speed, species=args.species, tray=args.tray,
            meant=fills,
        )  # fmt: skip
        asked = plan_input(view, call)
        try:
            made = build_plan(view, asked)
            earlier: list[frozenset[str]] = []
            for _ in range(args.another):
                earlier.append(made.lures)
                made = build_plan(view, asked, earlier)
        except ValueError as exc:
            raise DeckcallError(str(exc)) from exc
        if picture:
            draw_plan(view, made, picture)
        limits, units = class_words(view, asked.call.tackle), view.units
    if args.tray is not None and made.positions:
        kept = keep_plan(args.tray, made, view, found, asked.call.tackle)
        print(f"kept as {kept.words}", file=sys.stderr)
    shown = made.to_json()
    if args.json:
        put_json(shown)
        return 0
    rows = [
        (one["position"], one["lure"], f"{one['size_in']:g}", " ".join(one["colours"]),
         units.distance(one["back_m"]), one.get("spare") or "")
        for one in shown["positions"]
    ]  # fmt: skip
    if rows:
        put_columns(("position", "lure", "inches", "colours", "back", "spare"), rows)
    if limits:
        named = f"{asked.call.tackle}: " if isinstance(asked.call.tackle, str) else ""
        print(sentence(f"{named}{limits}"))
    for words in (*asked.said, *asked.refused):
        print(sentence(words))
    for line in made.positions:
        print(f"{line.position}: {line.rig}{' ' if line.rig else ''}{line.reason}")
    for one in shown["findings"]:
        print(f"{one['severity']}: {one['text']} ({one['source']})")
    return 0


def _tackle(said: str | None) -> str | float | None:
    try:
        return float(said) if said else None
    except ValueError:
        return said


def trips(args: Arguments, found: Settings) -> int:
    """List the trips of the log, oldest first."""
    from bot.answers.asked import ALL_TRIPS, TallyRequest, tally_for
    from bot.build import open_view

    with open_view(found) as view:
        totals = {
            row.key: row for row in tally_for(view, TallyRequest("trip", span=ALL_TRIPS)).rows
        }
        held: list[Header | Trip] = [*view.past.ledger.headers]
    held += [view.trip] if view.trip.entries else []
    boats, others = _elsewhere(found, {_name(one) for one in held})
    totals |= {name: total for name, (_, total) in others.items()}
    held += [trip for trip, _ in others.values()]
    shown = [_trip(one, totals) | {"boat": boats.get(_name(one))} for one in held]
    if args.json:
        put_json({"trips": shown})
    elif shown:
        heads = ["trip", "started", "entries", "strikes", "caught", "lure-hours"]
        rows = [
            [str(t["trip"]), _day(t["started"], found), str(t["entries"]), str(t["strikes"]),
             str(t["caught"]), f"{t['hours']:.1f}", t["boat"] or "-"]
            for t in shown
        ]  # fmt: skip
        imported = any(t["boat"] is not None for t in shown)
        put_columns([*heads, "from"] if imported else heads,
                    rows if imported else [row[:-1] for row in rows])  # fmt: skip
    else:
        print("The log holds no trip yet.", file=sys.stderr)
    return 0


def _name(one: "Header | Trip") -> str:
    return str(getattr(one, "trip", "") or getattr(one, "id", ""))


def _elsewhere(
    found: Settings, known: set[str]
) -> tuple[dict[str, str], dict[str, tuple["Trip", "TallyRow"]]]:
    """Return the boats of imported trips, and those trips that this boat does not count as its own."""

    from bot.logbook.store import Logbook
    from bot.trip.fold import fold
    from bot.trip.history import standing_entries
    from bot.trip.tally import tally as count

    others: dict[str, tuple[Trip, TallyRow]] = {}
    with Logbook.open(found.home) as logbook:
        boats = {row.id: row.boat for row in logbook.trips() if row.boat is not None}
        for name in boats:
            trip = fold(standing_entries(logbook.records(name))) if name not in known else None
            if trip is not None and trip.entries:
                others[name] = (trip, count((trip,), "none", datetime.now(UTC)).total)
    return boats, others


def _trip(one: "Header | Trip", totals: "Mapping[str, TallyRow]") -> dict[str, Any]:
    from bot.trip.tally import TallyRow

    name = _name(one)
    total = totals.get(name, TallyRow(name))
    return {
        "trip": name,
        "started": _iso(one.started or one.first_at),
        "ended": _iso(one.ended),
        "entries": one.entries,
        "strikes": total.strikes,
        "hookups": total.hookups,
        "caught": total.caught,
        "hours": round(total.hours, 2),
    }


def _cells(row: dict[str, Any], args: Arguments) -> tuple[str, ...]:
    from bot.answers.tallies import LEAST_H, TOO_LITTLE

    known = row["rate_per_10h"] is not None and row["hours"] >= LEAST_H
    unknown = TOO_LITTLE if row["hours"] else "-"
    cells = [
        str(row["strikes"]),
        str(row["hookups"]),
        str(row["caught"]),
        f"{row['hours']:.1f}",
        f"{row['rate_per_10h']:.1f}" if known else "-",
        f"{row['low']:.1f} to {row['high']:.1f}" if known else unknown,
    ]
    if args.conversion:
        hooked, landed = (
            f"{row[name]['count']} of {row[name]['of']}" for name in ("hooked", "landed")
        )
        of_fish_on = row["key"] != "total" and _of_fish_on(args)
        cells += ["-" if of_fish_on else hooked, landed]
    if args.compare:
        cells += _compared(row)
    return (row["key"], *([row.get("and", "")] if args.also else []), *cells)


def _of_fish_on(args: Arguments) -> bool:
    """Return whether the rows are of what is known of fish on: that all of them were hooked says nothing."""
    from bot.trip.tally import KNOWN_OF_FISH_ON

    return not KNOWN_OF_FISH_ON.isdisjoint({args.by, args.also})


def _compared(row: dict[str, Any]) -> tuple[str, str]:
    from bot.replies.amounts import ratio

    if row.get("ratio") is None:
        return "-", ""
    few = f"; only {row['strikes']}" if row["few"] else ""
    return ratio(row["ratio"], row["ratio_low"], row["ratio_high"]), f"{row['sure']}{few}"


def _words(one: dict[str, Any]) -> str:
    size = f"{one['size_in']:g}-inch" if one["size_in"] is not None else ""
    return str(one["lure"] or " ".join([*one["colours"], size]).strip() or "lure")


def _iso(at: datetime | None) -> str | None:
    return at.isoformat() if at else None


def _local(at: str, zone: Any) -> datetime:
    return datetime.fromisoformat(at).astimezone(zone)


def _day(at: object, found: Settings) -> str:
    return f"{_local(str(at), found.boat.zone):%Y-%m-%d %H:%M}" if at else "-"
