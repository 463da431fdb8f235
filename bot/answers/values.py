"""Answers for programs: the JSON of the contract, section 2 ("Answers for programs")."""

from collections.abc import Mapping
from datetime import UTC
from typing import Any

from bot.advice.rates import garwood, rate_per_10h, wilson
from bot.advice.standing import Standing
from bot.answers.advise import verdict
from bot.answers.questions import in_order
from bot.answers.seasons import how_sure
from bot.answers.tallies import FEW
from bot.answers.view import View
from bot.messages import Advice
from bot.trip.exposure import By, line_hours
from bot.trip.tally import Tally, TallyRow, tally


def spread_json(view: View) -> dict[str, Any]:
    """Return what is in the water, where and since when."""
    return {
        "positions": [
            {
                "position": lure.line or lure.position,
                "lure": lure.lure,
                "size_in": plain(lure.size_in),
                "colours": list(lure.colours),
                "since": lure.since.astimezone(UTC).isoformat(),
                "hours": round(line_hours(view.trip, lure, view.now), 3),
            }
            for lure in in_order(view, view.trip.in_water.values())
        ]
    }


def tally_json(view: View, by: By) -> dict[str, Any]:
    """Return strikes, hook-ups, catches, lure-hours and rates of this trip by one thing."""
    return counted_json(tally((view.trip,), by, view.now, view.tz))


def counted_json(
    found: Tally, conversion: bool = False, stands: Mapping[tuple[str, str], Standing] | None = None
) -> dict[str, Any]:
    """Return a tally: strikes, hook-ups, catches, lure-hours and rates by one thing, or by two.

    `conversion` adds the shares of strikes that came tight and of fish on that were landed; `stands` how
    each row stands against the average of all that are compared, by the model that compares them at once.
    """
    shown: dict[str, Any] = {"by": found.by}
    if found.also != "none":
        shown["and"] = found.also
    rows = [row_json(row, conversion) for row in found.rows]
    if stands is not None:
        for shown_row, row in zip(rows, found.rows, strict=True):
            shown_row |= _standing_json(row, stands.get((row.key, row.other)))
    if found.also != "none":
        rows = [{"key": row["key"], "and": one.other} | row
                for row, one in zip(rows, found.rows, strict=True)]  # fmt: skip
    return shown | {"rows": rows, "total": row_json(found.total, conversion)}


def row_json(row: TallyRow, conversion: bool = False) -> dict[str, Any]:
    """Return one row; rates are per ten lure-hours, with their exact 95 % interval."""
    interval = garwood(row.strikes, row.hours)
    shown = {
        "key": row.key,
        "strikes": row.strikes,
        "hookups": row.hookups,
        "caught": row.caught,
        "hours": round(row.hours, 3),
        "rate_per_10h": _rounded(rate_per_10h(row.strikes, row.hours)),
        "low": _rounded(interval and interval.low * 10),
        "high": _rounded(interval and interval.high * 10),
    }
    if conversion:
        shown["hooked"] = _share_json(row.events_on, row.strikes)
        shown["landed"] = _share_json(row.caught, row.caught + row.lost)
    return shown


def _standing_json(row: TallyRow, standing: Standing | None) -> dict[str, Any]:
    """Return the ratio to the average with its 95 % interval, and the probability of being better."""
    few = {"few": row.strikes < FEW}
    if standing is None:
        return dict.fromkeys(("ratio", "ratio_low", "ratio_high", "better", "sure")) | few
    return {
        "ratio": round(standing.ratio, 3),
        "ratio_low": round(standing.low, 3),
        "ratio_high": round(standing.high, 3),
        "better": round(standing.better, 3),
        "sure": how_sure(standing),
    } | few


def _share_json(some: int, of: int) -> dict[str, Any]:
    """Return a share with its 95 % interval (Wilson)."""
    interval = wilson(some, of)
    return {
        "count": some,
        "of": of,
        "share": _rounded(some / of if of else None),
        "low": _rounded(interval and interval.low),
        "high": _rounded(interval and interval.high),
    }


def next_json(view: View) -> dict[str, Any]:
    """Return the next change, or why to hold."""
    found = verdict(view)
    if not isinstance(found, Advice):
        return {"advice": None, "hold": found.reason}
    return {
        "advice": {
            "position": found.position,
            "lure": found.lure,
            "reason": found.reason,
            "chance": round(found.chance, 3),
            "gain_per_h": round(found.gain_per_h, 4),
        },
        "hold": None,
    }


def plain(value: float | None) -> float | int | None:
    """Return a number without a fraction as an int, any other as it is."""
    return int(value) if value is not None and value == int(value) else value


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, 3)
