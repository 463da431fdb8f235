"""What stands by when lines go in: the lures of casting outfit and deep diver, and whether they are ready.

An outfit is ready where its lures are (those of its tray, the lure of its name, for the diver the ready
ones that dive), or where it was called ready, or noted. Such a call holds until a day's fishing after it has
ended: what is made ready in the evening stands by the next morning (common practice). Pure.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from bot.findings import Finding
from bot.spread.readiness import Readiness, find_unready
from bot.tackle.box import name_key
from bot.tackle.checks import PRACTICE
from bot.tackle.items import Lure
from bot.tackle.trays import STANDBY, Tray, named_tray
from bot.trip.meant import Concerns, Meaning, meaning
from bot.trip.state import Trip

CASTER: Final = "casting outfit"
DIVER: Final = "deep diver"
TRAYS: Final = {
    CASTER: ("casting outfit", "casting", "pitch"),
    DIVER: ("deep diver", "deep", "diver"),
}
"""Names of trays that hold the lures of an outfit that stands by."""


@dataclass(frozen=True, slots=True)
class Standby:
    """An outfit that stands by."""

    ready: bool
    lures: tuple[Lure, ...] = ()
    due: tuple[Lure, ...] = ()
    """Those of its lures that are not ready."""


def before_lines_in(
    lures: Sequence[Lure],
    states: Mapping[str, Readiness],
    trip: Trip,
    trays: Iterable[Tray] = (),
    earlier: Sequence[Trip] = (),
) -> tuple[Finding, ...]:
    """Return what is not ready when lines go in: lures laid out, casting outfit, deep diver.

    `earlier` are the trips before, on the last of which an outfit may have been called ready.
    """
    by_name = {lure.name: lure for lure in lures}
    found = []
    trays = tuple(trays)
    for there in trip.spread.values():
        lure = by_name.get(there.lure or "")
        warned = find_unready(lure, states, there.position) if lure else None
        if warned is not None:
            found.append(warned)
    for what, purpose in STANDBY.items():
        if not standing_by(what, lures, states, trip, trays, earlier).ready:
            text = f"the {what} has not been called ready ({purpose})"
            found.append(Finding("note", text, PRACTICE, code="standby"))
    return tuple(found)


def standing_by(
    what: str,
    lures: Sequence[Lure],
    states: Mapping[str, Readiness],
    trip: Trip,
    trays: Iterable[Tray] = (),
    earlier: Sequence[Trip] = (),
) -> Standby:
    """Return how an outfit stands; `trip` is the present one, `earlier` are the trips before it."""
    held = _lures(what, lures, states, tuple(trays))
    due = tuple(lure for lure in held if states[lure.name].state != "ready")
    ready = bool(held) and not due
    ready = ready or _is_told(what, lures, states, trip, earlier)
    return Standby(ready, held, due)


def _lures(
    what: str, lures: Sequence[Lure], states: Mapping[str, Readiness], trays: Sequence[Tray]
) -> tuple[Lure, ...]:
    """Return the lures of an outfit: those in its tray, the lure of its name, else the ones that dive."""
    by_name = {lure.name: lure for lure in lures}
    for name in TRAYS[what]:
        tray = named_tray(trays, name)
        if tray is not None:
            return tuple(by_name[one.lure] for one in tray.lures if one.lure in by_name)
    named = tuple(lure for lure in lures if name_key(lure.name) == what)
    if named or what != DIVER:
        return named
    return tuple(x for x in lures if x.head == "plug" and states[x.name].state == "ready")


def _is_told(
    what: str,
    lures: Sequence[Lure],
    states: Mapping[str, Readiness],
    trip: Trip,
    earlier: Sequence[Trip],
) -> bool:
    """Return whether it is ready as a lure of the box, or was called so and not used since."""
    for lure in lures:
        if name_key(lure.name) == what:
            return states[lure.name].state in ("ready", "in water")
    trips = (*earlier, trip)
    told = max((at for one in trips if (at := _told_at(what, one)) is not None), default=None)
    over = trips if trip.ended is not None else earlier
    return told is not None and not any(_fished_after(one, told) for one in over)


def _told_at(what: str, trip: Trip) -> datetime | None:
    """Return when it was last called ready on a trip, or noted."""
    noted = [one.at for one in trip.notes if _is_about(one.meant, what)]
    called = [one.at for one in trip.rigging if one.ready and name_key(one.lure or "") == what]
    return max([*noted, *called], default=None)


def _is_about(meant: tuple[Meaning, ...], what: str) -> bool:
    found = meaning(meant, Concerns)
    return found is not None and what in found.topics


def _fished_after(trip: Trip, at: datetime) -> bool:
    """Return whether lures were in the water on a trip after a time."""
    return any(one.end is None or one.end > at for one in trip.stints)
