"""What is said about trays and spreads made ready: "run tray two", "what's in the slow tray".

Whoever says "tray" means one, so a few words decide by themselves; what they name is read from the signs of
the line (`tray_word` to `wish` of grammar/meanings.toml). Pure.
"""

from collections.abc import Iterator
from typing import Any, Final

from bot.calls.meant.aboard_said import aboard_calls, asked_kind, asks_others, is_for_fish
from bot.calls.meant.bare_numbers import bare_numbers, speed_in
from bot.calls.meant.reader import Line, only_with
from bot.calls.meant.signs import Sign
from bot.calls.meant.tray_but import goes_out_with, sent_with
from bot.calls.meant.tray_lures import (
    LURE,
    Mention,
    ends_before,
    is_list,
    is_of,
    is_spare,
    lures_in,
    moved_between,
    parts_in,
)
from bot.calls.meant.tray_names import EVERY, asks_loose, gives_up_all, tray_copy
from bot.calls.meant.tray_terms import plan_slots, tackle_in
from bot.calls.numbers import numbers_at
from bot.tackle.line_classes import CLASS_OF_WORD
from bot.trip.acts import ASK_READY, PLAN, SET, TRAY
from bot.trip.call import Call
from bot.trip.meant import AsksAbout, OfTray

MOST_NAME: Final = 3
"""Most words of a tray's name."""
EARLY: Final = 4
"""Most words that may stand before the verb of an order."""
BY_PACE: Final = ("slow", "fast")
"""Names of trays that a few lures may have without a tray: "put the slow ones out"."""


def tray_calls(line: Line) -> tuple[Call, ...]:
    """Return the calls of a line about trays; empty where it is about none or another reader takes it."""
    packs = [sign for sign in line.signs if sign.table == "packing" and sign.start < EARLY]
    if packs and (packs[0].start == 0 or not is_talk(line, line.lattice.size - 1)):
        return (Call(ASK_READY),)
    if asks_loose(line):
        return (Call(ASK_READY),)
    if gives_up_all(line):
        return (Call(TRAY, tray=EVERY),)
    found = tuple(mentions(line))
    if other := tray_copy(line, found):
        return (Call(TRAY, tray=other.name),)
    if not found and line.has("tray_word", "trays"):
        return (Call(ASK_READY),) if first(line, "shown") or _is_only(line, "trays") else ()
    if len(found) == 2 and _trades(line) and all(one.name for one in found):
        return (Call(PLAN, tray=found[1].name),)
    if moved := moved_between(line, found):
        return tuple(Call(TRAY, tray=name, **slots) for slots, name, _ in moved)
    named = {one.name for one in found if one.is_tray} or {one.name for one in found}
    if len(named) > 1 or (found and is_talk(line, found[0].start)):
        return ()
    return _of_tray(line, found[0]) if found else aboard_calls(line)


def is_talk(line: Line, at: int) -> bool:
    """Return whether the part of a line up to a word speaks of later or of what is not so."""
    since = _clause(line, at)
    asks = line.text.rstrip().endswith("?")
    return not asks and any(s.table == "tray_talk" and s.start >= since for s in line.signs)


def _clause(line: Line, at: int) -> int:
    """Return the first word of the part of a line in which a word stands."""
    return next((n for n in range(at, 0, -1) if line.tokens[n].stop), 0)


def _of_tray(line: Line, tray: Mention) -> tuple[Call, ...]:
    lures, asks = lures_in(line, tray), line.text.rstrip().endswith("?")
    match tray_action(line, tray):
        case "shown" if not tray.name and lures:
            return (Call(ASK_READY, **{k: v for k, v in lures[0].items() if k != "position"}),)
        case "shown" if not lures:
            return (Call(ASK_READY, tray=tray.name or None),)
        case "filled":
            if tray.is_tray:
                return (Call(PLAN, tray=tray.name or None, **plan_slots(line, tray)),)
            slots = plan_slots(line, tray)
            if tray.name in CLASS_OF_WORD:
                slots = {"tackle": tray.name} | slots
            return (Call(PLAN, **slots),)
        case "run" if asks and tray.is_tray:
            return (Call(ASK_READY, tray=tray.name or None),)
        case "run" if not lures or (tray.name and goes_out_with(line, tray)):
            plan = Call(PLAN, tray=tray.name or None, **plan_slots(line, tray))
            sets = sent_with(line, tray) if lures else ()
            return (plan, *(Call(SET, **slots) for slots in sets))
        case _ if not tray.name:
            return ()
        case _ if _is_asked_for(line, tray):
            return (Call(ASK_READY, tray=tray.name),)
        case _ if (tray.start, tray.end) == (0, line.lattice.size):
            return (Call(TRAY, tray=tray.name),)
        case "takes":
            return tuple(Call(TRAY, tray=tray.name, **x) for x, _ in _in_and_out(line, tray))
        case "into":
            return tuple(Call(TRAY, tray=tray.name, **lure) for lure in lures)
        case "emptied" | "named" | "terms" if not lures:
            return (Call(TRAY, tray=tray.name),)
        case _:
            return ()


