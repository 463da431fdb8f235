"""The trays of a trip: what lay in each at its end, what waits to be looked over, what it brought. Pure."""

from collections.abc import Iterable, Sequence
from datetime import datetime

from bot.answers.drawing import terms_of
from bot.answers.view import View
from bot.reports.report import Placement, TrayRow
from bot.reports.rigs import states_at_end
from bot.spread.trays import not_ready, trays_after
from bot.tackle.trays import Tray, TrayLure, tray_key
from bot.trip.acts import SET
from bot.trip.entry import Entry
from bot.trip.exposure import horizon
from bot.trip.meant import SpreadWish


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
