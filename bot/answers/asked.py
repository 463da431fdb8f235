"""What a tally is about: which trips, which keys, which lures.

The slots of a call say one thing to count by and what to look at; its `TallyQuestion` says the trips ("this
week"), a second thing and things that are no slot ("by head and side"). The
conditions are month, light, water or place. Counts with `tally` and the ledger.
"""

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from itertools import pairwise
from typing import Final

from bot.answers.view import View
from bot.trip.call import Call
from bot.trip.conditions import MONTHS, water_key
from bot.trip.entry import Place
from bot.trip.exposure import ALL, BYS, By, Only
from bot.trip.meant import TallyQuestion
from bot.trip.state import Trip
from bot.trip.tally import Tally, TallySums, sum_tally
from bot.trip.times import when
from bot.trip.whereabouts import cell_of, middle_of, neighbours
from bot.water.bearing import leg

SEASON_BREAK: Final = timedelta(days=60)
"""How long without a trip ends a season."""
LATELY: Final = timedelta(hours=36)
"""How long ago the trip before may have begun that is told where yesterday had none."""
A_YEAR: Final = timedelta(days=365)
SEASONAL: Final = frozenset({"month", "light", "water", "place"})
HERE_NM: Final = 5.0
"""Distance in nautical miles within which a place is "here"."""


@dataclass(frozen=True, slots=True)
class Span:
    """Which trips are counted."""

    label: str = ""
    """Name of the trips, e.g. `This week`; empty for the present trip."""
    earlier: Collection[str] | None = ()
    """Ids of earlier trips; None for all of them."""
    here: bool = True
    """True where the present trip counts."""


THIS_TRIP: Final = Span()
ALL_TRIPS: Final = Span("All trips", None)


@dataclass(frozen=True, slots=True)
class TallyRequest:
    """The request for a tally."""

    by: By = "none"
    also: By = "none"
    only: Only = ALL
    span: Span = THIS_TRIP


def tally_request(view: View, calls: Sequence[Call]) -> TallyRequest:
    """Return the request of a question; several calls stand for several positions at once."""
    call = calls[0]
    by, also = _things(call)
    only = in_conditions(view, only_of(view, call), call)
    if len(calls) > 1:
        places = tuple(one.position for one in calls if one.position is not None)
        only = replace(only, position=None, positions=places)
        by, also = (by, also) if by != "none" else ("position", "none")
    by, also = _who(view, call, by), _who(view, call, also)
    named = call.meaning(TallyQuestion)
    span = (named_span(view, named.span) if named is not None else None) or THIS_TRIP
    if span is THIS_TRIP and not call.asks("today") and _of_seasons(by, also, only):
        span = ALL_TRIPS
    return TallyRequest(by, also, only, span)


def _who(view: View, call: Call, by: By) -> By:
    """Return the key that "who" counts by: the angler, where anybody named one."""
    known = any(fish.angler for fish in view.trip.fish)
    return "angler" if by == "crew" and known and not call.asks("calling") else by


def _of_seasons(by: By, also: By, only: Only) -> bool:
    """Return whether a question is about seasons rather than one trip."""
    return only.in_conditions or not SEASONAL.isdisjoint({by, also})


def only_of(view: View, call: Call) -> Only:
    """Return the filter of a question; a time said is its start."""
    since = None
    if call.ago_min is not None or call.clock is not None:
        since = when(call, view.now, view.tz, view.trip.started)
    return Only(
        position=call.position,
        side=call.side,
        colours=call.colours,
        size_in=call.size_in,
        lure=call.lure,
        head=call.head,
        species=call.species,
        angler=call.angler,
        since=since,
    )


def tally_for(view: View, want: TallyRequest) -> Tally:
    """Return the tally that was asked for."""
    by, also = (want.by, want.also) if want.by != "none" else (want.also, want.by)
    found = TallySums(by, also)
    if want.span.here:
        trip = view.trip_with_way if _of_seasons(by, also, want.only) else view.trip
        found.add(sum_tally((trip,), by, view.now, view.tz, want.only, also, view.place))
    if want.span.earlier is None or want.span.earlier:
        found.add(view.past.ledger.sum_tally(by, want.only, also, want.span.earlier))
    return found.tally(_first_month(view, want.span) if "month" in (by, also) else MONTHS[0])


def _first_month(view: View, span: Span) -> str:
    """Return the first month of a span; of more than a year, the month in which seasons begin."""
    days = [
        _date(view, header.first_at)
        for header in view.past.ledger.headers
        if span.earlier is None or header.trip in span.earlier
    ]
    if span.here or not days:
        days.append(_date(view, view.trip.first_at or view.now))
    begun = min(days)
    if max(days) - begun >= A_YEAR:
        begun = _seasons(view)[-1]
    return MONTHS[begun.month - 1]


def trips_in(view: View, span: Span) -> int:
    """Count the trips of a span."""
    earlier = len(view.past.ledger.headers) if span.earlier is None else len(span.earlier)
    return earlier + int(span.here and (view.trip.entries > 0 or span is THIS_TRIP))


def trips_of(view: View, span: Span) -> tuple[Trip, ...]:
    """Return the trips of a span with their fish, oldest first; of earlier ones the latest that are kept."""
    past = (trip for trip in view.past.trips if span.earlier is None or trip.id in span.earlier)
    here = (view.trip,) if span.here and view.trip.entries else ()
    return (*past, *here)


# By what


def _things(call: Call) -> tuple[By, By]:
    """Return one or two keys to count by, in the order in which they were said."""
    asked = call.meaning(TallyQuestion)
    keys = list(asked.keys if asked else ())
    if call.about is not None and call.about not in keys:
        keys = [call.about, *keys]
    found: list[By] = [by for key in keys for by in BYS if by == key]
    first: By = found[0] if found else "none"
    return first, found[1] if len(found) > 1 else "none"


