"""What a message means where it was said: the units of the trip, trouble, what was asked and measured last.

Each step looks at one thing that may be meant, in this order. Pure.
"""

from datetime import datetime

from bot.answers.view import View
from bot.calls.language import Language
from bot.calls.understand import Understanding
from bot.desk.animal_on import off_the_hook
from bot.desk.conversation import of_the_asked
from bot.desk.fits import fitted, lines_aboard, undo_of_rework
from bot.desk.in_trouble import while_in_trouble
from bot.desk.left_open import fish_or_animal
from bot.desk.measured_again import as_measured_just_now
from bot.desk.understood import in_units_of_the_trip
from bot.trip.call import Call


def in_its_place(
    found: Understanding,
    words: Language,
    before: View,
    at: datetime,
    asked: tuple[datetime, tuple[Call, ...]] | None,
    accept: float,
) -> Understanding:
    """Return what was understood as it is meant on this trip at `at`.

    `asked` is the last question to the program with its time; `accept` is how sure an ear with a grammar
    was of the line, 1 for any other.
    """
    found = in_units_of_the_trip(found, before, at, before.tz)
    found = undo_of_rework(found, before.trip)
    found = while_in_trouble(found, words, before, at)
    line = words.reader.line(found.text)
    found = as_measured_just_now(found, line, before.stood, before.records, at)
    found = of_the_asked(found, before.stood, at, asked)
    last = before.stood[-1] if before.stood else None
    fit = fitted(found, before.trip, at, last, accept)
    fit = off_the_hook(fish_or_animal(fit, before.trip, before.stood), words, before.trip)
    return lines_aboard(fit, before.trip)
