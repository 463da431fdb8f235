"""What one message did to the log, as the words of its reply need it."""

from dataclasses import dataclass
from datetime import datetime

from bot.answers.view import View
from bot.trip.decision import Decision
from bot.trip.entry import Record


@dataclass(frozen=True, slots=True)
class Change:
    """What one message did, and what was true before and after it."""

    decision: Decision
    records: tuple[Record, ...]
    """The new records."""
    before: View
    after: View
    said_at: datetime
    late: bool = False
    """True where later calls were logged before it came: it is answered from its own time, without advice."""
