"""The places of the boat, as shared by the crew, and the cells of the sea that it was in.

The sea is cut into cells of 5' of latitude and as much in miles of longitude, about five nautical miles a
side. Between two fixes the boat went straight and evenly; a fix alone holds a quarter of an hour. Pure.
"""

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise
from math import ceil, cos, floor, radians
from typing import Final

from bot.trip.entry import Place

CELLS_A_DEGREE: Final = 12
"""Cells to a degree of latitude: each 5', so 5 nautical miles."""
STRAIGHT_GAP: Final = timedelta(hours=1)
"""Gap between fixes up to which the boat went straight: some 8 nm (our estimate)."""
HOLDS: Final = timedelta(minutes=15)
"""How long before and after a lone fix the boat counts as near it: some 2 nm."""


@dataclass(frozen=True, slots=True)
class PlaceFix:
    """Where the boat was at a time, in degrees, north and east positive."""

    at: datetime
    latitude: float
    longitude: float

    @property
    def place(self) -> Place:
        """Return latitude and longitude."""
        return self.latitude, self.longitude


def cell_of(place: Place) -> str:
    """Return the name of a place's cell, its middle, e.g. `35.21S 174.36E`."""
    row, column, columns = _cell(*place)
    return _named((row + 0.5) / CELLS_A_DEGREE - 90.0, (column + 0.5) * 360.0 / columns - 180.0)


def middle_of(cell: str) -> Place:
    """Return the middle of a cell from its name, to the hundredth of a degree."""
    north, east = cell.split()
    return (
        float(north[:-1]) * (1 if north[-1] == "N" else -1),
        float(east[:-1]) * (1 if east[-1] == "E" else -1),
    )


def neighbours(place: Place) -> Iterator[str]:
    """Yield the cells around that of a place; the same one may come twice."""
    latitude, longitude = place
    for north in (-1, 0, 1):
        row, _, columns = _cell(latitude + north / CELLS_A_DEGREE, longitude)
        for east in (-1, 0, 1):
            column = floor((longitude + 180.0) / 360.0 * columns) + east
            yield cell_of(
                ((row + 0.5) / CELLS_A_DEGREE - 90.0, (column + 0.5) * 360.0 / columns - 180.0)
            )


def place_at(fixes: Sequence[PlaceFix], at: datetime, *, near: bool = True) -> Place | None:
    """Return where the boat was at a time; None where no fix is near in time.

    With `near` off the nearest fix will do however old it is, or the way between the two around it.
    """
    if not fixes:
        return None
    index = bisect_right(fixes, at, key=lambda fix: fix.at)
    before = fixes[index - 1] if index else None
    after = fixes[index] if index < len(fixes) else None
    if (
        before is not None
        and after is not None
        and (not near or after.at - before.at <= STRAIGHT_GAP)
    ):
        return _between(before, after, (at - before.at) / (after.at - before.at))
    holds = HOLDS if near else timedelta.max
    if before is not None and at - before.at < holds:
        return before.place
    if after is not None and after.at - at <= holds:
        return after.place
    return None


def entered_cells(fixes: Sequence[PlaceFix]) -> Iterator[tuple[datetime, str | None]]:
    """Yield the times at which the boat entered a cell, in order, with the cell; None where unknown."""
    if not fixes:
        return
    yield fixes[0].at - HOLDS, cell_of(fixes[0].place)
    for one, two in pairwise(fixes):
        if two.at - one.at > STRAIGHT_GAP:
            yield one.at, cell_of(one.place)
            yield one.at + HOLDS, None
            yield two.at - HOLDS, cell_of(two.place)
        elif two.at > one.at:
            yield from _way(one, two)
    yield fixes[-1].at, cell_of(fixes[-1].place)
    yield fixes[-1].at + HOLDS, None


def _way(one: PlaceFix, two: PlaceFix) -> Iterator[tuple[datetime, str]]:
    """Yield the cells between two fixes with the second at which the boat entered each."""
    cuts = [0.0, *sorted(_borders(one, two)), 1.0]
    length_s = (two.at - one.at).total_seconds()
    for start, end in pairwise(cuts):
        at = one.at + timedelta(seconds=round(start * length_s))
        yield at, cell_of(_between(one, two, (start + end) / 2.0))


def _borders(one: PlaceFix, two: PlaceFix) -> Iterator[float]:
    """Yield the shares of the way at which the boat leaves a cell."""
    north, east = two.latitude - one.latitude, _turn(two.longitude - one.longitude)
    rows = sorted(((lat + 90.0) * CELLS_A_DEGREE) for lat in (one.latitude, two.latitude))
    shares = [
        (row / CELLS_A_DEGREE - 90.0 - one.latitude) / north
        for row in range(ceil(rows[0]), floor(rows[1]) + 1)
        if north
    ]
    shares = sorted(share for share in shares if 0.0 < share < 1.0)
    yield from shares
    if not east:
        return
    for start, end in pairwise((0.0, *shares, 1.0)):
        _, _, columns = _cell(*_between(one, two, (start + end) / 2.0))
        ends = sorted(
            (one.longitude + share * east + 180.0) * columns / 360.0 for share in (start, end)
        )
        for column in range(ceil(ends[0]), floor(ends[1]) + 1):
            share = (column * 360.0 / columns - 180.0 - one.longitude) / east
            if start < share < end:
                yield share


def _between(one: PlaceFix, two: PlaceFix, share: float) -> Place:
    east = one.longitude + share * _turn(two.longitude - one.longitude)
    return one.latitude + share * (two.latitude - one.latitude), _turn(east)


def _turn(degrees: float) -> float:
    """Return an angle between -180 and below 180 degrees."""
    return (degrees + 180.0) % 360.0 - 180.0


def _cell(latitude: float, longitude: float) -> tuple[int, int, int]:
    """Return the row and the column of a place, and how many columns its row has."""
    row = min(max(floor((latitude + 90.0) * CELLS_A_DEGREE), 0), 180 * CELLS_A_DEGREE - 1)
    middle = (row + 0.5) / CELLS_A_DEGREE - 90.0
    columns = max(1, round(360 * CELLS_A_DEGREE * cos(radians(middle))))
    return row, floor((longitude + 180.0) / 360.0 * columns) % columns, columns


def _named(latitude: float, longitude: float) -> str:
    north, east = "N" if latitude >= 0 else "S", "E" if longitude >= 0 else "W"
    return f"{abs(latitude):.2f}{north} {abs(longitude):.2f}{east}"
