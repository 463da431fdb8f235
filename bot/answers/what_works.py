"""What works by month, light, water and place, or in some of them: tallies of the seasons in words.

Each row has its exact interval, and how sure it is that it is better than the rest, compared all at once.
"""

import json
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Final

from bot.advice.standing import Keys, Standing
from bot.answers.answer import Answer
from bot.answers.asked import (
    ALL_TRIPS,
    SEASONAL,
    THIS_TRIP,
    TallyRequest,
    condition_words,
    tally_for,
    tally_request,
    trips_in,
)
from bot.answers.compared import answer_comparison, dark_or_light
from bot.answers.conversion import asked_conversion
from bot.answers.drawing import asks_picture, tally_pictures
from bot.answers.places import UNKNOWN_HERE
from bot.answers.raised import raises_worth
from bot.answers.seasons import (
    LIKELY,
    NOT_COMPARED,
    against_the_rest,
    compare_rows,
    how_sure,
    ledgers,
    times_average,
)
from bot.answers.tallies import FEW, asked_tally, head_words, key_words, row_line, whole_lines
from bot.answers.view import View
from bot.replies.amounts import count, hours_words, sentence
from bot.trip.call import Call
from bot.trip.exposure import ALL, By
from bot.trip.meant import AsksAbout
from bot.trip.tally import IN_ORDER, Tally, TallyRow
from bot.trip.whereabouts import middle_of
from bot.water.bearing import leg

MOST_ROWS: Final = 6
MOST_IN_ORDER: Final = 12
NAMED_WITHIN_NM: Final = 5.0
"""Distance within which a mark names a cell, from its middle."""
SURE: Final = 0.9
TIMES: Final = "×"
OF_BOAT: Final = "times the boat's average"
OF_THESE: Final = "times the average of what was out"
THERE: Final = "times the average there"
_LEADERS: Final[tuple[By, ...]] = ("colour", "size", "head", "position", "lure")


def asked_what_works(view: View, calls: Sequence[Call]) -> Answer:
    """Answer a tally: of conditions here, all others as `tallies` does."""
    want = tally_request(view, calls)
    about = calls[0].meaning(AsksAbout)
    if about is not None and about.what == "shades":
        return dark_or_light(view, want)
    if about is not None and about.what == "raises_worth":
        return raises_worth(view)
    if (both := answer_comparison(view, want, calls[0])) is not None:
        return both
    told = _becoming(view, want, calls)
    if told is not None:
        return told
    seasonal = want.only.in_conditions or bool(SEASONAL & {want.by, want.also})
    if not seasonal:
        works = _working(view, want, calls[0])
        if works is not None:
            return works
        plain = asked_tally(view, calls)
        unknown = calls[0].asks("here") and view.here is None
        return replace(plain, text=f"{plain.text}\n{UNKNOWN_HERE}") if unknown else plain
    head = ", ".join([head_words(view, want, calls[0]), *condition_words(want.only)])
    head = sentence(head.removeprefix(", ")).rstrip(".")
    if not trips_in(view, want.span):
        text = f"{want.span.label}: no trip in the log."
        return Answer(text, text)
    found = tally_for(view, want)
    if found.total.strikes == 0:
        text = f"{head}: no strike in {hours_words(found.total.hours)} of lure time."
        return Answer(text, text)
    pictures = tally_pictures(view, found, head) if asks_picture(calls[0]) else ()
    if want.by == "none":
        lines, spoken = _in_these(view, want, found, head)
    else:
        lines, spoken = _one_by_one(view, want, found, head)
    return Answer("\n".join(lines), spoken, pictures=pictures)


def _becoming(view: View, want: TallyRequest, calls: Sequence[Call]) -> Answer | None:
    """Return what became of strikes, where a question asks that of this trip and all lures; else None."""
    call = calls[0]
    plain = len(calls) == 1 and want.only == ALL and want.span is THIS_TRIP and want.also == "none"
    if not plain or not call.asks("conversion") or asks_picture(call):
        return None
    return asked_conversion(view, call, want.by)


