"""Cries for help: the networks hear them, in any words; they come first, whatever else is read. Pure."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from bot.calls.reader.labels import URGENT, act_and_slot
from bot.calls.weighed import AT_ONCE, Looked, Weighed
from bot.trip.call import from_json

TROUBLE_FROM: Final = 0.6
"""Probability from which a cry for help is answered; smaller gives more false alarms."""


def with_trouble(ways: Sequence[Weighed], looked: Looked | None) -> tuple[Weighed, ...]:
    """Return the readings with a cry for help where the networks hear one, and without any where they do not.

    Where no network has looked at the line (it is too long for one), they stay as they are.
    """
    if looked is None:
        return tuple(ways)
    if looked.learned.trouble_likely < TROUBLE_FROM:
        calm = tuple(way for way in ways if not _cries(way))
        return calm or (Weighed((), 1.0 - looked.learned.trouble_likely, "network"),)
    crying = [way for way in ways if _cries(way)]
    if crying:
        first = replace(crying[0], probability=max(crying[0].probability, TROUBLE_FROM))
        return (first, *(way for way in ways if way is not crying[0]))
    act, slots = act_and_slot(looked.learned.trouble)
    cry = from_json({"act": act, **slots})
    return (Weighed((cry,), looked.learned.trouble_likely, "network"), *ways)


def _cries(way: Weighed) -> bool:
    return any(call.act in URGENT for call in way.calls)


def trouble_in(ways: Sequence[Weighed]) -> Weighed | None:
    """Return the reading that says that somebody is in trouble: it is answered at once, never asked about.

    A false alarm is ended by a word; silence is not.
    """
    sure = [way for way in ways if _cries(way) and way.probability >= TROUBLE_FROM]
    if not sure:
        return None
    best = max(sure, key=lambda way: way.probability)
    calls = tuple(call for call in best.calls if call.act in URGENT)
    return replace(best, calls=calls, probability=max(best.probability, AT_ONCE))
