"""Questions that the log answers: tally, spread, the next change, a plan, trips."""

import sys
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

from bot.cli.drawn import draw_plan, draw_spread
from bot.cli.options import Arguments
from bot.cli.shown import put_columns, put_json
from bot.errors import DeckcallError
from bot.settings import Settings

if TYPE_CHECKING:
    from bot.trip.state import Trip


def folded(found: Settings, trip: str | None) -> tuple["Trip", ...]:
    """Give the trips that were asked for: one by its id, `all`, or the latest where None is said."""
    from bot.logbook.store import Logbook
    from bot.trip.fold import fold
    from bot.trip.history import standing

    with Logbook.open(found.home) as logbook:
        known = [row.id for row in logbook.trips()]
        latest = logbook.latest_trip()
        if trip is None:
            wanted = [latest] if latest else []
        elif trip == "all":
            wanted = known
        elif trip in known:
            wanted = [trip]
        else:
            raise DeckcallError(f'no trip "{trip}" in the log; deckcall trips shows what there is')
        return tuple(fold(standing(logbook.records(one))) for one in wanted)


def tally(args: Arguments, found: Settings) -> int:
    """Show strikes, hours and rates by one thing."""
    from bot.answers.values import tally_json
    from bot.build import open_desk

    held = folded(found, args.trip)
    with open_desk(found) as desk:
        counted = tally_json(desk.view(), args.by, held)
    if args.json:
        put_json(counted)
        return 0
    heads = (args.by, "strikes", "hook-ups", "caught", "lure-hours", "per 10 h", "95 % interval")
    put_columns(heads, [_cells(row) for row in [*counted["rows"], counted["total"]]])
    return 0


def spread(args: Arguments, found: Settings) -> int:
    """Show what is in the water, where and since when."""
    from bot.answers.values import spread_json
    from bot.build import open_desk

    with open_desk(found) as desk:
        view = desk.view()
        shown = spread_json(view)
        if args.picture:
            draw_spread(view, args.picture)
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
    from bot.build import open_desk

    with open_desk(found) as desk:
        shown = next_json(desk.view())
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
    from bot.answers.planning import make_plan
    from bot.build import open_desk

    with open_desk(found) as desk:
        view, tackle = desk.view(), _tackle(args.tackle)
        try:
            made = make_plan(view, tackle, args.speed)
            earlier: list[frozenset[str]] = []
            for _ in range(args.another):
                earlier.append(made.lures)
                made = make_plan(view, tackle, args.speed, earlier)
        except ValueError as exc:
            raise DeckcallError(str(exc)) from exc
        if args.picture:
            draw_plan(view, made, args.picture)
    shown = made.to_json()
    if args.json:
        put_json(shown)
        return 0
    rows = [
        (one["position"], one["lure"], f"{one['size_in']:g}", " ".join(one["colours"]),
         f"{one['back_m']:.0f} m", one.get("spare") or "")
        for one in shown["positions"]
    ]  # fmt: skip
    if rows:
        put_columns(("position", "lure", "inches", "colours", "back", "spare"), rows)
    for one in shown["positions"]:
        print(f"{one['position']}: {one['reason']}")
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
    from bot.trip.tally import tally as count

    now, shown = datetime.now(UTC), []
    for trip in folded(found, "all"):
        total = count((trip,), "none", now).total
        shown.append(
            {
                "trip": trip.id,
                "started": _iso(trip.started or trip.first_at),
                "ended": _iso(trip.ended),
                "entries": trip.entries,
                "strikes": total.strikes,
                "hookups": total.hookups,
                "caught": total.caught,
                "hours": round(total.hours, 2),
            }
        )
    if args.json:
        put_json({"trips": shown})
    elif shown:
        rows = [
            (str(t["trip"]), _day(t["started"], found), str(t["entries"]), str(t["strikes"]),
             str(t["caught"]), f"{t['hours']:.1f}")
            for t in shown
        ]  # fmt: skip
        put_columns(("trip", "started", "entries", "strikes", "caught", "lure-hours"), rows)
    else:
        print("The log holds no trip yet.", file=sys.stderr)
    return 0


def _cells(row: dict[str, Any]) -> tuple[str, ...]:
    known = row["rate_per_10h"] is not None
    return (
        row["key"],
        str(row["strikes"]),
        str(row["hookups"]),
        str(row["caught"]),
        f"{row['hours']:.1f}",
        f"{row['rate_per_10h']:.1f}" if known else "-",
        f"{row['low']:.1f} to {row['high']:.1f}" if known else "-",
    )


def _words(one: dict[str, Any]) -> str:
    size = f"{one['size_in']:g} in" if one["size_in"] is not None else ""
    return str(one["lure"] or " ".join([*one["colours"], size]).strip() or "lure")


def _iso(at: datetime | None) -> str | None:
    return at.isoformat() if at else None


def _local(at: str, zone: Any) -> datetime:
    return datetime.fromisoformat(at).astimezone(zone)


def _day(at: object, found: Settings) -> str:
    return f"{_local(str(at), found.boat.zone):%Y-%m-%d %H:%M}" if at else "-"
