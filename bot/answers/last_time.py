"""Say what bit here last time: one line near an old strike, once for each place and trip. Pure.

Old strikes are those of earlier trips whose place is known. Nothing is said while a fish is on; the place
stays untold until then. The caller keeps the keys of what was told.
"""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime, timedelta, tzinfo
from typing import TYPE_CHECKING, Final

import numpy as np

from bot.answers.view import View
from bot.replies.amounts import clock, count, join_parts, sentence
from bot.trip.entry import Place
from bot.trip.lures import label
from bot.trip.summary import NOWHERE, lure_of_label
from bot.water.bearing import leg

if TYPE_CHECKING:
    from bot.trip.ledger import Ledger

NEAR_NM: Final = 2.0
_MINUTES_A_NM: Final = 1.02
"""Minutes of latitude in a nautical mile, at most (WGS 84: 1.005 at the equator), with room to spare."""


@dataclass(frozen=True, slots=True)
class OldStrike:
    """A strike of an earlier trip with its place and its conditions; None for what nobody said."""

    key: str
    """Its name among all strikes of the boat."""
    at: datetime
    place: Place
    position: str | None
    lure: str | None
    species: str | None
    caught: int
    was_on: bool
    light: str | None
    water: str | None
    speed: str | None


@dataclass(frozen=True, slots=True)
class LastTime:
    """The line to tell, and the key under which it counts as told."""

    key: str
    text: str
    spoken: str


def last_time_here(view: View, told: Collection[str] = ()) -> LastTime | None:
    """Return what bit here last time; None where nothing did, a fish is on, or that place was told already.

    `told` holds the keys of what was told on this trip.
    """
    if view.here is None or view.trip.fish_on:
        return None
    book = view.past.ledger
    near = strikes_near(book, view.here)
    if not near:
        return None
    places = [one.place for one in near] if told else []
    for key in told:
        spot = strike_of(book, key)
        if spot is not None and any(leg(spot.place, p).distance_nm <= NEAR_NM for p in places):
            return None
    last = max(near, key=lambda one: (one.at, one.key))
    more = len(near) - 1
    words = f"Last time here, {_day(last.at, view.tz)}: {_what(last)}"
    others = f"{count(more, 'more strike')} within {NEAR_NM:g} nm" if more else ""
    return LastTime(
        last.key, " ".join((sentence(words), sentence(others))).strip(), sentence(words)
    )


def strikes_near(book: "Ledger", here: Place, within_nm: float = NEAR_NM) -> list[OldStrike]:
    """Return the old strikes within a distance, in the order of the log."""
    fish = book.fish
    latitude, longitude = fish["latitude_e6"], fish["longitude_e6"]
    reach_deg = within_nm / 60.0 * _MINUTES_A_NM
    fits = (fish["strikes"] > 0) & (latitude != NOWHERE)
    fits &= np.abs(latitude / 1e6 - here[0]) <= reach_deg
    found = []
    for row in np.flatnonzero(fits).tolist():
        place = (float(latitude[row] / 1e6), float(longitude[row] / 1e6))
        if leg(here, place).distance_nm <= within_nm:
            found.append(_strike(book, row))
    return found


def strike_of(book: "Ledger", key: str) -> OldStrike | None:
    """Return the strike of a key; None where it is no longer in the log."""
    trip, _, number = key.rpartition("#")
    rows = [row for row, header in enumerate(book.headers) if header.trip == trip]
    if not rows or not number.isdigit():
        return None
    own = np.flatnonzero(book.fish["trip"] == rows[0])
    if int(number) >= len(own):
        return None
    row = int(own[int(number)])
    return _strike(book, row) if book.fish["latitude_e6"][row] != NOWHERE else None


def _strike(book: "Ledger", row: int) -> OldStrike:
    values = {name: int(book.fish[name][row]) for name in book.fish.names}
    header = book.headers[values["trip"]]
    first = int(np.argmax(book.fish["trip"] == values["trip"]))

    def said(kind: str) -> str | None:
        place = values[kind]
        return book.labels[kind][place] if place >= 0 else None

    lure = said("lure")
    return OldStrike(
        f"{header.trip}#{row - first}",
        header.first_at + timedelta(seconds=values["after_s"]),
        (values["latitude_e6"] / 1e6, values["longitude_e6"] / 1e6),
        said("position"),
        label(lure_of_label(lure)) if lure else None,
        said("species"),
        values["caught"],
        values["events_on"] > 0,
        said("light"),
        said("water"),
        said("speed"),
    )


def _what(one: OldStrike) -> str:
    end = "caught" if one.caught else "was on" if one.was_on else "not hooked"
    fish = f"{one.species} {end}" if one.species else end
    words = join_parts(["strike", one.position or "", one.lure or "", fish])
    conditions = join_parts([one.light or "", one.water or "", one.speed or ""])
    return f"{words}; {conditions}" if conditions else words


def _day(at: datetime, tz: tzinfo) -> str:
    day = at.astimezone(tz)
    return f"{day.day} {day:%B %Y} {clock(at, tz)}"
