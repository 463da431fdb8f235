"""Readings put right by the few words that decide them, whatever a reader made of the rest. Pure.

lines in the boat -> lines out        birds, eleven o'clock -> a bearing, and no time
two bites, missed both -> two         turned north, seven knots -> our own speed
pounds, not kilos -> a correction of the unit alone        a list of lures that are ready -> all of them
"""

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from bot.calls.meant.bare_numbers import single_number
from bot.calls.meant.facts import lost_calls, nothing_on, out_since
from bot.calls.meant.reader import Line
from bot.calls.meant.signs import Sign
from bot.calls.meant.tackle import ON_TOP, sighting_on_top, told_ready
from bot.calls.meant.times_and_units import clock_bearing, unit_alone
from bot.calls.numbers import numbers_at
from bot.calls.reader.labels import CLEARED, URGENT
from bot.calls.times import clocks_at
from bot.calls.weighed import AT_ONCE, WeighedReading, merge_same
from bot.trip.acts import (
    AMEND,
    CONDITIONS,
    LINES_IN,
    LINES_OUT,
    MISSED,
    READY,
    SET,
    SIGHTING,
    SPEED,
    SWAP,
    TABLE,
    TRIP_END,
)
from bot.trip.call import Call

MOST_FISH: Final = 20
"""Number from which no count of fish is meant."""
_FIGURES: Final = ("weight_kg", "length_cm", "count")
BAIT: Final = "bait"
"""The contract's word for what fish feed on."""
ROW: Final = 2
"""Fewest lures that go out one after another for a row of them."""
MOST_WORDS_EACH: Final = 5
"""Most words for each of them beside its name: "goes out on the long rigger"."""
IN_A_ROW_FROM: Final = 0.35
"""Probability from which a reading that accounts for every lure of a row is sure."""


def as_signs_say(ways: Sequence[WeighedReading], line: Line) -> tuple[WeighedReading, ...]:
    """Return the readings of a line as its words for lines, times, counts, courses and units say."""
    if nothing_on(line) is not None or out_since(line) is not None:
        return (WeighedReading((), AT_ONCE, "grammar"),)  # how things stand is held against the log
    if unit_alone(line) is not None:
        rest = tuple(w for w in ways if w.calls and w.calls[0].act != AMEND)
        return (WeighedReading((Call(AMEND),), AT_ONCE, "grammar"), *rest)
    ways = _with_lost(tuple(_surer(way, line) for way in ways), line)
    told = tuple(replace(way, calls=_put_right(way.calls, line)) for way in ways)
    found = merge_same(_without_unsaid_sizes(told, line))
    if len(found) > 1 or told == tuple(ways) or not (found and found[0].calls):
        return found
    return (replace(found[0], probability=max(AT_ONCE, found[0].probability)),)


def _with_lost(ways: tuple[WeighedReading, ...], line: Line) -> tuple[WeighedReading, ...]:
    """Return the readings with a lure that is said to be lost before them; how a fish ended stays theirs."""
    said = lost_calls(line)
    if not said or any(call.act in URGENT for way in ways[:1] for call in way.calls):
        return ways
    best = ways[0].calls if ways else ()
    kept = tuple(
        c for c in best if TABLE[c.act].stage in ("lost", "missed") or c.act in (SET, SWAP)
    )
    calls = (*kept, *said)
    rest = tuple(way for way in ways if way.calls != calls)
    return (WeighedReading(calls, AT_ONCE, "grammar"), *rest)


def _put_right(calls: tuple[Call, ...], line: Line) -> tuple[Call, ...]:
    for step in (
        _aboard,
        _without_side,
        _at_bearing,
        _counted,
        _doubled,
        _recounted,
        _measured_once,
        _unpaid,
        _headed,
        _standing_by,
        _listed,
        _with_on_top,
        _all_cleared,
        _with_lines,
        _over,
        _back_out,
    ):
        calls = step(calls, line)
    return calls