def tray_action(line: Line, tray: Mention) -> str:
    """Return what is done with a tray, as [tray_do] names it; empty where that is not clear."""
    if not tray.is_tray:
        return _with_spread(line, tray)
    if not tray.name:
        return _with_the_tray(line, tray)
    if first(line, "named"):
        return "named"
    if first(line, "moves") and lures_in(line, tray) and ends_before(line, "into", tray):
        return "into"
    if goes_out_with(line, tray):
        return "run"
    if _is_order_to_plan(line) and only_from(line, tray):
        return "filled"
    if first(line, "takes") and ends_before(line, "from", tray):
        return "emptied" if first(line, "all_out") else "takes"
    if (_trades(line) or line.has("tray_word", "for_it")) and len(_in_and_out(line, tray)) > 1:
        return "takes"
    if lures_in(line, tray) and (ends_before(line, "into", tray) or line.has("tray_do", "spare")):
        return "into"
    if is_list(line, tray):
        return "into"
    if ends_before(line, "inside", tray) and first(line, "run"):
        return ""
    if ends_before(line, "dropped", tray) and not lures_in(line, tray):
        return "run" if _is_away(line, tray) else "emptied"
    if first(line, "emptied"):
        return "emptied"
    if _is_terms(line, tray):
        return "terms"
    if _goes_away(line, tray):
        return "run"
    if _asked(line, tray):
        return "shown"
    if first(line, "filled") and not _ends_away(line):
        return "filled"
    return "run" if first(line, "run") else ""


def _is_only(line: Line, name: str) -> bool:
    """Return whether a line is a word of [tray_word] and nothing that means more: "the trays, please"."""
    names = ("ends", name)
    words = (s for s in line.signs if s.table == "tray_word" and s.name in names and s.cost == 0.0)
    said = {n for sign in words for n in range(sign.start, sign.end)}
    return len(said) == line.lattice.size


def _is_asked_for(line: Line, tray: Mention) -> bool:
    """Return whether a line is a tray and a "please", so that it is to be shown: "tray two please"."""
    polite = [s for s in line.signs if s[:2] == ("tray_do", "please") and s.start == tray.end]
    return tray.is_tray and tray.start <= 1 and any(s.end == line.lattice.size for s in polite)


@only_with("tray_word", otherwise=False)
def lists_a_tray(line: Line) -> bool:
    """Return whether a line is a tray and then the lures that go into it."""
    tray = next(mentions(line), None)
    return tray is not None and tray.is_tray and bool(tray.name) and is_list(line, tray)


def _with_the_tray(line: Line, tray: Mention) -> str:
    """Return what is done with a tray that was not named: it goes out or is asked about; else nothing."""
    if any(s[:2] == ("tray_do", "puts_out") and s.end == tray.start for s in line.signs):
        return "run"
    asked = any(s[:3] == ("tray_do", "shown", 0) for s in line.signs)
    return "shown" if asked and lures_in(line, tray) else ""


def _with_spread(line: Line, tray: Mention) -> str:
    if first(line, "filled") or (tray.start, tray.end) == (0, line.lattice.size):
        return "filled"
    if first(line, "run") or _goes_away(line, tray):
        return "run"
    told = tray.end < line.lattice.size and line.at(tray.end, "tray_do", "shown") is not None
    if tray.start <= 1 and speed_in(line) is not None and not told:
        return "filled"
    asked = any(s[:2] == ("tray_do", "shown") and s.start < tray.start for s in line.signs)
    return "shown" if asked else ""


