"""Cries for help among the readings of a line: they come first, whatever else is read. Pure."""

from collections.abc import Collection, Sequence
from dataclasses import replace
from typing import Final

from bot.calls.meant.reader import Line
from bot.calls.reader.labels import URGENT
from bot.calls.trouble import cries_in, is_calm
from bot.calls.weighed import AT_ONCE, Weighed
from bot.trip.call import Call, from_json

TROUBLE_FROM: Final = 0.6
"""Probability from which a cry for help is answered; smaller gives more false alarms."""
CALLED_FROM: Final = 0.9
"""Probability of another call by the networks from which nothing befell anybody: "lies in the water"."""


def with_trouble(
    ways: Sequence[Weighed], line: Line, known: Collection[str], crew: Collection[str] = ()
) -> tuple[Weighed, ...]:
    """Return the readings with the cries for help in the words; without trouble where the words are calm."""
    whats = cries_in(line, known, crew, befallen=not any(map(_is_plain_call, ways)))
    if whats:
        told = [call for way in ways for call in way.calls]
        calls = tuple(_fullest(act, what, told) for act in URGENT for what in whats)
        return (Weighed(calls, AT_ONCE, "grammar"), *ways)
    if not is_calm(line):
        return tuple(ways)
    rest = tuple(w for w in ways if not any(c.act in URGENT for c in w.calls))
    return rest or (Weighed((), AT_ONCE, "grammar"),)


def _fullest(act: str, what: str, told: Sequence[Call]) -> Call:
    """Return the cry as the readings have it, with the side where one has it."""
    same = [call for call in told if call.act == act and call.what == what]
    return max(
        same, key=lambda call: len(call.to_json()), default=from_json({"act": act, "what": what})
    )


def trouble_in(ways: Sequence[Weighed]) -> Weighed | None:
    """Return the reading that says that somebody is in trouble: it is answered at once, never asked about.

    A false alarm is ended by a word; silence is not.
    """
    found = [w for w in ways if any(c.act in URGENT for c in w.calls)]
    sure = [w for w in found if w.probability >= TROUBLE_FROM]
    if not sure:
        return None
    best = max(sure, key=lambda w: w.probability)
    calls = tuple(c for c in best.calls if c.act in URGENT)
    return replace(best, calls=calls, probability=max(best.probability, AT_ONCE))


def _is_plain_call(way: Weighed) -> bool:
    """Return whether the networks are sure that a line is a call and no cry."""
    urgent = any(call.act in URGENT for call in way.calls)
    return bool(way.figures and way.calls) and not urgent and way.probability >= CALLED_FROM
