"""Earlier trips, for the advice and for which lures need a check: folded once, and only when needed."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import Final

from bot.trip.state import Trip


@dataclass(frozen=True, eq=False)
class Past:
    """Earlier trips, oldest first; the same object as long as they are the same trips."""

    load: Callable[[], tuple[Trip, ...]]
    """Folds them."""

    @cached_property
    def trips(self) -> tuple[Trip, ...]:
        """Give the trips."""
        return self.load()


NO_PAST: Final = Past(tuple)
