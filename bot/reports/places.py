"""Where the trip went, as far as somebody aboard shared it: spots, and the way between them. Pure."""

from collections.abc import Iterable, Sequence
from itertools import pairwise

from bot.answers.view import View
from bot.reports.report import Point, Spot
from bot.sky.light import Light, light_at
from bot.stamps import Fix
from bot.trip.acts import FISH_ACTS, TABLE
from bot.trip.entry import Entry
from bot.water.bearing import leg


def spots(view: View) -> tuple[Spot, ...]:
    """Return the entries that carry a place, by the time they happened."""
    found: list[Spot] = []
    number = 0
    for entry in view.stood:
        if entry.place is None:
            continue
        fish = entry.call.act in FISH_ACTS
        numbered = fish or TABLE[entry.call.act].form == "mark"
        number += numbered
        found.append(Spot(entry.at, _what(entry), *entry.place, number if numbered else None, fish))
    return tuple(found)


def points(track: Iterable[Fix]) -> tuple[Point, ...]:
    """Return the track as the report has it."""
    return tuple(Point(fix.at, *fix.place) for fix in track if fix.place is not None)


def light_of(view: View, entry: str) -> Light | None:
    """Return the light of an entry: at its own place, else at the boat's usual one."""
    found = next((one for one in view.stood if one.id == entry), None)
    place = None if found is None else found.place or view.place
    return None if found is None or place is None else light_at(*place, found.at)


def distance_nm(way: Sequence[Spot] | Sequence[Point]) -> float | None:
    """Return the length of the way along places in nautical miles; None for fewer than two."""
    if len(way) < 2:
        return None
    here = [(spot.latitude, spot.longitude) for spot in way]
    return round(sum(leg(a, b).distance_nm for a, b in pairwise(here)), 2)


def _what(entry: Entry) -> str:
    call = entry.call
    words = TABLE[call.act].label
    about = call.species or call.what or call.position or call.text
    return f"{words}: {about}" if about else words
