"""An answer, before it becomes a reply."""

from dataclasses import dataclass

from bot.messages import Advice, Button, Picture
from bot.trip.call import Call


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


YES = Button("Yes", "yes")
NO = Button("No", "no")
FIRST = Button("First", "first")
SECOND = Button("Second", "second")
WHY = Button("Why", "why")
