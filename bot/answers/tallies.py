"""The tally in words: the line after a call, and the answers to `ask_tally` and `ask_why`."""

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from bot.advice.rates import c_test, garwood, rate_per_10h, wilson
from bot.answers.answer import Answer
from bot.answers.asked import THIS_TRIP, TallyRequest, tally_for, tally_request, trips_in, trips_of
from bot.answers.drawing import asks_picture, tally_pictures
from bot.answers.fish_talk import caught_fish, fish_words
from bot.answers.view import View
from bot.replies.amounts import count, hours_words, join_parts, rate, sentence
from bot.trip.acts import TABLE
from bot.trip.call import Call
from bot.trip.conditions import UNKNOWN
from bot.trip.exposure import ALL, By, Cuts, Only, fouled_hours, lure_hours
from bot.trip.fish import Fish
from bot.trip.lures import label
from bot.trip.tally import WHOLE_HOURS, Tally, TallyRow, fish_of

MOST_FISH: Final = 6
"""Most fish that are named one by one."""
MOST_ROWS: Final = 6
"""Most rows that fit on a phone."""
MOST_HOURS: Final = 12
"""Most hours of the day that are shown: those with most strikes."""
LEAST_TOLD_H: Final = 0.05
"""Fewest lure-hours that show in a sum of one decimal."""
TWO_COLOURS: Final = "A lure of two colours counts under each of them."
FEW: Final = 5
"""Fewest strikes for a claim: a day's difference is usually noise (reference: plain limits)."""
LEAST_H: Final = 0.5
"""Fewest lure-hours of a row with a rate, which may be called the best."""
TOO_LITTLE: Final = "too little time"
"""Words in place of the rate of fewer lure-hours."""
MOST_EXACT: Final = 2000
"""Most strikes for which the exact test is used; with more it is slow and makes no difference."""
_HOOKED: Final = ("on", "leader", "lost", "caught")
_LEADERS: Final[tuple[By, ...]] = ("colour", "size", "position")


def tally_line(view: View, fish: Fish | None, act: str) -> str:
    """Write the tally that a call changes, e.g. `Purple 2 of 3 strikes; long rigger 1 in 2.4 h.`"""
    total = fish_of((view.trip,))
    stage = TABLE[act].stage
    if stage == "raised":
        strikes = count(total.strikes, "strike") if total.strikes else "no strike yet"
        return sentence(f"{count(total.raises, 'raise')}, {strikes}")
    if stage in _HOOKED:
        first = f"{count(total.hookups, 'hook-up')} of {count(total.strikes, 'strike')}"
        first += f", {total.caught} caught" if total.caught or stage == "caught" else ""
    else:
        first = count(total.strikes, "strike")
    return sentence(
        "; ".join([p for p in (_colour(view, fish, first, act), _place(view, fish)) if p])
    )


def _colour(view: View, fish: Fish | None, first: str, act: str) -> str:
    if fish is None or not fish.colours or TABLE[act].stage in _HOOKED:
        return first
    colour = fish.colours[0]
    own = sum(one.is_strike for one in view.trip.fish if colour in one.colours)
    return f"{colour} {own} of {first}"


def _place(view: View, fish: Fish | None) -> str:
    if fish is None or fish.position is None:
        return ""
    strikes = sum(one.is_strike for one in view.trip.fish if one.position == fish.position)
    hours = lure_hours((view.trip,), view.now, Only(position=fish.position))
    if not strikes or hours * 60 < 0.5:
        return ""
    return f"{fish.position} {strikes} in {hours_words(hours)}"


# Answers


def asked_tally(view: View, calls: Sequence[Call]) -> Answer:
    """Answer "how many", "which colour", "purple on the riggers this season"; several calls are positions."""
    want = tally_request(view, calls)
    head = head_words(view, want, calls[0])
    if not trips_in(view, want.span):
        text = f"{want.span.label}: no trip in the log."
        return Answer(text, text)
    found = tally_for(view, want)
    pictures = tally_pictures(view, found, head) if asks_picture(calls[0]) else ()
    text, spoken = _all_in_one(view, want, found, head) if want.by == "none" else _rows(found, head)
    return Answer(text, spoken, pictures=pictures)


