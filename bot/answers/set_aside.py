"""Which lures are not proposed or planned: those that stand by as an outfit, and those the crew left out.

What was left out stays so for the day, or until somebody takes it in again; what was said after the lines of
a trip came in counts for the next morning.
"""

from collections.abc import Iterable
from datetime import timedelta
from typing import Final

from bot.answers.view import View
from bot.tackle.items import HEADS, Lure
from bot.tackle.trays import STANDBY
from bot.trip.meant import LeavesOut, meaning
from bot.trip.state import Remark

A_NIGHT: Final = timedelta(hours=18)
"""How long before the next trip something may have been left out for it."""


def left_out(view: View) -> frozenset[str]:
    """Return the lures of the box that the crew left out for the day."""
    found: set[str] = set()
    for said in _said(view):
        names = lures_of(view, said.what)
        found = found - names if said.back else found | names
    return frozenset(found)


def stands_by(view: View) -> dict[str, str]:
    """Return the lures that stand by, each with its outfit; where several may dive none of them does."""
    found: dict[str, str] = {}
    for outfit in STANDBY:
        lures = view.standing_by(outfit).lures
        in_tray = any(
            lure.name in {one.lure for one in tray.lures} for tray in view.trays for lure in lures
        )
        if len(lures) == 1 or in_tray:
            found |= {lure.name: outfit for lure in lures}
    return found


def set_aside(view: View) -> frozenset[str]:
    """Return all lures that are not to be proposed."""
    return left_out(view).union(stands_by(view))


def lures_of(view: View, what: Iterable[str]) -> frozenset[str]:
    """Return the lures of the box that names, outfits, colours and heads mean."""
    found: set[str] = set()
    for name in what:
        if name in STANDBY:
            found |= {lure.name for lure in view.standing_by(name).lures}
        else:
            found |= {lure.name for lure in view.box if is_of(lure, name)}
    return frozenset(found)


def is_of(lure: Lure, name: str) -> bool:
    """Return whether a lure has a name, a colour or a head."""
    return lure.name == name or name in lure.colours or (name in HEADS and lure.head == name)


def why_aside(view: View, name: str) -> str:
    """Return why a lure is not proposed, as a sentence; empty where it may be."""
    if name in left_out(view):
        return f'{name} was left out for the day. Say "propose {name} again" to take it in.'
    outfit = stands_by(view).get(name)
    return (
        ""
        if outfit is None
        else f"{name} stands by as the {outfit}, so it is not proposed for the spread."
    )


def _said(view: View) -> list[LeavesOut]:
    notes = (*_last_night(view), *view.trip.notes)
    return [said for note in notes if (said := meaning(note.meant, LeavesOut)) is not None]


def _last_night(view: View) -> tuple[Remark, ...]:
    """Return what was noted on the last trip after its lines came in, where that was not long ago."""
    last = view.past.trips[-1] if view.past.trips else None
    if last is None:
        return ()
    fished = max((one.end for one in last.stints if one.end is not None), default=None)
    late = (note for note in last.notes if fished is None or note.at >= fished)
    return tuple(note for note in late if view.now - note.at <= A_NIGHT)
