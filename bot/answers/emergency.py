"""Answers when the boat or somebody aboard is in trouble: first steps, the radio, the way back.

The steps are general ones of published guidance, in our own words: the search and rescue manual that ships
carry (IMO/ICAO, IAMSAR volume III) for a man overboard and a vessel in distress, the International Medical
Guide for Ships (WHO, 3rd edition 2007) for injuries, the lists that coast guards publish for small craft
for fire and flooding. What is said by radio is that of the ITU Radio Regulations, articles 32 (distress)
and 33 (urgency), on channel 16 (156.8 MHz, appendix 15), in the phrases of the IMO (resolution A.918(22)).
They come after the skipper's word and training. This program calls nobody. Pure.
"""

from collections.abc import Mapping, Sequence
from datetime import timedelta
from typing import Final

from bot.answers.answer import Answer
from bot.answers.places import way_words
from bot.answers.view import View
from bot.messages import Button
from bot.replies.amounts import clock, place_words, span_words
from bot.trip.entry import Entry
from bot.trip.state import Trouble
from bot.water.bearing import leg

FIRST_STEPS: Final[Mapping[str, str]] = {
    "man overboard": (
        "Shout. Throw a float. One person points and never looks away. Slow, lines up, press MOB on the "
        "plotter. Come back slowly, out of gear before he is near the propeller."
    ),
    "injury": (
        "Out of gear; cut the line if anyone is tied to a fish. Press hard on what bleeds. A hook that is "
        "deep or near an eye stays in: pad it, keep him still. Gloves, then the first-aid box."
    ),
    "fire": (
        "Everybody out of the smoke, lifejackets on. Shut fuel, gas and air. Extinguisher at the base of "
        "the fire; do not open a hot hatch. Keep the fire downwind and be ready to leave."
    ),
    "flooding": (
        "Lifejackets on. All pumps and buckets. Find where it comes in: sea-cocks, hoses, shaft, hull. "
        "Slow down, shut it or plug it, keep the batteries dry for the radio."
    ),
    "collision": (
        "Out of gear. Count heads, lifejackets on, look for water coming in and for people in the water. "
        "Stand by the other vessel and offer help."
    ),
    "distress": "Lifejackets on, count heads, get the radio and the beacon in hand.",
}
_NATURE: Final[Mapping[str, str]] = {
    "man overboard": "Man overboard", "injury": "Injured person", "fire": "On fire",
    "flooding": "Flooding", "collision": "In collision", "distress": "[What is wrong]",
}  # fmt: skip
WAY_BACK_FOR: Final = timedelta(minutes=30)
"""How long every reply gives the way back to a man overboard."""
ASKED_FOR: Final = timedelta(hours=12)
"""How long the way back is given when somebody asks for it."""
FALSE_ALARM: Final = Button("False alarm", "false alarm")
HOW_FAR: Final = Button("How far back", "how far back to the spot")
NO_DEVICE: Final = (
    "The skipper's word and training come first. This log calls nobody: it is no distress device."
)


def emergency_answer(view: View, entry: Entry) -> Answer:
    """Return the answer to an emergency that was just logged; it is never a question."""
    what = entry.call.what or "distress"
    name = what if entry.call.what else "emergency"
    where = place_words(*entry.place) if entry.place else "place not known, read it off the plotter"
    first = f"{name.upper()}, {clock(entry.at, view.tz)}, {where}. Logged."
    steps = FIRST_STEPS.get(what, FIRST_STEPS["distress"])
    text = "\n".join((first, steps, *_radio(what, entry, view.boat.name), NO_DEVICE))
    spoken = f"{name.capitalize()}. {steps} Channel one six if in danger."
    return Answer(text, spoken, buttons=(HOW_FAR, FALSE_ALARM))


def _radio(what: str, entry: Entry, boat: str) -> tuple[str, str]:
    nature = _NATURE.get(what, what)
    position = place_words(*entry.place) if entry.place else "[position]"
    boat = boat or "[boat]"
    mayday = (
        "VHF 16, grave and imminent danger: MAYDAY, MAYDAY, MAYDAY. "
        f"This is {boat} three times, [call sign]. MAYDAY {boat}. Position {position}. {nature}. "
        "[Help wanted], [persons on board]. Over."
    )
    urgent = "Urgent but not that: PAN-PAN three times, then the same. Press the red button of a DSC radio."
    return mayday, urgent


def open_trouble(view: View, within: timedelta = ASKED_FOR) -> Trouble | None:
    """Return the last emergency of the trip, unless it is over or longer ago than a limit."""
    last = next(reversed(view.trip.open_trouble), None)
    return last if last is not None and timedelta() <= view.now - last.at <= within else None


def first_steps(trouble: Trouble) -> tuple[str, ...]:
    """Return what to do first, a sentence for each step."""
    steps = FIRST_STEPS.get(trouble.what or "", FIRST_STEPS["distress"])
    return tuple(f"{step.rstrip('.')}." for step in steps.split(". "))


def way_back(view: View, trouble: Trouble) -> str:
    """Return when and where it happened and the way there, as far as both places are known."""
    ago = span_words(view.now - trouble.at)
    when = f"{_name(trouble).capitalize()}, {clock(trouble.at, view.tz)}, {ago} ago"
    if trouble.place is None:
        return f"{when}: no position was known then."
    if view.here is None:
        return f"{when}: {place_words(*trouble.place)}. Where the boat is now is not known."
    return f"{when}: {way_words(leg(view.here, trouble.place))}, at {place_words(*trouble.place)}."


def still_open_lines(before: View, after: View) -> list[str]:
    """Return what trouble there still is, where some of it was just taken back or is over."""
    gone = len(after.trip.open_trouble) < len(before.trip.open_trouble)
    told = [f"{_name(one)} {clock(one.at, after.tz)}" for one in after.trip.open_trouble]
    return [f"Still open: {', '.join(told)}."] if gone and told else []


def _name(trouble: Trouble) -> str:
    return trouble.what or "emergency"


def way_back_lines(view: View, made: Sequence[Entry]) -> list[str]:
    """Return the way back to a man overboard, for every reply of the first half hour."""
    trouble = open_trouble(view, WAY_BACK_FOR)
    known = trouble is not None and trouble.place is not None and view.here is not None
    new = trouble is not None and any(entry.id == trouble.entry for entry in made)
    if trouble is None or trouble.what != "man overboard" or not known or new:
        return []
    return [way_back(view, trouble)]
