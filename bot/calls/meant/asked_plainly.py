"""Questions that a line is as a whole: who is on which rod, who is next, whether a call was logged. Pure.

who's on which      who's up next      is Dee still on      did it log that one      what's the limit
"""

from collections.abc import Collection
from typing import Final

from bot.calls.meant.reader import Line
from bot.trip.acts import ASK_FISH, ASK_LAST, ASK_TALLY
from bot.trip.call import Call

_WHOLE: Final[dict[str, Call]] = {
    "rods": Call(ASK_FISH),
    "next_up": Call(ASK_FISH),
    "logged": Call(ASK_LAST),
    "lost_then": Call(ASK_FISH),
    "shades": Call(ASK_TALLY),
    "caught_who": Call(ASK_FISH, about="angler"),
}
"""What a line asks that is nothing else, by the name of its sign."""
_UNKNOWABLE: Final = ("rules", "will")
MOST_OF_A_NAME: Final = 2
"""Most words of somebody's name."""


def asked_plainly(line: Line, crew: Collection[str]) -> tuple[Call, ...]:
    """Return the question that a line is as a whole; `crew` are names in lower case."""
    size = line.lattice.size
    signs = [s for s in line.signs if s.table == "about" and s.cost == 0.0]
    for sign in signs:
        if sign.name in _WHOLE and (sign.start, sign.end) == (0, size):
            return (_WHOLE[sign.name],)
    if (who := _still_on(line, crew)) is not None:
        return (Call(ASK_FISH, angler=who),)
    opens = line.at(0, "whole_question", "opens")
    asks = "?" in line.text or (opens is not None and opens.cost == 0.0)
    if asks and not line.has("no_rules") and any(s.name in _UNKNOWABLE for s in signs):
        return (Call(ASK_FISH),)
    return ()


def _still_on(line: Line, crew: Collection[str]) -> str | None:
    """Return the name of somebody aboard of whom is asked whether he is still on a fish; else None."""
    first = line.at(0, "on_yet", "is")
    last = next(
        (s for s in line.of("on_yet") if s.name == "on" and s.end == line.lattice.size), None
    )
    if first is None or last is None:
        return None
    fish = next((s for s in line.of("on_yet") if s.name == "fish" and s.end == last.start), None)
    end = fish.start if fish is not None else last.start
    said = line.tokens[first.end : end]
    name = " ".join(token.text for token in said)
    if not 0 < len(said) <= MOST_OF_A_NAME or name not in crew:
        return None
    return line.text[said[0].start : said[-1].end].removesuffix("'s")