def _rows(found: Tally, head: str) -> tuple[str, str]:
    total = found.total
    if total.strikes == total.raises == 0:
        text = f"{_colon(head)}No strike yet in {hours_words(total.hours)} of lure time."
        return text, text
    rows = [row for row in found.rows if row.hours or row.strikes or row.hookups or row.raises]
    shown = _shown(rows, found)
    lines = [f"{head}:"] if head else []
    lines += [row_line(row, found) for row in shown]
    if len(rows) > len(shown):
        where = "" if head else ', "send me the report" has all'
        lines.append(f"and {len(rows) - len(shown)} more{where}")
    lines.append(f"All: {_numbers(total)}.")
    lines += [
        line for line in (_twice(rows, found), conversion(total), standing_out(found)) if line
    ]
    best = max(rows, key=lambda row: (row.strikes, row.raises))
    spoken = f"{key_words(best, found)}, {best.strikes} of {count(total.strikes, 'strike')}."
    if not total.strikes:
        spoken = f"{key_words(best, found)}, {best.raises} of {count(total.raises, 'raise')}."
    return "\n".join(lines), spoken[0].upper() + spoken[1:]


def _shown(rows: Sequence[TallyRow], found: Tally) -> Sequence[TallyRow]:
    """Return the rows that fit on a phone: all hours of a day, else the first."""
    if "hour" in (found.by, found.also) and len(rows) > MOST_HOURS:
        busiest = sorted(rows, key=lambda row: (-row.strikes, -row.hours))[:MOST_HOURS]
        return [row for row in rows if row in busiest]
    return rows if found.by == "hour" or len(rows) == MOST_ROWS + 1 else rows[:MOST_ROWS]


def _twice(rows: Sequence[TallyRow], found: Tally) -> str:
    """Return the sentence that rows by colour add up to more than the total, where they do."""
    total = found.total
    more = sum(row.strikes for row in rows) > total.strikes
    more = more or sum(row.hours for row in rows) > total.hours + LEAST_TOLD_H
    return TWO_COLOURS if more and "colour" in (found.by, found.also) else ""


def _all_in_one(view: View, want: TallyRequest, found: Tally, head: str) -> tuple[str, str]:
    total = found.total
    lines = whole_lines(total, head)
    of_fish_on = bool(want.only.species or want.only.angler)
    lines += [line for line in (conversion(total, of_fish_on), _weed(view, want)) if line]
    if want.only == ALL and total.strikes > 1:
        leaders = [w for by in _LEADERS if (w := _most_words(view, replace(want, by=by)))]
        lines += [f"Most strikes: {'; '.join(leaders)}."] if leaders else []
    elif want.only != ALL and 0 < total.strikes < FEW:
        lines.append(f"{count(total.strikes, 'strike')}: too few to say.")
    lines += _fish_of_a_day(view, want)
    spoken = f"{_colon(head)}{count(total.strikes, 'strike')}, {total.caught} caught."
    return "\n".join(lines), spoken


def _fish_of_a_day(view: View, want: TallyRequest) -> list[str]:
    """Return the fish that one earlier trip caught, one by one."""
    if want.only != ALL or want.span is THIS_TRIP or trips_in(view, want.span) != 1:
        return []
    pairs = [pair for trip in trips_of(view, want.span) for pair in caught_fish(trip.fish)]
    told = [fish_words(fish, end) for fish, end in pairs[:MOST_FISH]]
    told += [f"{len(pairs) - MOST_FISH} more"] if len(pairs) > MOST_FISH else []
    return [f"Caught: {'; '.join(told)}."] if told else []


def whole_lines(total: TallyRow, head: str) -> list[str]:
    """Write the total, then its rate with the interval where there is one."""
    lines = [f"{_colon(head)}{_numbers(total)}."]
    if not total.strikes or not total.hours:
        return lines
    return [
        *lines,
        _rate_words(total) if total.hours >= LEAST_H else f"{TOO_LITTLE} for a rate.".capitalize(),
    ]


def _weed(view: View, want: TallyRequest) -> str:
    cuts = Cuts(view.trip, view.tz, view.place)
    hours = fouled_hours(view.trip, view.now, want.only, cuts) if want.span.here else 0.0
    return f"{hours_words(hours)} of this trip's lure-hours with weed on." if hours >= 0.05 else ""


def _most_words(view: View, want: TallyRequest) -> str:
    """Return what had most strikes, e.g. `shotgun 2 in 1.6 h`; nothing where two had as many."""
    found = tally_for(view, want)
    rows = [row for row in found.rows if row.strikes and UNKNOWN not in (row.key, row.other)]
    if not rows or (len(rows) > 1 and rows[0].strikes == rows[1].strikes):
        return ""
    return f"{key_words(rows[0], found)} {rows[0].strikes}{_within(rows[0].hours)}"


def _within(hours: float) -> str:
    return f" in {hours_words(hours)}" if hours * 60 >= 0.5 else ""