def _without_unsaid_sizes(ways: Sequence[WeighedReading], line: Line) -> tuple[WeighedReading, ...]:
    """Return the readings without a size alone that nobody said, where another is the same without it."""
    if line.has("unit") or all(c.size_in is None for way in ways for c in way.calls):
        return tuple(ways)
    starts = range(len(line.tokens))
    numbers = (number for n in starts for number in numbers_at(line.lattice, n))
    said = {number.value for number in numbers if number.cost == 0.0}
    known = {way.calls for way in ways}

    def bare(calls: tuple[Call, ...]) -> tuple[Call, ...]:
        kept = (c.size_in in said or bool(c.colours or c.head or c.lure) for c in calls)
        without = tuple(
            c if keeps else c.with_slots(size_in=None) for c, keeps in zip(calls, kept, strict=True)
        )
        return without if without in known else calls

    return tuple(replace(way, calls=bare(way.calls)) for way in ways)


def _aboard(calls: tuple[Call, ...], line: Line) -> tuple[Call, ...]:
    """Return lines that are in the boat as out of the water."""
    if not line.has("aboard", "boat") or line.has("aboard", "water"):
        return calls
    return tuple(replace(c, act=LINES_OUT) if c.act == LINES_IN else c for c in calls)


def _without_side(calls: tuple[Call, ...], line: Line) -> tuple[Call, ...]:
    """Return lines that go in or come out without a side: the "right" of "rightio" is none."""
    if any(sign.start > 0 for sign in line.of("side")):
        return calls
    whole = (LINES_IN, LINES_OUT)
    return tuple(c.with_slots(side=None) if c.act in whole and c.side else c for c in calls)


def _at_bearing(calls: tuple[Call, ...], line: Line) -> tuple[Call, ...]:
    """Return what is seen at eleven o'clock without a time."""
    if clock_bearing(line) is None:
        return calls
    return tuple(c.with_slots(clock=None) if c.act == SIGHTING else c for c in calls)


def _counted(calls: tuple[Call, ...], line: Line) -> tuple[Call, ...]:
    """Return a strike that was missed with how many there were."""
    many = line.first("counted")
    bites = [call for call in calls if TABLE[call.act].stage == "struck"]
    others = {call.act for call in calls if call not in bites}
    if many is None or len(bites) != 1 or bites[0].count or not others <= MISSED:
        return calls
    return _with_count(calls, bites[0], int(many.name))


def _doubled(calls: tuple[Call, ...], line: Line) -> tuple[Call, ...]:
    """Return a double with its two fish, where one bite is called."""
    bites = [call for call in calls if TABLE[call.act].stage in ("struck", "on")]
    if len(bites) != 1 or bites[0].count or not line.has("doubled"):
        return calls
    return _with_count(calls, bites[0], 2)


def _recounted(calls: tuple[Call, ...], line: Line) -> tuple[Call, ...]:
    """Return fish with the count that a line itself puts right last: "two sails, well one"."""
    fish = [call for call in calls if TABLE[call.act].stage and call.count]
    if len(fish) != 1 or fish[0].count is None:
        return calls
    first = min(_places(line, fish[0].count), default=-1)  # "double" is no number
    for sign in line.of("recount"):
        many = _count_at(line, sign.end) if sign.name == "again" and sign.start > first else None
        if many is not None and many != fish[0].count:
            return tuple(
                c.with_slots(count=many if many > 1 else None) if c == fish[0] else c for c in calls
            )
    return calls


def _places(line: Line, count: int) -> list[int]:
    """Return the words at which a number is said."""
    starts = range(len(line.tokens))
    return [n for n in starts for number in numbers_at(line.lattice, n) if number.value == count]


def _count_at(line: Line, at: int) -> int | None:
    """Return the small number that is said at a word, with nothing but fish behind it; else None."""
    size = len(line.tokens)
    for number in numbers_at(line.lattice, at) if at < size else ():
        behind = [
            s for s in line.of("species", "recount") if s.start == number.end and s.name != "again"
        ]
        ends = number.end == size or line.tokens[number.end].stop or behind
        if ends and number.cost == 0.0 and number.value in range(1, MOST_FISH):
            return int(number.value)
    return None


def _with_count(calls: tuple[Call, ...], bite: Call, count: int) -> tuple[Call, ...]:
    return tuple(call.with_slots(count=count) if call == bite else call for call in calls)