def _working(view: View, want: TallyRequest, call: Call) -> Answer | None:
    """Return what is working by one thing or by each that a lure has; None where another thing is asked."""
    if not call.asks("working") or call.asks("here"):
        return None
    found = tally_for(view, want)
    if found.total.strikes < FEW and (of_all := _of_all_trips(view, want, found, call)):
        return of_all
    if not found.total.strikes and found.total.raises and want.by == "none":
        return _raising(view, want, found, head_words(view, want, call))
    if not found.total.strikes or found.by in NOT_COMPARED - {"none"}:
        return None
    head = head_words(view, want, call)
    if want.by != "none":
        lines, spoken = _one_by_one(view, want, found, head, OF_THESE)
        return Answer("\n".join(lines), spoken)
    return _led(view, want, whole_lines(found.total, head))


def _led(view: View, want: TallyRequest, lines: Sequence[str]) -> Answer:
    """Return lines with what stands out of each thing that a lure has."""
    leaders = [_leader(view, replace(want, by=by), OF_THESE) for by in _LEADERS]
    leaders = [leader for leader in leaders if leader]
    return Answer("\n".join([*lines, *(leaders or ["Too little to compare."])]), " ".join(leaders))


def _of_all_trips(view: View, want: TallyRequest, found: Tally, call: Call) -> Answer | None:
    """Return what works over all trips, where this one has too few strikes to compare; else None."""
    plain = want.span is THIS_TRIP and want.by == "none" and want.only == ALL
    if not plain or call.asks("today") or trips_in(view, ALL_TRIPS) < 2:
        return None
    over_all = replace(want, span=ALL_TRIPS)
    whole = tally_for(view, over_all)
    if whole.total.strikes <= found.total.strikes:
        return None
    here = f"This trip: {count(found.total.strikes, 'strike')}, too few to compare."
    return _led(view, over_all, [here, *whole_lines(whole.total, head_words(view, over_all, call))])


def _raising(view: View, want: TallyRequest, found: Tally, head: str) -> Answer:
    """Return what raises fish where nothing bit yet: of each thing what has most of them."""
    lines = whole_lines(found.total, head)
    for by in _LEADERS:
        rows = tally_for(view, replace(want, by=by))
        best = max(rows.rows, key=lambda row: row.raises, default=None)
        if best is not None and best.raises and (by != "lure" or view.lure(best.key)):
            raises = f"{count(best.raises, 'raise')} in {hours_words(best.hours)}"
            lines.append(sentence(f"{by}: {key_words(best, rows)}, {raises}"))
    lines.append("No strike yet: what raises fish need not be what they bite.")
    return Answer("\n".join(lines), lines[1])


def _in_these(view: View, want: TallyRequest, found: Tally, head: str) -> tuple[list[str], str]:
    """Return how the conditions compare, and what stands out in them."""
    lines = whole_lines(found.total, head)
    against = against_the_rest(view, want)
    sure = ""
    if against is not None:
        sure = f"{times_average(against, OF_BOAT)}, {how_sure(against)}{_few(found.total)}"
        lines.append(sentence(sure))
    for by in _LEADERS:
        leader = _leader(view, replace(want, by=by))
        lines += [leader] if leader else []
    return lines, sentence(f"{head}: {count(found.total.strikes, 'strike')}; {sure}".rstrip("; "))


def _leader(view: View, want: TallyRequest, average: str = THERE) -> str:
    stands = compare_rows(view, want)
    if not stands:
        return ""
    keys, best = max(stands.items(), key=lambda one: one[1].better)
    if best.better < LIKELY:
        return f"{sentence(want.by).rstrip('.')}: none stands out."
    if want.by == "lure" and view.lure(keys[0]) is None:
        return ""
    found = tally_for(view, want)
    row = next(row for row in found.rows if (row.key, row.other) == keys)
    words = f"{want.by}: {key_words(row, found)}, {row.strikes} in {hours_words(row.hours)}"
    return sentence(f"{words}; {times_average(best, average)}, {how_sure(best)}{_few(row)}")


