"""Which lures want work after a trip: the box as it stood when the trip ended. Pure."""

from collections.abc import Mapping

from bot.answers.view import View
from bot.reports.report import Rig
from bot.spread.readiness import Readiness, readiness
from bot.trip.exposure import horizon
from bot.trip.lures import LureSlots, is_known, label
from bot.trip.state import Trip

_ORDER = ("lost", "rework", "to check", "in water")


def rigs(view: View) -> tuple[Rig, ...]:
    """Return the lures that are not ready, those that went out on the trip or were spoken of.

    What the box was told after the trip does not count: the report of a day stays that of the day.
    Without a box the log alone tells.
    """
    trip = view.trip
    if not view.box:
        return _from_log(trip)
    states = states_at_end(view)
    spoken_of: tuple[LureSlots, ...] = (*trip.stints, *trip.rigging, *trip.lost)
    used = {label(one).casefold() for one in spoken_of}
    found = [
        Rig(lure.name, states[lure.name].state, states[lure.name].reason)
        for lure in view.box
        if states[lure.name].state != "ready"
        and (lure.name.casefold() in used or states[lure.name].state in ("rework", "lost"))
    ]
    return tuple(sorted(found, key=lambda rig: (_ORDER.index(rig.state), rig.lure)))


def states_at_end(view: View) -> Mapping[str, Readiness]:
    """Return how every lure of the box stood when the trip ended."""
    end = horizon(view.trip, view.now)
    told = {name: at for name, at in view.imported_at.items() if at <= end}
    return readiness(view.box, told, (*view.past.trips, view.trip), end)


def _from_log(trip: Trip) -> tuple[Rig, ...]:
    found: dict[str, Rig] = {}
    for fish in trip.fish:
        if fish.is_strike and is_known(fish):
            found[fish.label] = Rig(fish.label, "to check", "bitten")
    for rigging in trip.rigging:
        found.pop(rigging.label, None)
        if not rigging.ready:
            found[rigging.label] = Rig(rigging.label, "rework", rigging.text or "needs work")
    for lure in trip.lost:
        found[lure.label] = Rig(lure.label, "lost", f"went with the line on the {lure.position}")
    return tuple(sorted(found.values(), key=lambda rig: (_ORDER.index(rig.state), rig.lure)))