def head_words(view: View, want: TallyRequest, call: Call) -> str:
    """Return the words for a request, e.g. `This week, 3 trips, purple, long rigger`."""
    words = []
    if want.span.label:
        trips = trips_in(view, want.span)
        words = [want.span.label] + ([count(trips, "trip")] if trips != 1 else [])
    if call.names_lure:
        words.append(label(call))
    places = want.only.positions or ((call.position,) if call.position else ())
    words += [w for w in (call.side, " and ".join(places), call.species) if w]
    return sentence(", ".join(words)).rstrip(".")


def _colon(head: str) -> str:
    return f"{head}: " if head else ""


def row_line(row: TallyRow, found: Tally) -> str:
    """Write one row, e.g. `purple: 5 strikes in 8.1 h, 6.2 per 10 h (2.0 to 14.4)`."""
    words = f"{key_words(row, found)}: {count(row.strikes, 'strike')}"
    if row.raises:
        words += f", {count(row.raises, 'raise')}"
    if row.caught:
        words += f", {row.caught} caught"
    if {found.by, found.also} <= WHOLE_HOURS:
        return words
    words += _within(row.hours)
    interval = garwood(row.strikes, row.hours)
    if interval is None or row.hours < LEAST_H:
        return words
    per = rate(rate_per_10h(row.strikes, row.hours))
    return f"{words}, {per} per 10 h ({rate(interval.low * 10)} to {rate(interval.high * 10)})"


def key_words(row: TallyRow, found: Tally) -> str:
    """Write the one or two keys of a row."""
    keys = ((row.key, found.by), (row.other, found.also))
    return ", ".join(_key(key, by) for key, by in keys if by != "none")


def conversion(row: TallyRow, of_fish_on: bool = False) -> str:
    """Return how many strikes came tight and how many fish on were landed; few are said to be few.

    Of what is known of fish on alone, a species or an angler, it says nothing that all were hooked.
    """
    if row.strikes == 0:
        return ""
    ended = row.caught + row.lost
    if of_fish_on:
        return f"{_share('Landed', row.caught, ended)}." if ended else ""
    hooked = _share("Hooked", row.events_on, row.strikes)
    if row.hookups > row.events_on:  # a double is one bite and two hook-ups
        hooked += f", {row.hookups} fish with doubles"
    return f"{hooked}; {_share('landed', row.caught, ended)}." if ended else f"{hooked}."


def _share(what: str, some: int, of: int) -> str:
    interval = wilson(some, of)
    if of < FEW or interval is None:
        return f"{what} {some} of {of}, too few to say"
    low, high = round(interval.low * 100), round(interval.high * 100)
    return f"{what} {some} of {of} ({round(100 * some / of)} %, {low} to {high})"


def standing_out(found: Tally) -> str:
    """Return whether the best rate is more than luck, compared with the rest and allowing for the choice."""
    if found.total.strikes < FEW:
        return f"{count(found.total.strikes, 'strike')} in all: too few to say which is better."
    rows = [
        row for row in found.rows if row.hours >= LEAST_H and UNKNOWN not in (row.key, row.other)
    ]
    if len(rows) < 2 or {found.by, found.also} <= WHOLE_HOURS:
        return ""
    best = max(rows, key=lambda row: (row.strikes / row.hours, row.strikes))
    blind = sum(row.strikes for row in found.rows if row.hours == 0)
    strikes = max(0, found.total.strikes - best.strikes - blind)
    hours = found.total.hours - best.hours
    if hours < LEAST_H:
        return ""
    chance = min(1.0, len(rows) * unequal(best.strikes, best.hours, strikes, hours))
    if chance < 0.01:
        how = "hardly luck"
    elif chance < 0.1:
        how = "may be luck"
    else:
        how = "could well be luck"
    return f"Best rate: {key_words(best, found)}; {how}."


def unequal(strikes: int, hours: float, other: int, other_hours: float) -> float:
    """Return the p-value for equal rates: exact while it is quick, then by the normal distribution."""
    total = strikes + other
    if total <= MOST_EXACT:
        return c_test(strikes, hours, other, other_hours)
    share = hours / (hours + other_hours)
    gap = abs(strikes - total * share) / math.sqrt(total * share * (1.0 - share))
    return math.erfc(gap / math.sqrt(2.0))


def _numbers(row: TallyRow) -> str:
    return join_parts(
        [
            count(row.strikes, "strike"),
            count(row.raises, "raise") if row.raises else "",
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
    return f"{key}-inch" if by == "size" and key != UNKNOWN else key
