"""Earlier trips, which the advice, readiness and tallies use; loaded only when needed.

The same object as long as they are the same trips, so that what follows from it is worked out once.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from functools import cached_property
from typing import TYPE_CHECKING, Final, TypeVar, cast

from bot.spread.readiness import Lives, lives_after
from bot.tackle.items import Lure
from bot.trip.state import Trip

if TYPE_CHECKING:
    from bot.trip.ledger import Ledger
    from bot.trip.summary import Summary

Found = TypeVar("Found")
_NEVER: Final = datetime.max.replace(tzinfo=UTC)


def _none() -> "tuple[Summary, ...]":
    return ()


@dataclass(frozen=True, eq=False)
class Past:
    """Earlier trips; the same object as long as they are the same trips."""

    load: Callable[[], tuple[Trip, ...]]
    """Return the latest of them, in whatever order: lures in the water, fish, riggings and notes."""
    load_figures: "Callable[[], tuple[Summary, ...]]" = _none
    """Return the figures of all of them."""
    _known: dict[str, tuple[object, object]] = field(default_factory=dict, init=False, repr=False)

    @cached_property
    def trips(self) -> tuple[Trip, ...]:
        """Return the latest trips, oldest first."""
        known = [trip for trip in self.load() if trip.first_at is not None]
        return tuple(sorted(known, key=lambda trip: (trip.first_at or _NEVER, trip.id)))

    def once(self, what: str, work: Callable[[], Found], told: object = None) -> Found:
        """Return what follows from these trips, computed once for the same `told`."""
        known = self._known.get(what)
        if known is None or known[0] != told:
            known = self._known[what] = (told, work())
        return cast("Found", known[1])

    def lives(
        self, box: tuple[Lure, ...], imported_at: Mapping[str, datetime], now: datetime
    ) -> Lives:
        """Return how every lure of the box stood after these trips."""
        told = (box, dict(imported_at))
        return self.once("lives", lambda: lives_after(box, imported_at, self.trips, now), told)

    @cached_property
    def ledger(self) -> "Ledger":
        """Return the figures of all earlier trips, oldest first."""
        from bot.trip.ledger import ledger

        return ledger(sorted(self.load_figures(), key=lambda one: (one.first_at, one.trip)))


NO_PAST: Final = Past(tuple)