def _in_and_out(line: Line, tray: Mention) -> list[tuple[dict[str, Any], bool]]:
    """Return the lures that come out of a tray or go in for them, each with whether it comes out.

    "Take the hat out of tray two and put the nail in", "swap the hat in tray two for the nail".
    """
    if gone := line.first("tray_word", "for_it"):
        both = parts_in(line, tray, "for_it")
        return sorted(((p.slots, p.at >= gone.start) for p in both), key=lambda one: not one[1])
    if _trades(line):
        traded = parts_in(line, tray, "trades")
        return [(part.slots, number == 0) for number, part in enumerate(traded)]
    parts = parts_in(line, tray)
    before = any(part.at < tray.start for part in parts)
    return [(part.slots, part.at < tray.end or not before) for part in parts]


def _trades(line: Line) -> bool:
    """Return whether a line begins with the order to change one for another: "small change" is none."""
    names = [s for s in line.of("name") if s.cost == 0.0]
    verbs = [s for s in line.signs if s[:2] == ("tray_do", "trades") and s.start < EARLY]
    return any(not any(n.start <= s.start < n.end for n in names) for s in verbs)


def _is_order_to_plan(line: Line) -> bool:
    return first(line, "filled") and line.has("wish", "planned")


def only_from(line: Line, tray: Mention) -> bool:
    """Return whether a spread is to be planned from the lures of a tray, and not for the tray."""
    of = ends_before(line, "origin", tray, "wish")
    only = line.has("wish", "only") and not goes_out_with(line, tray)
    return tray.is_tray and (of or only)


def of_tray(call: Call, line: Line) -> OfTray | None:
    """Return what a call about a tray means beyond its slots; None where it only puts a lure in."""
    if gives_up_all(line):
        return OfTray(emptied=True, every=True)
    if other := tray_copy(line, tuple(mentions(line))):
        return OfTray(like=other.like, renames=other.renames)
    for slots, name, is_out in moved_between(line, tuple(mentions(line))):
        if name == call.tray and is_of(call, slots):
            return OfTray(out=True) if is_out else None
    tray = next(mentions(line), None)
    does = tray_action(line, tray) if tray else ""
    moves = does == "into" and call.names_lure and first(line, "moves")
    tackle = None if moves else tackle_in(line, tray)  # "from the heavy to tray two"
    taken = _in_and_out(line, tray) if tray and does == "takes" else []
    goes_in = any(not is_out and is_of(call, slots) for slots, is_out in taken)
    found = OfTray(
        out=does == "takes" and call.names_lure and not goes_in,
        in_its_place=goes_in,
        moves=moves,
        emptied=does == "emptied" and not call.names_lure,
        spare=call.names_lure and is_spare(call, line, tray),
        tackle=tackle if isinstance(tackle, str) else None,
        line_class_kg=tackle if isinstance(tackle, float) else None,
        speed_kn=speed_in(line),
        all_of_it=does == "named" and not call.names_lure,
    )
    return None if found == OfTray() else found


def asked_of_tray(line: Line) -> AsksAbout | None:
    """Return whether a question is about the packing, trays, the card of one, or others of a kind."""
    if line.has("packing", "list"):
        return AsksAbout("packing")
    if asks_loose(line):
        return AsksAbout("loose")
    if line.has("tray_word", "trays") or next(mentions(line), None) is not None:
        return AsksAbout("card" if line.has("tray_do", "card") else "trays")
    if is_for_fish(line):
        return AsksAbout("for_fish")
    if asks_others(line):
        return AsksAbout("another")
    return AsksAbout("kind") if asked_kind(line) else None


# What stands in a line


def mentions(line: Line) -> Iterator[Mention]:
    """Yield the trays that a line names, first those that are called trays."""
    for sign in line.signs:
        is_tray = sign.table == "tray_word" and sign.name == "tray"
        if is_tray and (found := _named_tray(line, sign)) is not None:
            yield found
    for sign in line.signs:
        if sign.table == "tray_word" and sign.name in ("spread", "lot", "ones"):
            tables = ("tray_name", "tray")
            names = [s for s in line.signs if s.end == sign.start and s.table in tables]
            name = max(names, key=lambda s: s.end - s.start, default=sign)
            ones = sign.name == "ones" and not (name.name in BY_PACE and first(line, "lays"))
            if names and not ones:
                is_tray = sign.name == "lot"
                yield Mention(name.name, name.start, sign.end, is_tray)


