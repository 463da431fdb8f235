"""The tally in words: the line after a call, and the answers to `ask_tally` and `ask_why`."""

from dataclasses import replace
from datetime import datetime
from typing import Final

from bot.advice.rates import garwood, rate_per_10h
from bot.answers.view import View
from bot.replies.amounts import count, hours_words, joined, rate, sentence
from bot.trip.call import Call
from bot.trip.exposure import ALL, By, Only, lure_hours
from bot.trip.lures import label
from bot.trip.state import Fish
from bot.trip.tally import Tally, TallyRow, fish_of, tally
from bot.trip.times import when

MOST_ROWS: Final = 6
"""Rows that are shown; more do not fit on a phone."""
_CATCHES: Final = frozenset({"boat", "release"})
_ENDS: Final = frozenset({"pulled_hook", "break_off", "boat", "release", "hookup"})


def tally_line(view: View, fish: Fish | None, act: str) -> str:
    """Write the tally that a call changes, e.g. `Purple 2 of 3 strikes; long rigger 1 in 2.4 h.`"""
    total = fish_of((view.trip,))
    if act == "raise":
        strikes = count(total.strikes, "strike") if total.strikes else "no strike yet"
        return sentence(f"{count(total.raises, 'raise')}, {strikes}")
    if act in _ENDS:
        first = f"{count(total.hookups, 'hook-up')} of {count(total.strikes, 'strike')}"
        first += f", {total.caught} caught" if total.caught or act in _CATCHES else ""
    else:
        first = count(total.strikes, "strike")
    return sentence(
        "; ".join([p for p in (_colour(view, fish, first, act), _place(view, fish)) if p])
    )


def _colour(view: View, fish: Fish | None, first: str, act: str) -> str:
    if fish is None or not fish.colours or act in _ENDS:
        return first
    colour = fish.colours[0]
    own = sum(one.was_struck for one in view.trip.fish if colour in one.colours)
    return f"{colour} {own} of {first}"


def _place(view: View, fish: Fish | None) -> str:
    if fish is None or fish.position is None:
        return ""
    strikes = sum(one.was_struck for one in view.trip.fish if one.position == fish.position)
    hours = lure_hours((view.trip,), view.now, Only(position=fish.position))
    if not strikes or hours * 60 < 0.5:
        return ""
    return f"{fish.position} {strikes} in {hours_words(hours)}"


def _count(view: View, by: By, only: Only | None = None) -> Tally:
    return tally((view.trip,), by, view.now, view.tz, only or ALL)


# Answers


def asked_tally(view: View, call: Call) -> tuple[str, str]:
    """Answer "how many", "which colour", "what has the shotgun had": text and one breath."""
    only = only_of(view, call)
    total = tally((view.trip,), "none", view.now, view.tz, only).total
    if call.about is None:
        return _one(view, call, total)
    by: By = call.about  # type: ignore[assignment]
    counted = tally((view.trip,), by, view.now, view.tz, only)
    if total.strikes == 0:
        text = f"No strike yet in {hours_words(total.hours)} of lure time."
        return text, text
    rows = [row for row in counted.rows if row.hours or row.strikes or row.hookups]
    lines = [_line(row, by) for row in rows[:MOST_ROWS]]
    if len(rows) > MOST_ROWS:
        lines.append(f"and {len(rows) - MOST_ROWS} more")
    lines.append(f"All: {_numbers(total)}.")
    best = rows[0]
    if by == "hour":
        best = max(rows, key=lambda row: row.strikes)
    spoken = f"{_key(best.key, by)}, {best.strikes} of {count(total.strikes, 'strike')}."
    return "\n".join(lines), spoken[0].upper() + spoken[1:]


def _one(view: View, call: Call, total: TallyRow) -> tuple[str, str]:
    what = ", ".join(w for w in (call.side, call.position, call.species) if w)
    if call.names_lure:
        what = ", ".join(w for w in (label(call), what) if w)
    head = sentence(what).rstrip(".") + ": " if what else ""
    lines = [f"{head}{_numbers(total)}."]
    if total.strikes and total.hours:
        lines.append(_rate_words(total))
    if not what and total.strikes:
        leaders = [_row_words(view, by) for by in ("colour", "size", "position")]
        lines.append(sentence("; ".join(w for w in leaders if w)))
    spoken = f"{head}{count(total.strikes, 'strike')}, {total.caught} caught."
    return "\n".join(lines), spoken


def _row_words(view: View, by: By) -> str:
    counted = _count(view, by)
    rows = [row for row in counted.rows if row.strikes]
    if not rows:
        return ""
    return f"{_key(rows[0].key, by)} {rows[0].strikes} in {hours_words(rows[0].hours)}"


def _line(row: TallyRow, by: By) -> str:
    words = f"{_key(row.key, by)}: {count(row.strikes, 'strike')}"
    if row.caught:
        words += f", {row.caught} caught"
    if by in ("species", "crew"):
        return words
    words += f" in {hours_words(row.hours)}"
    interval = garwood(row.strikes, row.hours)
    if interval is None or row.hours < 0.25:
        return words
    per = rate(rate_per_10h(row.strikes, row.hours))
    return f"{words}, {per} per 10 h ({rate(interval.low * 10)} to {rate(interval.high * 10)})"


def _numbers(row: TallyRow) -> str:
    return joined(
        [
            count(row.strikes, "strike"),
            count(row.hookups, "hook-up"),
            f"{row.caught} caught in {row.hours:.1f} lure-hours",
        ]
    )


def _rate_words(row: TallyRow) -> str:
    interval = garwood(row.strikes, row.hours)
    low, high = (interval.low * 10, interval.high * 10) if interval else (None, None)
    per = rate(rate_per_10h(row.strikes, row.hours))
    return f"{per} strikes per 10 lure-hours (95 % sure of {rate(low)} to {rate(high)})."


def _key(key: str, by: By) -> str:
    return f"{key} in" if by == "size" and key != "unknown" else key


def only_of(view: View, call: Call) -> Only:
    """Give what a question is limited to; a time said is the start."""
    since: datetime | None = None
    if call.ago_min is not None or call.clock is not None:
        since = when(call, view.now, view.tz, view.trip.started)
    only = Only(
        position=call.position,
        side=call.side,
        colours=call.colours,
        size_in=call.size_in,
        lure=call.lure,
        head=call.head,
        species=call.species,
        since=since,
    )
    return replace(only, side=None) if call.position is None else only
