"""The figures of a trip: lure-seconds and fish by everything that a tally can ask for.

Made from a folded trip, small enough to be kept for every trip; `ledger` adds many of them up. Columns
of whole numbers over lists of labels, so that a thousand trips are read at once. Pure.
"""

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta, tzinfo
from typing import Any, Final

from bot.trip.conditions import FORGOTTEN_AFTER, MONTHS, UNKNOWN
from bot.trip.entry import Place
from bot.trip.exposure import Condition, Cuts, Slice, slices
from bot.trip.fish import Fish
from bot.trip.lures import LureSlots
from bot.trip.packed import PackedTable, pack
from bot.trip.state import Trip
from bot.trip.tally import by_crew, numbers
from bot.trip.whereabouts import place_at

VERSION: Final = 14
"""Version of the figures; raise it when they change, so that older ones are computed again."""

LABELS: Final = (
    "position", "side", "lure", "speed", "light", "water", "place", "species", "crew", "angler", "mark",
)  # fmt: skip
"""Kinds of labels, in the order of `Summary.labels`."""
WATER: Final = (
    "position", "side", "lure", "speed", "light", "water", "place", "month", "hour", "seconds",
)  # fmt: skip
FISH: Final = (
    "position", "side", "lure", "speed", "light", "water", "place", "month", "hour", "species", "angler",
    "latitude_e6", "longitude_e6", "after_s",
    "strikes", "hookups", "caught", "raises", "events_on", "lost",
)  # fmt: skip
STAGES: Final = (
    "fish", "crew", "strikes", "hookups", "caught", "raises", "events_on", "lost",
)  # fmt: skip
"""Columns of the tables; a label that was not said is -1, the month 0 to 11. A fish has its place in
millionths of a degree, `NOWHERE` where nobody knows it, and the time of
its bite in seconds after the first entry of the trip."""
NOWHERE: Final = -(2**31)
_STEPS: Final[tuple[Condition, ...]] = ("speed", "light", "water", "place")


@dataclass(frozen=True, slots=True, eq=False)
class Summary:
    """One trip in figures."""

    trip: str
    first_at: datetime
    last_at: datetime
    started: datetime
    ended: datetime | None
    entries: int
    labels: tuple[tuple[str, ...], ...]
    """By the names in `LABELS`; a lure as JSON: name, size, colours, head; a mark: words, place."""
    water: PackedTable
    fish: PackedTable
    stages: PackedTable


@dataclass(slots=True)
class _Labels:
    """Numbers words in the order in which they come."""

    known: dict[str, int]

    def number(self, word: str | None) -> int:
        return -1 if word is None else self.known.setdefault(word, len(self.known))


def is_settled(trip: Trip, now: datetime) -> bool:
    """Return whether a trip no longer changes with time: it has ended or was forgotten."""
    return not trip.is_open or trip.last_at is None or now - trip.last_at > FORGOTTEN_AFTER


def summary(trip: Trip, now: datetime, tz: tzinfo, home: Place | None = None) -> Summary | None:
    """Return a trip in figures, with what is in the water up to now; None for one without entries."""
    if trip.first_at is None or trip.last_at is None:
        return None
    labels = {name: _Labels({}) for name in LABELS}
    cuts = Cuts(trip, tz, home)
    for mark in trip.marks:
        place = place_at(trip.fixes, mark.at)
        if place is not None and mark.text:
            labels["mark"].number(json.dumps([mark.text, *place], ensure_ascii=False))
    return Summary(
        trip.id,
        trip.first_at,
        trip.last_at,
        trip.started or trip.first_at,
        trip.ended,
        trip.entries,
        water=pack(_water(trip, now, cuts, labels), len(WATER)),
        fish=pack([_fish(one, trip, cuts, tz, labels) for one in trip.fish], len(FISH)),
        stages=pack(_stages(trip, labels), len(STAGES)),
        labels=tuple(tuple(labels[name].known) for name in LABELS),
    )


def _water(
    trip: Trip, now: datetime, cuts: Cuts, labels: dict[str, _Labels]
) -> list[tuple[int, ...]]:
    spent: dict[tuple[int, ...], timedelta] = {}
    for piece in slices(trip, now):
        stint = piece.stint
        where = (
            labels["position"].number(stint.position),
            labels["side"].number(stint.side),
            labels["lure"].number(lure_label(stint)),
        )
        for held, part in _parted(cuts, piece, _STEPS):
            steps = tuple(
                labels[by].number(None if key == UNKNOWN else key)
                for by, key in zip(_STEPS, held, strict=True)
            )
            for month, days in cuts.parts(part, "month"):
                for hour, least in cuts.parts(days, "hour"):
                    keys = (*where, *steps, MONTHS.index(month), int(hour[:2]))
                    spent[keys] = spent.get(keys, timedelta()) + least.end - least.start
    return [(*key, round(time.total_seconds())) for key, time in spent.items()]


def _parted(
    cuts: Cuts, piece: Slice, bys: Sequence[Condition]
) -> Iterator[tuple[tuple[str, ...], Slice]]:
    """Split a piece by several conditions at once."""
    if not bys:
        yield (), piece
        return
    for key, part in cuts.parts(piece, bys[0]):
        for keys, least in _parted(cuts, part, bys[1:]):
            yield (key, *keys), least


def _fish(
    fish: Fish, trip: Trip, cuts: Cuts, tz: tzinfo, labels: dict[str, _Labels]
) -> tuple[int, ...]:
    at = fish.bite_at or fish.first_at
    held = ((by, cuts.at(by, at)) for by in _STEPS)
    place = place_at(trip.fixes, at)
    local = at.astimezone(tz)
    return (
        labels["position"].number(fish.position),
        labels["side"].number(fish.side),
        labels["lure"].number(lure_label(fish)),
        *(labels[by].number(None if key == UNKNOWN else key) for by, key in held),
        local.month - 1,
        local.hour,
        labels["species"].number(fish.species),
        labels["angler"].number(fish.angler),
        *((NOWHERE, NOWHERE) if place is None else (round(part * 1e6) for part in place)),
        round((at - (trip.first_at or at)).total_seconds()),
        *numbers(fish),
    )


def _stages(trip: Trip, labels: dict[str, _Labels]) -> list[tuple[int, ...]]:
    return [
        (index, labels["crew"].number(crew), *counted)
        for index, fish in enumerate(trip.fish)
        for crew, counted in by_crew(fish)
    ]


def lure_label(lure: LureSlots) -> str:
    """Return the label of a lure."""
    size = lure.size_in
    value: list[Any] = [lure.lure, size, list(lure.colours), lure.head]
    return json.dumps(value, ensure_ascii=False, separators=(",", ":"))


@dataclass(frozen=True, slots=True)
class LabelledLure:
    """A lure read from its label."""

    lure: str | None
    size_in: float | None
    colours: tuple[str, ...]
    head: str | None


def lure_of_label(label: str) -> LabelledLure:
    """Return the lure of a label that `lure_label` made."""
    name, size_in, colours, head = json.loads(label)
    return LabelledLure(name, size_in, tuple(colours), head)