def _measured_once(calls: tuple[Call, ...], line: Line) -> tuple[Call, ...]:
    """Return a fish with one measure where one number is said: "a hundred and eighty" is no 100 and 180."""
    both = [call for call in calls if call.weight_kg is not None and call.length_cm is not None]
    said = single_number(line) if both else None
    if said is None:
        return calls
    return tuple(c.with_slots(weight_kg=said, length_cm=None) if c in both else c for c in calls)


def _unpaid(calls: tuple[Call, ...], line: Line) -> tuple[Call, ...]:
    """Return fish without a measure that is money: "landed, and he owes me twenty bucks"."""
    money = {sign.start for sign in line.of("money") if sign.cost == 0.0}
    starts = range(len(line.tokens)) if money else ()
    sums = {n.value for at in starts for n in numbers_at(line.lattice, at) if n.end in money}

    def told(call: Call) -> Call:
        named = {name for name in _FIGURES if call.said().get(name) in sums}
        return call.with_slots(**dict.fromkeys(named))

    return tuple(told(call) for call in calls) if sums else calls


def _headed(calls: tuple[Call, ...], line: Line) -> tuple[Call, ...]:
    """Return knots beside a heading as the speed of the boat, where no wind is spoken of."""
    if not line.has("heading", "turned") or line.has("heading", "wind"):
        return calls
    found = (_own_speed(c) if c.act == CONDITIONS and c.wind_from else c for c in calls)
    return tuple(call for call in found if call is not None)


def _own_speed(call: Call) -> Call | None:
    if call.sea_m is not None or call.text:
        return call
    if call.wind_kn is None:
        return None
    return Call(SPEED, speed_kn=call.wind_kn, ago_min=call.ago_min, clock=call.clock)


def _standing_by(calls: tuple[Call, ...], line: Line) -> tuple[Call, ...]:
    """Return a lure that is ready and has no name as the outfit that stands by, where a line says so."""
    outfit = told_ready(line)
    if outfit is None:
        return calls
    return tuple(c.with_slots(lure=outfit) if c == Call(READY) else c for c in calls)


def _with_on_top(calls: tuple[Call, ...], line: Line) -> tuple[Call, ...]:
    """Return what is seen with the fish on top that are said beside it: "birds, fish on top"."""
    if not calls or any(c.act != SIGHTING or c.what == ON_TOP for c in calls):
        return calls
    found = sighting_on_top(line, calls[-1])
    if found and not line.has("what", BAIT):  # "fish" on top were read as bait
        calls = tuple(call for call in calls if call.what != BAIT)
    return (*calls, *found)


def _listed(calls: tuple[Call, ...], line: Line) -> tuple[Call, ...]:
    """Return all lures of a list as ready, where one of them is read so and nothing else is."""
    if not calls or any(c.act != READY or not c.lure for c in calls):
        return calls
    read = {call.lure for call in calls}
    rows = _rows(line)
    row = next((row for row in rows if read & {*row} and len(row) > len(read)), tuple(read))
    row = (*row, *(name for row_too in rows if _is_too(row_too[-1], line) for name in row_too))
    if not read <= {*row} or len({*row}) == len(read):
        return calls
    return tuple(replace(calls[0], lure=name) for name in dict.fromkeys(row))


def _is_too(name: str, line: Line) -> bool:
    """Return whether it is said of a lure that it is as those before it: "the vicar too"."""
    ends = [sign.end for sign in line.of("name") if sign.name == name]
    return any(line.at(end, "listing", "too") is not None for end in ends)


def _all_cleared(calls: tuple[Call, ...], line: Line) -> tuple[Call, ...]:
    """Return all lines of a row as cleared, where most of them are read so and nothing else is."""
    if len(calls) < ROW or any(c.act != CLEARED or not c.position for c in calls):
        return calls
    read = {call.position for call in calls}
    row = next((row for row in _rows(line, "position") if len(row) > len(read)), ())
    if not read <= {*row} or len(line.of("position")) != len(row):
        return calls
    return tuple(replace(calls[0], position=name, side=None) for name in dict.fromkeys(row))


