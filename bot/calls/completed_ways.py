"""Readings completed by the words of a line, by each other, and by the lines of the boat.

The lure in full, the figure of a speed; and on a boat that names its lines itself "the long" is none of the
usual ones that it has not: readers know the usual names, and may take "left flat and left long" for a long
corner. What a line says of a tray comes first: the word means nothing else aboard. Pure.
"""

from collections.abc import Collection, Sequence
from dataclasses import replace
from typing import Final

from bot.calls.meant.reader import Line
from bot.calls.reader.labels import URGENT
from bot.calls.weighed import WeighedReading, merge_same
from bot.trip.acts import (
    ANGLER,
    BITES,
    FISH_ACTS,
    LAYING,
    PLAN,
    ROWS,
    SET,
    SIGHTING,
    TABLE,
    TAKES,
    TRAY,
)
from bot.trip.call import NO_CATCH, POSITIONS, Call
from bot.trip.corrections import GAUGES

_MOST = 0.99
"""Greatest probability of readings that come to the same, together."""
_FIGURES = frozenset(
    row.act for row in ROWS if row.needs and {*"|".join(row.needs).split("|")} <= {*GAUGES}
) | {SIGHTING}
"""Acts that say nothing without a figure, or without what was seen."""
SURE_OF_TRAYS: Final = 0.93
"""Probability given to the reading of a line that names a tray."""
MOST_BESIDE_TRAYS: Final = 2
"""Most calls of the other readers at which a line may be about one tray."""


def name_lure_of_bite(ways: Sequence[WeighedReading], line: Line) -> tuple[WeighedReading, ...]:
    """Return the readings; a bite without a lure gets the only one that the line names in full."""
    names = {sign.name for sign in line.of("name") if sign.cost == 0}
    if len(names) != 1:
        return tuple(ways)
    (name,) = names
    return tuple(replace(way, calls=_on_lure(way.calls, name)) for way in ways)


def _on_lure(calls: tuple[Call, ...], name: str) -> tuple[Call, ...]:
    if len(calls) != 1 or calls[0].act not in BITES or "lure" not in TAKES[calls[0].act]:
        return calls
    return calls if calls[0].names_lure else (calls[0].with_slots(lure=name),)


def without_people(ways: Sequence[WeighedReading], line: Line) -> tuple[WeighedReading, ...]:
    """Return the readings, without a change of lures where only people change places: "swap the anglers"."""
    if not line.has("changes_places", "people"):
        return tuple(ways)
    return tuple(replace(way, calls=()) if _is_bare_lay(way.calls) else way for way in ways)


def _is_bare_lay(calls: Sequence[Call]) -> bool:
    """Return whether nothing is called but lures that go out, without a line or a lure."""
    return bool(calls) and all(call.act in LAYING and not call.said() for call in calls)


def with_local_kinds(ways: Sequence[WeighedReading], line: Line) -> tuple[WeighedReading, ...]:
    """Return the readings with a measured fish as the kind that its local name means then."""
    kept = _only(line, "when_kept")
    pounds = _only(line, "in_pounds") if line.has("unit", "pound") else None
    pounds = pounds if len(line.of("species")) < 2 else None
    if kept is None and pounds is None:
        return tuple(ways)

    is_fish = line.has("either", "fish")

    def closer(call: Call) -> Call:
        measured = call.weight_kg is not None or call.length_cm is not None
        meant = is_fish or (measured and TABLE[call.act].keeps)
        if kept and meant and call.species in NO_CATCH:
            return call.with_slots(species=kept)
        return (
            call.with_slots(species=pounds) if pounds and call.weight_kg and call.species else call
        )

    return tuple(replace(way, calls=tuple(closer(call) for call in way.calls)) for way in ways)


def _only(line: Line, table: str) -> str | None:
    there = {sign.name for sign in line.of(table) if sign.cost == 0}
    return there.pop() if len(there) == 1 else None


def with_its_figure(ways: Sequence[WeighedReading]) -> tuple[WeighedReading, ...]:
    """Return the readings; a speed or a sighting without its figure gives way to the one that has it."""
    if not ways or len(ways[0].calls) != 1 or ways[0].calls[0].act not in _FIGURES:
        return tuple(ways)
    bare = ways[0]
    if bare.calls[0].said():
        return tuple(ways)
    told = [w for w in ways[1:] if [c.act for c in w.calls] == [bare.calls[0].act]]
    if not told:
        return tuple(ways)
    rest = [way for way in ways[1:] if way is not told[0]]
    return (_as_sure_as(told[0], [bare, told[0]]), *rest)


