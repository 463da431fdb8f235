"""Answers about the best of all: "biggest fish", "best day"; and the report of a day. Pure."""

from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime

from bot.answers.aboard import answer_not_known, next_up, on_rods
from bot.answers.answer import Answer
from bot.answers.day_end import day_lines
from bot.answers.fish_talk import (
    asked_fish,
    caught_fish,
    fish_words,
    fits,
    report_line,
    species_words,
)
from bot.answers.prey_talk import what_they_eat
from bot.answers.view import View
from bot.replies.amounts import clock, count, sentence
from bot.trip.call import Call
from bot.trip.fish import End, Fish
from bot.trip.meant import AsksAbout
from bot.trip.state import Trip
from bot.trip.tally import fish_of

Catch = tuple[Trip, tuple[Fish, End]]


def asked_of_fish(view: View, call: Call) -> Answer:
    """Answer a question about fish: the best of them, the report of the day, or what is on and was caught."""
    asks = call.meaning(AsksAbout)
    match asks.what if asks else "":
        case "best_day":
            return best_day(view)
        case "biggest":
            return biggest(view, call, asks is not None and asks.of_all_trips)
        case "report":
            return report(view, call.asks("given"))
        case "rods":
            return on_rods(view, call)
        case "next_up":
            return next_up(view)
        case "prey":
            return what_they_eat(view)
        case "rules" | "will" as what:
            return answer_not_known(what)
    return asked_fish(view, call)


def report(view: View, whole: bool = False) -> Answer:
    """Answer where the report is: with the answer, where a file can go with it, else by which command.

    `whole` puts the day in words before it.
    """
    if not view.trip.entries:
        text = "No trip is in the log yet, so there is no report."
        return Answer(text, text)
    lines = (day_lines(view) if whole else []) or [report_line(view)]
    return Answer("\n".join(lines), lines[0], report=view.files)


def biggest(view: View, call: Call, of_all_trips: bool) -> Answer:
    """Answer with the heaviest fish, and the longest where lengths were said, of this trip or of all."""
    here = [(view.trip, pair) for pair in caught_fish(f for f in view.trip.fish if fits(f, call))]
    ever = list(_ever(view, call))
    if call.asks("compared"):
        before = [one for one in ever if one[0] is not view.trip]
        lines = [*(_largest_of(view, here) or ["This trip: none weighed or measured."])]
        text = "\n".join([*lines, *(f"Before: {line}" for line in _largest_of(view, before))])
        return Answer(text, lines[0])
    lines = _largest_of(view, here if _measured(here) and not of_all_trips else ever)
    if not lines:
        text = "No fish has been weighed or measured yet."
        return Answer(text, text)
    return Answer("\n".join(lines), lines[0])


def _largest_of(view: View, pairs: Sequence[Catch]) -> list[str]:
    """Return the heaviest of some fish, and the longest where lengths were said."""
    lines = []
    for what, field in (("Heaviest", "weight_kg"), ("Longest", "length_cm")):
        told = [(getattr(end, field), trip, fish, end) for trip, (fish, end) in pairs]
        told = [one for one in told if one[0] is not None]
        if told:
            _, trip, fish, end = max(told, key=lambda one: one[0])
            when = clock(end.at, view.tz) if trip is view.trip else _day(view, end.at)
            lines.append(sentence(f"{what}: {fish_words(fish, end)}, {when}"))
    return list(dict.fromkeys(lines))


def best_day(view: View) -> Answer:
    """Answer with the trip that caught most; between equals the one with most strikes."""
    trips = [trip for trip in (*view.past.trips, view.trip) if any(f.is_strike for f in trip.fish)]
    if not trips:
        text = "No trip of the log has a strike yet."
        return Answer(text, text)

    def worth(trip: Trip) -> tuple[int, int]:
        total = fish_of((trip,))
        return total.caught, total.strikes

    best = max(trips, key=worth)
    number_caught, strikes = worth(best)
    pairs = list(caught_fish(best.fish))
    first = best.first_at or view.now
    what = f": {species_words(pairs)}" if pairs else ""
    text = sentence(
        f"Best of {count(len(trips), 'day')}: {_day(view, first)}, {number_caught} caught"
        f" of {count(strikes, 'strike')}{what}"
    )
    return Answer(text, text)


def _ever(view: View, call: Call) -> Iterator[Catch]:
    for trip in (*view.past.trips, view.trip):
        yield from ((trip, pair) for pair in caught_fish(f for f in trip.fish if fits(f, call)))


def _measured(pairs: Iterable[Catch]) -> bool:
    return any(e.weight_kg is not None or e.length_cm is not None for _, (_, e) in pairs)


def _day(view: View, at: datetime) -> str:
    here = at.astimezone(view.tz)
    return f"{here.day} {here:%B %Y}"
