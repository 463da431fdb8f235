"""An answer before it becomes a reply, and what one message did to the log, as its words need it."""

from dataclasses import dataclass
from datetime import datetime

from bot.answers.view import View
from bot.messages import Advice, Button, Picture
from bot.trip.call import Call
from bot.trip.decision import Decision
from bot.trip.entry import Record

YES = Button("Yes", "yes")
NO = Button("No", "no")
FIRST = Button("First", "first")
SECOND = Button("Second", "second")
WHY = Button("Why", "why")


@dataclass(frozen=True, slots=True)
class Offer:
    """Something that a "yes" would log."""

    question: str
    options: tuple[tuple[Call, ...], ...]
    said: str = ""
    """The words that it comes from, whose time the entries get; empty for the time of the "yes"."""
    about: Call | None = None
    """The question that it answers, so that another offer can be for the same."""


@dataclass(frozen=True, slots=True)
class Answer:
    """Words for the crew, and what goes with them."""

    text: str
    spoken: str = ""
    advice: Advice | None = None
    offer: Offer | None = None
    buttons: tuple[Button, ...] = ()
    pictures: tuple[Picture, ...] = ()
    report: bool = False
    """True where the report of the trip goes with it."""


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
