"""How a spread is to be that is asked for: "without garden shed", "keep the corners". Pure."""

from collections.abc import Iterator
from typing import Final

from bot.calls.meant.reader import Line
from bot.calls.meant.trays import (
    Mention,
    bare_numbers,
    doing,
    first,
    is_talk,
    mentions,
    plan_slots,
    tray_calls,
)
from bot.trip.acts import PLAN
from bot.trip.call import Call
from bot.trip.meant import SpreadWish

KNOWN: Final = (
    "wish", "tray_word", "tray_name", "tray", "species", "colour", "name", "head", "position", "both",
    "side", "tackle", "pace", "mass", "line_class", "tray_do", "asks",
)  # fmt: skip
"""Tables of signs of which something is made in a plan."""


def spread_calls(line: Line) -> tuple[Call, ...]:
    """Return what a line about a tray, or about a spread with wishes, calls for; empty for any other."""
    found = tray_calls(line)
    if found or next(mentions(line), None) is not None or is_talk(line, line.lattice.size - 1):
        return found
    asks = any(s[:2] == ("wish", "asks") and s.start < 3 for s in line.signs)
    opens = first(line, "filled") and line.has("wish", "spread")
    slots = plan_slots(line, None)
    wish = spread_wish(Call(PLAN), line)
    if (opens or asks) and (slots.keys() & {"speed_kn", "species"} or (wish and _asks_more(wish))):
        return (Call(PLAN, **slots),)
    return ()


def _asks_more(wish: SpreadWish) -> bool:
    return bool(wish.slow or wish.without or wish.only or wish.keep or wish.sea or wish.from_tray)


def spread_wish(call: Call, line: Line) -> SpreadWish | None:
    """Return how a spread that is asked for is to be, and which of the words were not understood."""
    tray = next(mentions(line), None)
    from_tray = tray.name if tray is not None and _only_from(line, tray) else ""
    does = doing(line, tray) if tray and not from_tray else ""
    found = SpreadWish(
        to_do=does if does in ("run", "filled") and call.tray else "",
        slow=_slow(line, tray),
        without=tuple(_after(line, "without", ("name", "colour", "head"))),
        only=() if from_tray else tuple(_after(line, "only", ("colour", "head"))),
        keep=tuple(dict.fromkeys(_kept(line))),
        from_tray=from_tray,
        sea=next((name for name in ("rough", "calm") if line.has("wish", name)), ""),
        unused=_unused(line, tray),
    )
    return None if found == SpreadWish() else found


def _only_from(line: Line, tray: Mention) -> bool:
    """Return whether a spread is to be planned out of a tray, and not for it."""
    of = any(
        s[:2] == ("wish", "origin") and s.end in (tray.start - 1, tray.start) for s in line.signs
    )
    return tray.is_tray and (of or line.has("wish", "only"))


def _slow(line: Line, tray: Mention | None) -> bool:
    """Return whether slow runners are meant, and not only a tray of that name."""
    return line.has("wish", "slow") and not (tray is not None and tray.is_tray)


def _after(line: Line, word: str, tables: tuple[str, ...]) -> Iterator[str]:
    """Yield what is named after a word, and after "and" behind that: "without the pink or tin snail"."""
    for sign in line.signs:
        if sign[:2] != ("wish", word):
            continue
        at = sign.end
        for named in line.of(*tables):
            between = range(at, named.start)
            if named.start >= at and all(line.at(n, "wish", "aside") for n in between):
                yield named.name
                at = named.end


def _kept(line: Line) -> Iterator[str]:
    start = min((s.end for s in line.signs if s[:2] == ("wish", "keep")), default=None)
    for sign in line.of("position", "both") if start is not None else ():
        if start is not None and sign.start >= start:
            yield from (name.strip() for name in sign.name.split(","))


def _unused(line: Line, tray: Mention | None) -> tuple[str, ...]:
    """Return the words that nothing was made of, so that they can be said."""
    known: set[int] = set(range(tray.start, tray.end)) if tray else set()
    for sign in line.signs:
        if sign.table in KNOWN:
            known |= set(range(sign.start, sign.end))
    for start in range(line.lattice.size):
        for _, end in bare_numbers(line, start):
            known |= set(range(start, end))
    return tuple(dict.fromkeys(t.text for n, t in enumerate(line.tokens) if n not in known))