def _with_lines(calls: tuple[Call, ...], line: Line) -> tuple[Call, ...]:
    """Return "lines in with a on the short corner, b on the gun" with the lines as well as the lures."""
    acts = [call.act for call in calls]
    said = next(
        (s for s in line.signs if s[:2] == ("lines_with", "said") and _leads(s, line)), None
    )
    if said is None or SET not in acts or not {*acts} <= {SET, READY}:
        return calls
    at = acts.index(SET)
    return (*calls[:at], Call(LINES_IN), *calls[at:])


def _over(calls: tuple[Call, ...], _: Line) -> tuple[Call, ...]:
    """Return the end of a trip once, after its lines: "that's a wrap, reel em in, trip over"."""
    ends = [call for call in calls if call.act == TRIP_END]
    if len(calls) < ROW or not ends or any(c.act not in (LINES_OUT, TRIP_END) for c in calls):
        return calls
    return (*(call for call in calls if call.act == LINES_OUT), ends[-1])


def _back_out(calls: tuple[Call, ...], line: Line) -> tuple[Call, ...]:
    """Return a line that came in for weed with its going out again: "cleared it, back out 10:47"."""
    back = line.first("went_back")
    calls = _brought_in_first(calls, line) if back is not None else calls
    acts = [call.act for call in calls]
    if acts == [SIGHTING, CLEARED, SET]:
        return calls
    if acts.count(CLEARED) != 1 or not {*acts} <= {SIGHTING, CLEARED} or back is None:
        return calls
    if not line.has("what", "weed") or back.cost > 0.0:
        return calls
    size = line.lattice.size
    times = clocks_at(line.lattice, back.end) if back.end < size else ()
    clock = next((one.clock for one in times), None)
    first = next((call.clock for call in calls if call.clock != clock), None)
    told = (c.with_slots(clock=first) if clock and c.clock == clock else c for c in calls)
    return (*told, Call(SET, clock=clock))


def _brought_in_first(calls: tuple[Call, ...], line: Line) -> tuple[Call, ...]:
    """Return weed and a lure that is back out with what came between: its line came in."""
    if [call.act for call in calls] != [SIGHTING, SET] or calls[1].said().keys() - {"clock"}:
        return calls
    places = {sign.name for sign in line.of("position") if sign.cost == 0.0}
    if len(places) != 1 or not line.has("what", "weed"):
        return calls
    return (calls[0], Call(CLEARED, position=places.pop()), calls[1])


def _leads(said: Sign, line: Line) -> bool:
    """Return whether what is told of lines that go in stands right behind: a lure, or a line."""
    what = any(s.start == said.end for s in line.of("name", "position"))
    return said.cost == 0.0 and what and not line.has("lines_with", "not_yet")


def _surer(way: WeighedReading, line: Line) -> WeighedReading:
    """Return a reading as sure where it puts out every lure that is named, each on a line of its own."""
    laid = [call for call in way.calls if call.act == SET]
    rest = [call.act for call in way.calls if call.act != SET]
    lures, places = [c.lure for c in laid], {(c.position, c.side) for c in laid if c.position}
    named = [sign for sign in line.of("name") if sign.cost == 0.0]
    known = lures == [sign.name for sign in named] and len(places) == len(laid) == len(set(lures))
    words = len(line.tokens) - sum(sign.end - sign.start for sign in named)
    if (
        not known
        or len(laid) < ROW
        or rest not in ([], [LINES_IN])
        or words > MOST_WORDS_EACH * len(laid)
    ):
        return way
    sure = way.probability >= IN_A_ROW_FROM and "?" not in line.text
    return replace(way, probability=max(AT_ONCE, way.probability)) if sure else way


def _rows(line: Line, table: str = "name") -> list[tuple[str, ...]]:
    """Return the lures, or lines, that are named one after another with nothing but "and" between them."""
    rows: list[tuple[str, ...]] = []
    end = -1
    for sign in (one for one in line.of(table) if one.cost == 0.0):
        between = range(end, sign.start)
        joined = end >= 0 and all(line.at(n, "listing", "between") for n in between)
        rows = [*rows[:-1], (*rows[-1], sign.name)] if joined else [*rows, (sign.name,)]
        end = sign.end
    return rows
