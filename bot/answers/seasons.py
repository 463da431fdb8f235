"""What works and how sure that is: keys against the boat's own average, over the trips of a span.

All that is compared is compared at once, by one model (`advice.standing`), which draws small numbers to the
average. The words for a probability are those of M. D. Mastrandrea et al., "Guidance Note for Lead Authors of
the IPCC Fifth Assessment Report on Consistent Treatment of Uncertainties" (2010), table 1.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Final

import numpy as np

from bot.advice.nested import Codes
from bot.advice.standing import Keys, Standing, StrikeCounts, stand
from bot.answers.asked import TallyRequest
from bot.answers.view import View
from bot.replies.amounts import percent, ratio
from bot.trip.conditions import MONTHS, UNKNOWN
from bot.trip.exposure import ALL, By
from bot.trip.summary import summary
from bot.trip.tally import WHOLE_HOURS

if TYPE_CHECKING:
    from bot.trip.ledger import Cells, Ledger

NOT_COMPARED: Final = WHOLE_HOURS | {"trip"}
"""Keys that a lure in the water does not have, or that explain nothing."""
LIKELY: Final = 0.66
_SURE: Final = (
    (0.99, "virtually certainly"), (0.95, "extremely likely"), (0.90, "very likely"), (LIKELY, "likely"),
)  # fmt: skip

IN: Final[Keys] = ("in", "")
_OUT: Final[Keys] = ("out", "")


def compare_rows(view: View, want: TallyRequest) -> Mapping[Keys, Standing]:
    """Return how every row of a tally compares with the average; empty where they cannot be compared."""
    by, also = (want.by, want.also) if want.by != "none" else (want.also, want.by)
    if by in NOT_COMPARED or also in NOT_COMPARED - {"none"}:
        return {}
    seen = _seen(view, _cells(view, want, by, also), monthly="month" in (by, also))
    ones = {one for held in seen.keys for one, _ in held}
    twos = {two for held in seen.keys for _, two in held}
    places = _places(by, ones) | _places(also, twos)
    return stand(seen, (by, also), places, UNKNOWN)


def against_the_rest(view: View, want: TallyRequest) -> Standing | None:
    """Return how a filter compares with all of the boat; None where that cannot be told."""
    monthly = want.only.month is not None
    inside = _seen(view, _cells(view, want, "none", "none"), monthly=monthly)
    whole = _seen(view, _cells(view, replace(want, only=ALL), "none", "none"), monthly=monthly)
    if not len(inside.key):
        return None
    wide = max(_end(inside.position), _end(whole.position))
    ones, all_ = inside.trip * wide + inside.position, whole.trip * wide + whole.position
    order = np.argsort(all_)
    at = order[np.searchsorted(all_, ones, sorter=order)]
    hours, strikes = whole.hours.copy(), whole.strikes.copy()
    np.subtract.at(hours, at, inside.hours)
    np.subtract.at(strikes, at, inside.strikes)
    left = hours > 1e-9
    seen = StrikeCounts(
        ((IN,), (_OUT,)),
        np.concatenate([np.zeros(len(ones), np.intp), np.ones(int(left.sum()), np.intp)]),
        *(np.concatenate([one, other[left]]) for one, other in (
            (inside.position, whole.position), (inside.spell, whole.spell), (inside.trip, whole.trip),
            (inside.hours, hours), (inside.strikes, strikes),
        )),
    )  # fmt: skip
    by = "position" if want.only.position or want.only.positions else "none"
    return stand(seen, (by, "none"), {}, UNKNOWN).get(IN)


def how_sure(standing: Standing) -> str:
    """Return how sure it is that something is better or worse, e.g. `very likely better (93 % sure)`."""
    better = standing.better >= 0.5
    chance = standing.better if better else 1.0 - standing.better
    word = next((word for least, word in _SURE if chance >= least), "")
    way = "better" if better else "worse"
    sure = f"{percent(chance)} sure"
    return f"{word} {way} ({sure})" if word else f"no telling ({sure} that it is {way})"


def times_average(standing: Standing, average: str = "times the average") -> str:
    """Write a ratio with its interval, e.g. `1.8 times the average (1.1 to 2.9)`."""
    return ratio(standing.ratio, standing.low, standing.high, average)


def ledgers(view: View, want: TallyRequest) -> "Iterable[tuple[Ledger, Iterable[str] | None]]":
    """Yield the ledgers of the trips of a span, and which of their trips count."""
    from bot.trip.ledger import ledger

    if want.span.earlier is None or want.span.earlier:
        yield view.past.ledger, want.span.earlier
    if want.span.here:
        now = summary(view.trip_with_way, view.now, view.tz, view.place)
        if now is not None:
            yield ledger((now,)), None


def _cells(view: View, want: TallyRequest, by: By, also: By) -> "list[Cells]":
    return [
        book.cells(by, want.only, also, None if trips is None else tuple(trips))
        for book, trips in ledgers(view, want)
    ]


def _seen(view: View, books: "Sequence[Cells]", *, monthly: bool) -> StrikeCounts:
    """Put the cells of several books together, with one set of numbers for keys, positions and months.

    Positions and trips have the same numbers in all that the same trips are asked for.
    """
    keys: dict[tuple[Keys, ...], int] = {}
    positions: dict[str, int] = {}
    spells: dict[str, int] = {}
    columns: list[tuple[Codes, ...]] = []
    trips = 0
    for book in books:
        own = [keys.setdefault(held, len(keys)) for held in book.keys]
        places = [positions.setdefault(name, len(positions)) for name in book.positions]
        months = [
            "" if monthly else f"{header.started.astimezone(view.tz):%Y-%m}"
            for header in book.headers
        ]
        when = [spells.setdefault(month, len(spells)) for month in months]
        columns.append((
            _renamed(own, book.key), _renamed(places, book.position), _renamed(when, book.trip),
            book.trip + trips,
        ))  # fmt: skip
        trips += len(book.headers)
    key, position, spell, trip = (
        np.concatenate([np.zeros(0, np.intp), *parts])
        for parts in (zip(*columns, strict=True) if columns else ((), (), (), ()))
    )
    hours = np.concatenate([np.zeros(0), *(book.seconds / 3600 for book in books)])
    strikes = np.concatenate([np.zeros(0), *(book.strikes for book in books)])
    return StrikeCounts(tuple(keys), key, position, spell, trip, hours, strikes)


def _renamed(new: list[int], codes: Codes) -> Codes:
    return np.asarray(np.array(new, np.intp)[codes], np.intp) if len(codes) else codes


def _end(codes: Codes) -> int:
    return int(codes.max(initial=0)) + 1


_ON_SCALE: Final[Mapping[By, Callable[[str], float]]] = {
    "size": float,
    "hour": lambda key: float(key[:2]),
    "water": lambda key: float(key.split()[0]),
    "month": lambda key: float(MONTHS.index(key)),
}


def _places(by: By, keys: Iterable[str]) -> dict[str, float]:
    """Return where keys stand on a scale on which neighbours are alike."""
    read = _ON_SCALE.get(by)
    return {} if read is None else {key: read(key) for key in keys if key != UNKNOWN}
