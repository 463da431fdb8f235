"""The box and the trays as they stood when a trip ended: what wants work, what each tray brought. Pure."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime

from bot.answers.drawing import terms_of
from bot.answers.view import View
from bot.reports.report import Placement, Rig, TrayRow
from bot.spread.readiness import Readiness, readiness
from bot.spread.trays import not_ready, trays_after
from bot.tackle.trays import Tray, TrayLure, tray_key
from bot.trip.acts import SET
from bot.trip.entry import Entry
from bot.trip.exposure import horizon
from bot.trip.lures import LureSlots, is_known, label
from bot.trip.meant import SpreadWish
from bot.trip.state import Trip

_ORDER = ("lost", "rework", "to check", "in water")


def tray_rows(view: View, laid: Sequence[Placement]) -> tuple[TrayRow, ...]:
    """Return the trays as they were when the trip ended, by name; what was called later does not count."""
    if not view.trip.entries:
        return ()
    end = horizon(view.trip, view.now)
    made, told = view.load_trays()
    held = trays_after(
        [(tray, at) for tray, at in made if at <= end],
        [entry for entry in told if entry.at <= end],
        view.box,
    )
    states = states_at_end(view)
    return tuple(_row(tray, view, laid, not_ready(tray, states)) for tray in held)


def _row(
    tray: Tray, view: View, laid: Sequence[Placement], due: Iterable[tuple[TrayLure, str]]
) -> TrayRow:
    sets = [
        entry
        for entry in view.stood
        if entry.call.act == SET
        and (wish := entry.call.meaning(SpreadWish)) is not None
        and tray_key(wish.from_tray) == tray_key(tray.name)
    ]
    brought = list(dict.fromkeys(one for entry in sets if (one := _laid_by(entry, laid))))
    return TrayRow(
        tray.title, terms_of(tray, view.units),
        tuple(one.label for one in tray.runners), tuple(one.label for one in tray.spares),
        tuple(one.label for one, _ in due), _times(sets),
        round(sum(one.hours for one in brought), 3),
        sum(one.strikes for one in brought),
    )  # fmt: skip


def _times(sets: Iterable[Entry]) -> tuple[datetime, ...]:
    """Return when the tray was put out: one time for each message."""
    first: dict[str, datetime] = {}
    for entry in sets:
        first.setdefault(entry.message, entry.at)
    return tuple(sorted(first.values()))


def _laid_by(entry: Entry, laid: Sequence[Placement]) -> Placement | None:
    """Return how long and how well a lure fished that an entry put out."""
    return next(
        (
            one
            for one in laid
            if one.position == entry.call.position
            and one.lure == entry.call.lure
            and (one.end is None or one.end > entry.at)
        ),
        None,
    )


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
