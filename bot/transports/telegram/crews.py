"""What is known of the people and boats behind the chats: names, and where a boat was last.

Two of one boat who are called the same in Telegram are two people: they are told apart by user id and
shown with different names. Pure but for being held in memory; the store keeps the same.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Final

from bot.transports.telegram.store import Where

PLACE_LASTS: Final = timedelta(minutes=5)
"""A call belongs to the place that was shared this little before or after it; at 8 kn 0.7 nm."""


@dataclass(slots=True)
class Crews:
    """Names by boat and user, places by boat."""

    _given: dict[tuple[str, int], str] = field(default_factory=dict)
    _shown: dict[tuple[str, int], str] = field(default_factory=dict)
    _places: dict[str, Where] = field(default_factory=dict)

    def load(self, names: Iterable[tuple[str, int, str, str]], places: dict[str, Where]) -> None:
        """Take up what the store holds."""
        for boat, user, given, shown in names:
            self.name(boat, user, given, shown)
        self._places = dict(places)

    def shown_name(self, boat: str, user: int, given: str) -> str | None:
        """Return the name under which one of the crew is shown; None where it is to be chosen."""
        return self._shown[boat, user] if self._given.get((boat, user)) == given else None

    def choose(self, boat: str, user: int, given: str, more: str) -> str:
        """Choose a name that nobody else of that boat has; `more` is what else Telegram says of it."""
        taken = {
            shown.casefold()
            for (other, whose), shown in self._shown.items()
            if other == boat and whose != user
        }
        first = f"{given} {more[:1]}" if more else given
        tries = (given, first, f"{given} {more}".strip(), *(f"{given} {n}" for n in range(2, 999)))
        return next(name for name in tries if name.casefold() not in taken)

    def name(self, boat: str, user: int, given: str, shown: str) -> None:
        """Remember what one of the crew is called."""
        self._given[boat, user], self._shown[boat, user] = given, shown

    def put(self, boat: str, latitude: float, longitude: float, at: datetime) -> bool:
        """Remember where a boat is; False where a later place is known."""
        known = self._places.get(boat)
        if known is not None and known[2] > at:
            return False
        self._places[boat] = (latitude, longitude, at)
        return True

    def place(self, boat: str, at: datetime) -> Where | None:
        """Return where a boat was near a time, and when that was; None where nobody shared it."""
        known = self._places.get(boat)
        if known is None or abs(at - known[2]) > PLACE_LASTS:
            return None
        return known