# Of which trips


def named_span(view: View, name: str) -> Span | None:
    """Return the trips of a span by its short name, e.g. `week`, `last`, `all`; None for no span."""
    span = _NAMED.get(name)
    return span(view) if span is not None else None


def _last_trip(view: View) -> Span:
    headers = view.past.ledger.headers
    if not view.trip.is_open and view.trip.entries:
        return Span("The last trip")
    if not headers:
        return Span("The trip before", (), here=False)
    last = headers[-1]
    return Span(f"The trip of {_day(view, _date(view, last.first_at))}", (last.trip,), here=False)


def _trip_before(view: View) -> Span:
    """Return the trip before this one, whether or not this one is over."""
    headers = view.past.ledger.headers
    if not headers:
        return Span("The trip before", (), here=False)
    day = _day(view, _date(view, headers[-1].first_at))
    return Span(f"The trip of {day}", (headers[-1].trip,), here=False)


def _week(view: View) -> Span:
    monday = _today(view) - timedelta(days=_today(view).weekday())
    return _between(view, "This week", monday)


def _week_before(view: View) -> Span:
    monday = _today(view) - timedelta(days=_today(view).weekday())
    return _between(view, "Last week", monday - timedelta(days=7), monday)


def _seven_days(view: View) -> Span:
    return _between(view, "The last seven days", _today(view) - timedelta(days=6))


def _month(view: View) -> Span:
    return _between(view, "This month", _today(view).replace(day=1))


def _month_before(view: View) -> Span:
    first = _today(view).replace(day=1)
    return _between(view, "Last month", (first - timedelta(days=1)).replace(day=1), first)


def _year(view: View) -> Span:
    return _between(view, "This year", _today(view).replace(month=1, day=1))


def _year_before(view: View) -> Span:
    first = _today(view).replace(month=1, day=1)
    return _between(view, "Last year", first.replace(year=first.year - 1), first)


def _yesterday(view: View) -> Span:
    """Return the trips of yesterday; where there were none, the one before this, if it was not long ago."""
    span = _between(view, "Yesterday", _today(view) - timedelta(days=1), _today(view))
    headers = view.past.ledger.headers
    if span.earlier or span.here or not headers or view.now - headers[-1].first_at > LATELY:
        return span
    day = _day(view, _date(view, headers[-1].first_at))
    return Span(f"The trip before, of {day}", (headers[-1].trip,), here=False)


def _season(view: View) -> Span:
    begun = _seasons(view)[-1]
    return _between(view, f"This season, since {_day(view, begun)}", begun)


def _season_before(view: View) -> Span:
    begun = _seasons(view)
    if len(begun) < 2:
        return Span("The season before", (), here=False)
    return _between(view, "Last season", begun[-2], begun[-1])


def _seasons(view: View) -> list[date]:
    """Return the days on which seasons began: those of the first trips after a long break."""
    days = sorted(_date(view, header.first_at) for header in view.past.ledger.headers)
    days.append(_date(view, view.trip.first_at or view.now))
    begun = [days[0]]
    for before, day in pairwise(days):
        if day - before >= SEASON_BREAK:
            begun.append(day)
    return begun


def _between(view: View, label: str, since: date, before: date | None = None) -> Span:
    """Return the trips that began between two days."""

    def fits(day: date) -> bool:
        return since <= day and (before is None or day < before)

    earlier = tuple(h.trip for h in view.past.ledger.headers if fits(_date(view, h.first_at)))
    here = view.trip.first_at is not None and fits(_date(view, view.trip.first_at))
    return Span(label, earlier, here)


def _today(view: View) -> date:
    return _date(view, view.now)


def _date(view: View, at: datetime) -> date:
    return at.astimezone(view.tz).date()


def _day(view: View, day: date) -> str:
    return f"{day.day} {day:%B}" + (f" {day.year}" if day.year != _today(view).year else "")


_NAMED: Final[Mapping[str, Callable[[View], Span]]] = {
    "week": _week, "month": _month, "season": _season, "year": _year, "last": _last_trip,
    "trip_before": _trip_before,
    "all": lambda _: ALL_TRIPS, "yesterday": _yesterday, "seven_days": _seven_days,
    "week_before": _week_before, "month_before": _month_before, "season_before": _season_before,
    "year_before": _year_before,
}  # fmt: skip
"""Spans by their names in the table `span` of grammar/meanings.toml and in the commands."""


def in_conditions(view: View, only: Only, call: Call) -> Only:
    """Return a filter narrowed to the conditions asked for, and to `here` where that is known."""
    asked = call.meaning(TallyQuestion) or TallyQuestion()
    water = () if asked.water_c is None else (water_key(asked.water_c),)
    cells = cells_about(view.here) if view.here is not None and call.asks("here") else ()
    return replace(only, month=asked.month, light=asked.lights, water=water, cells=cells)


def condition_words(only: Only) -> list[str]:
    """Return the conditions of a filter in words, e.g. `October`, `dawn and low morning sun`, `24 °C`."""
    words = [only.month] if only.month else []
    words += [" and ".join(only.light)] if only.light else []
    words += [" and ".join(only.water)] if only.water else []
    return words + ([f"within {HERE_NM:g} nm of here"] if only.cells else [])


def cells_about(place: Place, within_nm: float = HERE_NM) -> tuple[str, ...]:
    """Return the cell of a place and those around it whose middles are near."""
    own = cell_of(place)
    near = (
        cell for cell in neighbours(place) if leg(place, middle_of(cell)).distance_nm <= within_nm
    )
    return tuple(dict.fromkeys((own, *near)))