def _named_tray(line: Line, tray: Sign) -> Mention | None:
    """Return the tray by the words before the word tray, or by the one after it."""
    words = [token.text for token in line.tokens]
    after = tray.end
    while after < len(words) and line.at(after, "tray_word", "numbered") is not None:
        after += 1
    is_name = after < len(words) and line.at(after, "tray_word", "ends") is None
    is_number = is_name and any(n.cost == 0.0 for n in numbers_at(line.lattice, after))
    before = tray.start
    while before > max(0, tray.start - MOST_NAME) and not _ends_name(line, before - 1):
        before -= 1
    if tray.start - before > 1 and _is_lure(line, before, tray.start):
        return None
    if before < tray.start and not is_number:
        known = _name_at(line, before, tray.start)
        return Mention(
            known or " ".join(words[before : tray.start]), before, tray.end, is_tray=True
        )
    if is_name:
        return Mention(words[after], tray.start, after + 1, is_tray=True)
    pointed = ("numbered", "which")
    bare = any(line.at(tray.start - 1, "tray_word", name) for name in pointed if tray.start > 0)
    return Mention("", tray.start, tray.end, is_tray=True) if bare else None


def _is_lure(line: Line, start: int, end: int) -> bool:
    """Return whether the words before "tray" are a lure and not its name: "white bullet, tray two"."""
    signs = [s for s in line.signs if s.table in LURE[:3] and s.cost == 0.0]
    words = {n for s in signs for n in range(s.start, s.end)}
    words |= {n for n in range(start, end) if any(True for _ in bare_numbers(line, n))}
    return set(range(start, end)) <= words


def _ends_name(line: Line, at: int) -> bool:
    """Return whether a word before the word tray is no part of the name."""
    return line.tokens[at].stop or any(s.start <= at < s.end and _is_no_name(s) for s in line.signs)


def _is_no_name(sign: Sign) -> bool:
    if sign.table in ("tray_do", "tray_named"):
        return sign.name not in ("spare", "spares")
    return sign[:2] in (("tray_word", "ends"), ("tray_word", "tray"))


def _name_at(line: Line, start: int, end: int) -> str | None:
    signs = (s for s in line.signs if s.table == "tray_name" and (s.start, s.end) == (start, end))
    return next((s.name for s in signs), None)


def first(line: Line, name: str) -> bool:
    """Return whether a wording of [tray_do] stands at or near the beginning of a line or of a part of it."""
    return any(
        s[:2] == ("tray_do", name) and s.start - _clause(line, s.start) < EARLY for s in line.signs
    )


def _asked(line: Line, tray: Mention) -> bool:
    """Return whether a tray is asked about: in the part of the line that names it, or behind it."""
    own = _clause(line, tray.start)
    return any(
        s[:2] == ("tray_do", "shown")
        and s.start - _clause(line, s.start) < EARLY
        and (_clause(line, s.start) == own or s.start >= tray.end)
        for s in line.signs
    )


def _goes_away(line: Line, tray: Mention) -> bool:
    """Return whether a line is the tray and "out" behind it: "slow spread out", "tray two's going out"."""
    away = [s for s in line.signs if s[:2] == ("tray_do", "away") and s.start == tray.end]
    last = line.lattice.size - 1
    return tray.start <= 1 and any(s.end >= last or line.tokens[s.end].stop for s in away)


def _is_away(line: Line, tray: Mention) -> bool:
    """Return whether "out" or "in the water" stands right behind a tray: "drop the slow tray in"."""
    return any(line.at(tray.end, "tray_do", name) is not None for name in ("away", "into"))


def _ends_away(line: Line) -> bool:
    return any(s[:2] == ("tray_do", "away") and s.end == line.lattice.size for s in line.signs)


def _is_terms(line: Line, tray: Mention) -> bool:
    """Return whether a line says for which speed or tackle a tray is."""
    ordered = first(line, "filled") or first(line, "run")
    if tray.start > 1 or ordered or line.text.rstrip().endswith("?"):
        return False
    return speed_in(line) is not None or tackle_in(line, tray) is not None
