"""Earlier trips, for the advice and for which lures need a check: folded once, and only when needed."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cached_property
from typing import Final

from bot.trip.state import Trip

_NEVER: Final = datetime.max.replace(tzinfo=UTC)


@dataclass(frozen=True, eq=False)
class Past:
    """Earlier trips; the same object as long as they are the same trips."""

    load: Callable[[], tuple[Trip, ...]]
    """Folds them, in whatever order."""

    @cached_property
    def trips(self) -> tuple[Trip, ...]:
        """Give the trips, oldest first."""
        known = [trip for trip in self.load() if trip.first_at is not None]
        return tuple(sorted(known, key=lambda trip: (trip.first_at or _NEVER, trip.id)))


NO_PAST: Final = Past(tuple)
