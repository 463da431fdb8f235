"""Cries for help in a line: whether there is one, whatever else was read and said before it. Pure.

The networks hear them in any words; where the lines before make them deaf to one ("he's hurt", right after
"mayday") the line is looked at by itself. What can hardly mean anything else is named in the grammar, and so
is what sounds like trouble and is none.
"""

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Final

from bot.calls.assemble import Reading
from bot.calls.meant.reader import Line
from bot.calls.reader.labels import URGENT, act_and_slot
from bot.calls.reader.situation import bits_of
from bot.calls.short_line import CLEAN
from bot.calls.weighed import AT_ONCE, NetworkView, WeighedReading
from bot.trip.call import Call, from_json

TROUBLE_FROM: Final = 0.5
"""Probability from which a cry for help is answered; smaller gives more false alarms."""
PLAIN_TROUBLE_FROM: Final = 0.35
"""The same for one that is a whole line of the grammar's."""
MAY_BE_FROM: Final = 0.05
"""Probability from which a line without calls is answered with what to say in trouble; of 1,300 lines that
are no cry and do not sound like one, none has more."""
NAMED_FROM: Final = 0.001
"""The same for words that hardly mean anything else: below it they are no report ("if he is pulled in")."""
IN_TROUBLE: Final = bits_of({"trouble"})
"""Set where trouble was the last that was logged."""
DEAF_FROM: Final = 0.01
"""Probability beside the lines before from which a line is looked at by itself; smaller takes longer."""


def with_trouble(
    ways: Sequence[WeighedReading],
    looked: NetworkView | None,
    ranked: Sequence[Reading],
    line: Line,
    alone: Callable[[], NetworkView | None] | None = None,
) -> tuple[WeighedReading, ...]:
    """Return the readings with a cry for help where there is one, and without any where there is none.

    `alone` looks at the line without what was said before. Where no network has looked at the line (it is
    too long for one), the readings stay as they are.
    """
    if looked is None:
        return tuple(ways)
    label, likely = looked.learned.trouble, looked.learned.trouble_likely
    named = next((sign.name for sign in line.of("trouble_named") if sign.cost == 0.0), "")
    if alone is not None and likely < TROUBLE_FROM and (named or likely >= DEAF_FROM):
        by_itself = alone()
        if by_itself is not None and by_itself.learned.trouble_likely > likely:
            label, likely = by_itself.learned.trouble, by_itself.learned.trouble_likely
    plain = any(r.cost <= CLEAN and not r.strays and _all_cry(r.calls) for r in ranked[:1])
    enough = NAMED_FROM if named else PLAIN_TROUBLE_FROM if plain else TROUBLE_FROM
    denied = line.has("no_trouble", "said")
    if likely < enough or denied:
        calm = tuple(way for way in ways if not cries(way))
        calm = calm or (WeighedReading((), 1.0 - likely, "network"),)
        return (replace(calm[0], may_be_trouble=likely >= MAY_BE_FROM and not denied), *calm[1:])
    crying = [way for way in ways if cries(way)]
    if crying:
        first = replace(crying[0], probability=max(crying[0].probability, TROUBLE_FROM))
        return (first, *(way for way in ways if way is not crying[0]))
    act, slots = act_and_slot(label)
    cry = from_json({"act": act, **slots} | ({"what": named} if named else {}))
    return (WeighedReading((cry,), max(likely, TROUBLE_FROM), "network"), *ways)


def trouble_in(ways: Sequence[WeighedReading]) -> WeighedReading | None:
    """Return the reading that says that somebody is in trouble: it is answered at once, never asked about.

    A false alarm is ended by a word; silence is not.
    """
    sure = [way for way in ways if cries(way) and way.probability >= TROUBLE_FROM]
    if not sure:
        return None
    best = max(sure, key=lambda way: way.probability)
    calls = tuple(call for call in best.calls if call.act in URGENT)
    return replace(best, calls=calls, probability=max(best.probability, AT_ONCE))


def cries(way: WeighedReading) -> bool:
    """Return whether a reading has a cry for help."""
    return any(call.act in URGENT for call in way.calls)


def _all_cry(calls: Sequence[Call]) -> bool:
    return bool(calls) and all(call.act in URGENT for call in calls)
