"""What a plan takes from the record: the size that has bitten, then the colour, and lures that are like it.

When one size gets bites, repeat that size; when one colour does, change one or two to it (common practice, no
source). Taken is what stands out of the last days by more than a hint, or what was asked for by its time.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import timedelta
from typing import Final

from bot.advice.data import Exposure
from bot.advice.tally import StrikeTally, add_cells, deviance, seen_by
from bot.answers.advise import cells
from bot.answers.asked import Span, named_span, trips_of
from bot.answers.view import View
from bot.answers.wanted import PlanInput
from bot.replies.amounts import count, number
from bot.spread.rules import runs_at
from bot.tackle.items import Lure
from bot.trip.state import Trip

LATELY: Final = timedelta(days=7)
"""How far back a plan looks by itself."""
FEW: Final = 3
"""Fewest strikes from which anything is taken from the record unasked."""
STANDS_OUT: Final = 4.0
"""Deviance from which a size or a colour is better than the rest by more than luck."""
OFTEN: Final = 2.0 / 3.0
"""Share of the strikes on a lure from which the line where they came is where it goes."""
MOST: Final = 2
"""Most lures that are taken in for the record, unasked."""
MOST_ASKED: Final = 3
"""Most where what bit was asked for: the rest stays different."""

Must = tuple[tuple[str, str], ...]
"""Lures, each with its position or an empty text."""


@dataclass(frozen=True, slots=True)
class RecordPreferences:
    """What the record says for a plan."""

    said: str = ""
    """Its figures, e.g. `8-inch had 17 of 21 strikes yesterday, purple 16`."""
    must: Must = ()
    refused: str = ""
    """Why what was asked for could not be used."""

    def ways(self) -> Iterator[Must]:
        """Yield what may be in the plan for it, the most first, nothing at the end."""
        anywhere = tuple((name, "") for name, _ in self.must)
        for wanted in (self.must, anywhere):
            yield from (wanted[:many] for many in range(len(wanted), 0, -1))
        yield ()

    def line(self, names: frozenset[str]) -> str:
        """Return the sentence for a plan of these lures; empty where there is nothing to say."""
        held = [name for name, _ in self.must if name in names]
        if not self.said:
            return ""
        if not held:
            return f"{self.said}; nothing like it is ready that fits"
        verb = "is" if len(held) == 1 else "are"
        return f"{self.said}: {_listed(held)} {verb} in for it"


@dataclass(frozen=True, slots=True)
class _Best:
    """A size or a colour that has the strikes."""

    words: str
    seen: StrikeTally
    stands_out: float
    """Deviance from the rest."""


def from_record(view: View, found: PlanInput) -> RecordPreferences:
    """Return what a plan takes from the record: nothing for a tray, or where nothing stands out."""
    asked = found.wish.bitten
    if found.fills and not asked:
        return RecordPreferences()
    when, trips = _trips(view, asked)
    counted = [cell for trip in trips for cell in cells(trip, view)]
    total = add_cells(counted)
    if asked and not total.strikes:
        return RecordPreferences(
            refused=f"no strike {when} in the log, so nothing could be taken from it"
        )
    if total.strikes < (1 if asked else FEW):
        return RecordPreferences()
    size, colour = _size(counted), _colour(counted)
    if not asked and not any(one.stands_out >= STANDS_OUT for one in (size, colour) if one):
        return RecordPreferences()
    figures = f"of {count(total.strikes, 'strike')} {when}"
    told = [f"{size.words} had {size.seen.strikes} {figures}"] if size else []
    if colour:
        told.append(
            f"{colour.words} {colour.seen.strikes}"
            if size
            else f"{colour.words} had {colour.seen.strikes} {figures}"
        )
    lures = _like(view, found, counted, size, colour)[: MOST_ASKED if asked else MOST]
    must = tuple((lure.name, _place(found, counted, lure)) for lure in lures)
    return RecordPreferences(", ".join(told), must)


def _trips(view: View, asked: str) -> tuple[str, Sequence[Trip]]:
    """Return when the record was made, in words, and its trips."""
    if asked and (span := named_span(view, asked)) is not None:
        return _when(span), trips_of(view, span)
    late = [t for t in view.past.trips if t.last_at is not None and view.now - t.last_at <= LATELY]
    trips = (*late, view.trip) if any(one.is_strike for one in view.trip.fish) else tuple(late)
    yesterday = named_span(view, "yesterday")
    ids = [trip.id for trip in trips]
    if yesterday is not None and ids == [trip.id for trip in trips_of(view, yesterday)]:
        return _when(yesterday), trips
    return ("today" if ids == [view.trip.id] else "in the last seven days"), trips


def _when(span: Span) -> str:
    label = span.label
    return (
        (label[:1].lower() + label[1:])
        if not label.startswith("The ")
        else f"on {label[:1].lower()}{label[1:]}"
    )


def _size(counted: Sequence[Exposure]) -> _Best | None:
    sizes = seen_by(counted, lambda c: () if c.kind.size_in is None else (c.kind.size_in,))
    return _best({f"{number(size)}-inch": one for size, one in sizes.items()}, add_cells(counted))


def _colour(counted: Sequence[Exposure]) -> _Best | None:
    return _best(seen_by(counted, lambda cell: cell.kind.colours), add_cells(counted))


def _best(found: dict[str, StrikeTally], total: StrikeTally) -> _Best | None:
    """Return what has most strikes, unless it has fewer than the rest for its hours."""
    best = max(found, key=lambda key: (found[key].strikes, -found[key].hours), default=None)
    if best is None or not found[best].strikes:
        return None
    mine = replace(found[best], raises=0)
    rest = StrikeTally(total.strikes - mine.strikes, max(0.0, total.hours - mine.hours))
    off = deviance(mine, rest) if rest.hours > 0 else 0.0
    return _Best(best, found[best], off) if off >= 0 else None


def _like(
    view: View,
    found: PlanInput,
    counted: Sequence[Exposure],
    size: _Best | None,
    colour: _Best | None,
) -> list[Lure]:
    """Return the lures to be had that are like what bit: its size first, then its colour, then itself."""
    at_kn = found.speed_kn or view.boat.usual_kn
    held = {name for name, _ in found.must}
    own = {c.kind.name: 0 for c in counted}
    for cell in counted:
        own[cell.kind.name] += cell.strikes

    def rank(lure: Lure) -> tuple[bool, bool, int]:
        sized = size is not None and f"{number(lure.size_in)}-inch" == size.words
        return sized, colour is not None and colour.words in lure.colours, own.get(lure.name, 0)

    fits = [x for x in found.lures if any(rank(x)[:2]) and runs_at(x, at_kn) and x.name not in held]
    lead = size or colour
    return sorted((x for x in fits if lead), key=lambda x: (*(-int(n) for n in rank(x)), x.name))


def _place(found: PlanInput, counted: Sequence[Exposure], lure: Lure) -> str:
    """Return the line on which it had most of its strikes, where that is to be filled and free."""
    mine = seen_by((c for c in counted if c.kind.name == lure.name), lambda c: (c.position,))
    best = max(mine, key=lambda place: mine[place].strikes, default=None)
    taken = {position for _, position in found.must}
    if best is None or best in taken or best not in found.boat.positions:
        return ""
    total = sum(one.strikes for one in mine.values())
    return best if total >= FEW and mine[best].strikes >= OFTEN * total else ""


def _listed(names: Sequence[str]) -> str:
    return " and ".join((", ".join(names[:-1]), names[-1])) if len(names) > 1 else names[0]