def without_rivals_in_angler(ways: Sequence[WeighedReading]) -> tuple[WeighedReading, ...]:
    """Return the readings without those that differ from the first only in who has the rod.

    What happened is sure then: it is logged as the likelier one has it, and not asked about.
    """
    if len(ways) < 2 or not ways[0].calls or any(call.act == ANGLER for call in ways[0].calls):
        return tuple(ways)
    first = ways[0]
    same = [way for way in ways[1:] if _without_angler(way.calls) == _without_angler(first.calls)]
    rest = [way for way in ways[1:] if way not in same]
    return (_as_sure_as(first, [first, *same]) if same else first, *rest)


def _as_sure_as(way: WeighedReading, all_of: Sequence[WeighedReading]) -> WeighedReading:
    """Return a reading as likely as readings that come to the same are together."""
    sure = min(_MOST, sum(one.probability for one in all_of))
    return replace(way, probability=max(sure, way.probability))


def _without_angler(calls: Sequence[Call]) -> list[Call]:
    return [call.with_slots(angler=None) for call in calls]


def missing_positions(positions: Collection[str]) -> frozenset[str]:
    """Return the usual positions that a boat lacks which has names of its own for its lines."""
    own = set(positions) - set(POSITIONS)
    return frozenset(POSITIONS) - set(positions) if own else frozenset()


def on_own_lines(
    ways: Sequence[WeighedReading], line: Line, lacks: Collection[str]
) -> tuple[WeighedReading, ...]:
    """Return the readings without usual positions that the boat has not and nobody named.

    Such a call is of the line that is named and that no other call is of; where there is none, it goes,
    or says no line.
    """
    if not lacks or not any(c.position in lacks for way in ways for c in way.calls):
        return tuple(ways)
    named = [sign.name for sign in line.of("position")]
    told = (replace(way, calls=_on_lines(way.calls, named, lacks)) for way in ways)
    return merge_same(tuple(told))


def _on_lines(
    calls: tuple[Call, ...], named: Sequence[str], lacks: Collection[str]
) -> tuple[Call, ...]:
    taken = {call.position for call in calls}
    free = [name for name in named if name not in taken and name not in lacks]
    found: list[Call] = []
    for call in calls:
        if call.position not in lacks or call.position in named:
            found.append(call)
        elif free:
            found.append(call.with_slots(position=free.pop(0), side=None))
        elif call.act in FISH_ACTS | LAYING:  # a fish is no less one, and the line is asked for
            found.append(call.with_slots(position=None))
    return tuple(found)


def with_trays(
    ways: tuple[WeighedReading, ...], said: tuple[Call, ...], is_listed: bool = False
) -> tuple[WeighedReading, ...]:
    """Return the readings with what a line says of trays before them: the word means nothing else aboard.

    `is_listed` is for a line that is a tray and then its lures, which are then no calls of their own.
    Where somebody is in trouble, and where several things are called in a breath, they stay as they are.
    """
    best = ways[0].calls if ways else ()
    kind = TRAY if is_listed else PLAN
    planned = {c.act for c in said} <= {kind, SET} and all(c.act in (kind, SET) for c in best)
    many = (
        len(best) > MOST_BESIDE_TRAYS and not planned
    )  # lures of a plan are no calls of their own
    if not said and best and all(c.act == TRAY for c in best):
        return _of_a_tray(ways)
    if not said or any(c.act in URGENT for c in best) or many:
        return ways
    rest = (
        replace(w, probability=min(w.probability, 1.0 - SURE_OF_TRAYS))
        for w in ways
        if w.calls != said
    )
    return (WeighedReading(said, SURE_OF_TRAYS, "grammar"), *rest)


def _of_a_tray(ways: tuple[WeighedReading, ...]) -> tuple[WeighedReading, ...]:
    """Return the readings of a line that fills a tray without what may be seen: "church organ in tray two".

    Where no lure is told nothing goes in, so that it is answered and not asked about.
    """
    best, *others = ways
    if not any(call.names_lure for call in best.calls):
        best = replace(best, probability=max(best.probability, SURE_OF_TRAYS))
    rest = (w for w in others if all(TABLE[c.act].form != "seen" for c in w.calls))
    return (
        best,
        *(replace(w, probability=min(w.probability, 1.0 - best.probability)) for w in rest),
    )
