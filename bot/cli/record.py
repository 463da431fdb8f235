"""Questions that the log answers by itself: tally, spread, trips; and replay, which adds to it."""

import sys
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

from bot.cli.options import Arguments
from bot.cli.shown import put_columns, put_json
from bot.errors import DeckcallError
from bot.settings import Settings

if TYPE_CHECKING:
    from bot.trip.state import Trip
    from bot.trip.tally import TallyRow


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
    from bot.trip.tally import tally as count

    now = datetime.now(UTC)
    counted = count(folded(found, args.trip), args.by, now, found.boat.zone)
    rows = [_rated(row) for row in counted.rows]
    total = _rated(counted.total)
    if args.json:
        put_json({"by": args.by, "rows": rows, "total": total})
        return 0
    heads = (args.by, "strikes", "hook-ups", "caught", "lure-hours", "per 10 h", "95 % interval")
    put_columns(heads, [_cells(row) for row in [*rows, total]])
    return 0


def spread(args: Arguments, found: Settings) -> int:
    """Show what is in the water, where and since when."""
    from bot.trip.exposure import line_hours

    trips, now = folded(found, None), datetime.now(UTC)
    shown: list[dict[str, Any]] = []
    for trip in trips:
        for lure in trip.in_water.values():
            shown.append(
                {
                    "position": lure.line or lure.position,
                    "lure": lure.lure,
                    "size_in": lure.size_in,
                    "colours": list(lure.colours),
                    "since": lure.since.isoformat(),
                    "hours": round(line_hours(trip, lure, now), 3),
                }
            )
    if args.json:
        put_json({"positions": shown})
    elif shown:
        zone = found.boat.zone
        put_columns(
            ("position", "lure", "since", "lure-hours"),
            [
                (one["position"], _words(one), f"{_local(one['since'], zone):%H:%M}",
                 f"{one['hours']:.1f}")
                for one in shown
            ],
        )  # fmt: skip
    else:
        print("Nothing is in the water.", file=sys.stderr)
    return 0


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


def _rated(row: "TallyRow") -> dict[str, Any]:
    from bot.advice.rates import garwood, rate_per_10h

    interval = garwood(row.strikes, row.hours)
    return {
        "key": row.key,
        "strikes": row.strikes,
        "hookups": row.hookups,
        "caught": row.caught,
        "hours": round(row.hours, 3),
        "rate_per_10h": _rounded(rate_per_10h(row.strikes, row.hours)),
        "low": _rounded(interval and interval.low * 10),
        "high": _rounded(interval and interval.high * 10),
    }


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, 3)


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
