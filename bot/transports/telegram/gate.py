"""Who may talk to the bot: one gate that every message and button passes before anything else.

Pure. In a group the group must be listed, in a private chat the person; a listed person in a group
that is not listed is not served there, for others would read the answer. An empty list serves nobody.
"""

from dataclasses import dataclass, field
from typing import Final, Literal

Role = Literal["skipper", "crew", "guest"]

POLITE: Final = "This bot works for one boat's crew. Ask the skipper to let you in."
TELL_AGAIN_S: Final = 3600.0
"""A stranger is told once in this time; longer is quieter."""
TELL_AT_MOST: Final = 20
"""And no more strangers than this in that time, whoever they are."""


@dataclass(frozen=True, slots=True)
class Gate:
    """The lists of the settings together with the chats that have been paired."""

    crew: frozenset[int] = frozenset()
    skippers: frozenset[int] = frozenset()
    guests: frozenset[int] = frozenset()

    def role(self, chat: int, user: int, private: bool) -> Role | None:
        """Return the role in which somebody may talk here; None for a stranger."""
        known = self.crew | self.skippers | self.guests
        if (user if private else chat) not in known or (private and chat != user):
            return None
        if user in self.guests or (not private and chat in self.guests):
            return "guest"
        if user in self.skippers or not self.skippers:
            return "skipper"
        return "crew"

    def with_crew(self, more: frozenset[int]) -> "Gate":
        """Return a gate that also lets these in."""
        return Gate(self.crew | more, self.skippers, self.guests)


@dataclass(slots=True)
class Strangers:
    """Who has been told politely, so that nobody is told often; held in memory only."""

    _told: dict[int, float] = field(default_factory=dict)

    def should_tell(self, chat: int, now_s: float) -> bool:
        """Return whether this stranger gets the polite line now, and remember it."""
        for known in [k for k, at_s in self._told.items() if now_s - at_s >= TELL_AGAIN_S]:
            del self._told[known]
        if chat in self._told or len(self._told) >= TELL_AT_MOST:
            return False
        self._told[chat] = now_s
        return True
