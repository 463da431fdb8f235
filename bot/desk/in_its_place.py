"""What a message means where it was said: the units of the trip, trouble, what was asked and measured last.

Each step looks at one thing that may be meant, in this order. Pure.
"""

from dataclasses import replace
from datetime import datetime

from bot.answers.view import View
from bot.calls.language import Language
from bot.calls.understand import Option, Understanding
from bot.desk.animal_on import off_the_hook
from bot.desk.borne_out import ask_about_fish
from bot.desk.conversation import attach_to_asked_fish
from bot.desk.fits import drop_lines_aboard, settle_by_context, undo_of_rework
from bot.desk.in_trouble import while_in_trouble
from bot.desk.left_open import fish_or_animal
from bot.desk.measured_again import as_measured_just_now, as_weight_of_fish
from bot.desk.next_of_fish import JUST_BITTEN
from bot.desk.taken_back import of_never_on
from bot.desk.understood import in_units_of_the_trip
from bot.trip.acts import BITES
from bot.trip.call import Call
from bot.trip.corrections import correction
from bot.trip.entry import Entry
from bot.trip.together import only_places


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
    line = words.reader.line(found.text)
    found = as_weight_of_fish(found, before.stood)
    found = as_measured_just_now(found, line, before.stood, before.records, at)
    found = in_units_of_the_trip(found, before, at, before.tz)
    found = undo_of_rework(found, before.trip)
    found = while_in_trouble(found, words, before, at)
    found = of_never_on(found, before.trip, before.stood, at)
    found = attach_to_asked_fish(found, before.stood, at, asked)
    last = before.stood[-1] if before.stood else None
    found = _lines_of_a_double(found, last, at)
    fit = settle_by_context(found, before.trip, at, last, accept)
    fit = off_the_hook(fish_or_animal(fit, before.trip, before.stood), words, before.trip)
    return drop_lines_aboard(ask_about_fish(fit, before.trip, at, before.tz), before.trip)


def _lines_of_a_double(found: Understanding, last: Entry | None, at: datetime) -> Understanding:
    """Return lines that are named right after a double without any as its lines, and as no new bites."""
    if (
        last is None
        or last.call.position
        or last.call.act not in BITES
        or at - last.at > JUST_BITTEN
    ):
        return found
    lines = [(call.position, call.side) for call in found.calls]
    alone = all(
        call.act in BITES
        and call.said().keys() <= {"position", "side"}
        and (call.act == last.call.act or only_places(call, last))
        for call in found.calls
    )
    if not alone or len(set(lines)) != last.call.count or len(lines) != last.call.count:
        return found
    calls = tuple(correction(position=position, side=side) for position, side in lines)
    return replace(found, calls=calls, ask=None, options=(Option(calls, found.confidence),))