def _one_by_one(
    view: View, want: TallyRequest, found: Tally, head: str, average: str = OF_BOAT
) -> tuple[list[str], str]:
    """Return how every row compares with the average, in words."""
    stands = compare_rows(view, want)
    names = place_names(view, want, found)
    rows = [row for row in found.rows if row.hours or row.strikes]
    shown = _shown(rows, found, stands)
    lines = [f"{head}:"] if head else []
    lines += [_line(row, found, stands, names) for row in shown]
    if len(rows) > len(shown):
        lines.append(f"and {len(rows) - len(shown)} more")
    lines += whole_lines(found.total, "All")[:1]
    best = max(
        (row for row in rows if (row.key, row.other) in stands),
        key=lambda row: stands[row.key, row.other].better,
        default=None,
    )
    if best is None:
        return [*lines, "Too little to compare."], f"{count(found.total.strikes, 'strike')} in all."
    standing = stands[best.key, best.other]
    if standing.better < SURE:
        said = f"None of {len(stands)} stands out yet"
    else:
        name = _named(best, found, names)
        said = f"{name} is {how_sure(standing)}, {times_average(standing, average)}"
    why = f" (× is times the average of these {len(stands)}, compared at once; few strikes count for little.)"
    return [*lines, sentence(said) + why], sentence(said)


def _line(
    row: TallyRow, found: Tally, stands: Mapping[Keys, Standing], names: Mapping[str, str]
) -> str:
    line = row_line(row, found)
    for key, name in names.items():
        line = line.replace(key, name)
    standing = stands.get((row.key, row.other))
    if standing is None:
        return line
    return f"{line}; {times_average(standing, TIMES)}, {how_sure(standing)}{_few(row)}"


def _few(row: TallyRow) -> str:
    few = f"only {count(row.strikes, 'strike')}" if row.strikes else "no strike yet"
    return f"; {few}" if row.strikes < FEW else ""


def _shown(
    rows: Sequence[TallyRow], found: Tally, stands: Mapping[Keys, Standing]
) -> Sequence[TallyRow]:
    """Return the rows that fit on a phone: all of a short order, else those that are most surely better."""
    if found.also == "none" and found.by in IN_ORDER and len(rows) <= MOST_IN_ORDER:
        return rows
    by_chance = sorted(
        rows,
        key=lambda row: (
            -stands[row.key, row.other].better if (row.key, row.other) in stands else 0.0
        ),
    )
    chosen = by_chance[:MOST_ROWS]
    return [row for row in rows if row in chosen] if found.by in IN_ORDER else chosen


def _named(row: TallyRow, found: Tally, names: Mapping[str, str]) -> str:
    words = key_words(row, found)
    for key, name in names.items():
        words = words.replace(key, name)
    return words


def place_names(view: View, want: TallyRequest, found: Tally) -> dict[str, str]:
    """Name cells by the nearest mark of the boat's own, where one is near: `the bank (35.21S 174.36E)`."""
    if "place" not in (found.by, found.also):
        return {}
    marks = [json.loads(label) for book, _ in ledgers(view, want) for label in book.labels["mark"]]
    cells = {row.key if found.by == "place" else row.other for row in found.rows}
    named: dict[str, str] = {}
    for cell in cells:
        if not cell[-1:].isupper():
            continue
        near = [
            (leg(middle_of(cell), (latitude, longitude)).distance_nm, name)
            for name, latitude, longitude in marks
        ]
        away, name = min(near, default=(NAMED_WITHIN_NM + 1, ""))
        if away <= NAMED_WITHIN_NM:
            named[cell] = f"{name} ({cell})"
    return named
