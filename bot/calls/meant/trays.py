"""What is said about trays and spreads made ready: "run tray two", "what's in the slow tray".

Whoever says "tray" means one, so a few words decide by themselves; what they name is read from the signs of
the line (`tray_word` to `wish` of grammar/meanings.toml). Pure.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Any, Final

from bot.calls.meant.bare_numbers import bare_numbers, is_unit, speed_in
from bot.calls.meant.reader import Line
from bot.calls.meant.signs import Sign
from bot.tackle.line_classes import CLASS_OF_WORD, LINE_CLASSES, class_of, class_of_label
from bot.trip.acts import ASK_READY, PLAN, TRAY
from bot.trip.call import Call
from bot.trip.meant import AsksAbout, OfTray

SIZES_IN: Final = (3.0, 24.0)
"""Range of a lure's length in inches; a number outside it is something else."""
MOST_NAME: Final = 3
"""Most words of a tray's name."""
EARLY: Final = 4
"""Most words that may stand before the verb of an order."""
BY_PACE: Final = ("slow", "fast")
"""Names of trays that a few lures may have without a tray: "put the slow ones out"."""
LURE: Final = ("name", "colour", "head", "position")
"""Tables of signs that say which lure, and where."""
BELIEVED: Final = ("tray_do", "tray_word", "tray_talk", "wish")
"""Tables whose words are believed as heard."""


@dataclass(frozen=True, slots=True)
class Mention:
    """A tray that is named in a line."""

    name: str
    """Empty for "the tray"."""
    start: int
    end: int
    is_tray: bool
    """False where only a spread was said: "the slow spread"; true for "the slow lot"."""


def tray_calls(line: Line) -> tuple[Call, ...]:
    """Return the calls of a line about trays; empty where it is about none or another reader takes it."""
    packs = [sign for sign in line.signs if sign.table == "packing" and sign.start < EARLY]
    if packs and (packs[0].start == 0 or not is_talk(line, line.lattice.size - 1)):
        return (Call(ASK_READY),)
    found = tuple(mentions(line))
    if not found and line.has("tray_word", "trays"):
        return (Call(ASK_READY),) if first(line, "shown") else ()
    if len({one.name for one in found}) > 1 or (found and is_talk(line, found[0].start)):
        return ()
    return _of_tray(line, found[0]) if found else _others(line)


def is_talk(line: Line, at: int) -> bool:
    """Return whether the part of a line up to a word speaks of later or of what is not so."""
    since = _clause(line, at)
    asks = line.text.rstrip().endswith("?")
    return not asks and any(s.table == "tray_talk" and s.start >= since for s in line.signs)


def _clause(line: Line, at: int) -> int:
    """Return the first word of the part of a line in which a word stands."""
    return next((n for n in range(at, 0, -1) if line.tokens[n].stop), 0)


def _of_tray(line: Line, tray: Mention) -> tuple[Call, ...]:
    lures = _lures(line, tray)
    match doing(line, tray):
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
        case "run" if not lures:
            return (Call(PLAN, tray=tray.name or None, **plan_slots(line, tray)),)
        case _ if not tray.name:
            return ()
        case _ if (tray.start, tray.end) == (0, line.lattice.size):
            return (Call(TRAY, tray=tray.name),)
        case "takes" | "into":
            return tuple(Call(TRAY, tray=tray.name, **lure) for lure in lures)
        case "emptied" | "named" | "terms" if not lures:
            return (Call(TRAY, tray=tray.name),)
        case _:
            return ()


def doing(line: Line, tray: Mention) -> str:
    """Return what is done with a tray, as [tray_do] names it; empty where that is not clear."""
    if not tray.is_tray:
        return _with_spread(line, tray)
    if not tray.name:
        return _with_the_tray(line, tray)
    if first(line, "named"):
        return "named"
    if first(line, "takes") and _before(line, "from", tray):
        return "takes"
    if _lures(line, tray) and (_before(line, "into", tray) or line.has("tray_do", "spare")):
        return "into"
    if _before(line, "inside", tray) and first(line, "run"):
        return ""
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


def _with_the_tray(line: Line, tray: Mention) -> str:
    """Return what is done with a tray that was not named: it goes out or is asked about; else nothing."""
    if any(s[:2] == ("tray_do", "puts_out") and s.end == tray.start for s in line.signs):
        return "run"
    asked = any(s[:3] == ("tray_do", "shown", 0) for s in line.signs)
    return "shown" if asked and _lures(line, tray) else ""


def _with_spread(line: Line, tray: Mention) -> str:
    if first(line, "filled"):
        return "filled"
    if first(line, "run") or _goes_away(line, tray):
        return "run"
    told = tray.end < line.lattice.size and line.at(tray.end, "tray_do", "shown") is not None
    if tray.start <= 1 and speed_in(line) is not None and not told:
        return "filled"
    asked = any(s[:2] == ("tray_do", "shown") and s.start < tray.start for s in line.signs)
    return "shown" if asked else ""


def of_tray(call: Call, line: Line) -> OfTray | None:
    """Return what a call about a tray means beyond its slots; None where it only puts a lure in."""
    tray = next(mentions(line), None)
    does = doing(line, tray) if tray else ""
    tackle = tackle_in(line, tray)
    found = OfTray(
        out=does == "takes" and call.names_lure,
        emptied=does == "emptied" and not call.names_lure,
        spare=call.names_lure and line.has("tray_do", "spare"),
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
    if line.has("tray_word", "trays") or next(mentions(line), None) is not None:
        return AsksAbout("card" if line.has("tray_do", "card") else "trays")
    return AsksAbout("another") if line.has("another_of", "ask") else None


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
    is_number = is_name and any(True for _ in bare_numbers(line, after))
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
    if line.tokens[at].stop:
        return True
    return any(
        s.start <= at < s.end and (s[:2] == ("tray_word", "ends") or _is_order(s))
        for s in line.signs
    )


def _is_order(sign: Sign) -> bool:
    return sign.table == "tray_do" and sign.name != "spare"


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


def _before(line: Line, name: str, tray: Mention) -> bool:
    """Return whether a wording ends right before the tray, or before its article."""
    ends = (tray.start - 1, tray.start)
    return any(s[:2] == ("tray_do", name) and s.end in ends for s in line.signs)


def _goes_away(line: Line, tray: Mention) -> bool:
    """Return whether a line is the tray and "out" behind it: "slow spread out", "tray two's going out"."""
    away = [s for s in line.signs if s[:2] == ("tray_do", "away") and s.start == tray.end]
    last = line.lattice.size - 1
    return tray.start <= 1 and any(s.end >= last or line.tokens[s.end].stop for s in away)


def _ends_away(line: Line) -> bool:
    return any(s[:2] == ("tray_do", "away") and s.end == line.lattice.size for s in line.signs)


def _is_terms(line: Line, tray: Mention) -> bool:
    """Return whether a line says for which speed or tackle a tray is."""
    ordered = first(line, "filled") or first(line, "run")
    if tray.start > 1 or ordered or line.text.rstrip().endswith("?"):
        return False
    return speed_in(line) is not None or tackle_in(line, tray) is not None


def _others(line: Line) -> tuple[Call, ...]:
    """Return the question for others of a size or colour: "have we another purple", "any more tens"."""
    asked = line.first("another_of", "ask")
    if asked is None or asked.start > EARLY:
        return ()
    lures = _lures(line, None)
    if not lures and (line.has("another_of", "size") or line.has("another_of", "colour")):
        return (Call(ASK_READY),)
    return tuple(Call(ASK_READY, **lure) for lure in lures[:1])


def _lures(line: Line, tray: Mention | None) -> list[dict[str, Any]]:
    """Return the slots of each lure that is named beside the tray, those between two "and" together."""
    cuts = [0, *(s.start for s in line.signs if s[:2] == ("tray_word", "joins")), line.lattice.size]
    parts = [lure for a, b in pairwise(cuts) if (lure := _lure(line, tray, a, b))]
    if len(parts) > 1 and sum("size_in" in part or "lure" in part for part in parts) < 2:
        return [one] if (one := _lure(line, tray, 0, line.lattice.size)) else []
    return parts


def _lure(line: Line, tray: Mention | None, start: int, end: int) -> dict[str, Any]:
    def there(table: str) -> list[str]:
        signs = (s for s in line.of(table) if start <= s.start < end and not _within(s, tray))
        return list(dict.fromkeys(s.name for s in signs if not _is_slip(line, s)))

    name, colours, head, position = (there(table) for table in LURE)
    sizes = [v for at, v in _sizes(line) if start <= at < end and not _is_in(at, tray)]
    slots: dict[str, Any] = {"lure": name[0]} if name else {}
    emptied = {s.start for s in line.signs if s[:2] == ("tray_do", "emptied")}
    if not name:
        colours = [
            c for c in colours if not any(s.name == c and s.start in emptied for s in line.signs)
        ]
        slots |= {"colours": tuple(colours)} if colours else {}
        slots |= {"size_in": sizes[0]} if sizes else {}
        slots |= {"head": head[0]} if head else {}
    return slots | ({"position": position[0]} if position else {}) if slots else {}


def _is_slip(line: Line, sign: Sign) -> bool:
    """Return whether a repaired word is itself a word of such a line: "go" is not "glow"."""
    believed = (s for s in line.signs if s.table in BELIEVED and s.cost == 0.0)
    return sign.cost > 0.0 and any(s.start < sign.end and sign.start < s.end for s in believed)


def _within(sign: Sign, tray: Mention | None) -> bool:
    return tray is not None and sign.start < tray.end and tray.start < sign.end


def _is_in(at: int, tray: Mention | None) -> bool:
    return tray is not None and tray.start <= at < tray.end


def _sizes(line: Line) -> Iterator[tuple[int, float]]:
    (low, high), at = SIZES_IN, 0
    while at < line.lattice.size:
        numbers = list(bare_numbers(line, at))
        measured = next((end for _, end in numbers if is_unit(line, end)), None)
        fit = next(((value, end) for value, end in numbers if low <= value <= high), None)
        if measured is None and fit is not None:
            yield at, fit[0]
        at = measured or (fit[1] if fit else at + 1)


def tackle_in(line: Line, tray: Mention | None = None) -> str | float | None:
    """Return the tackle that a line names beside the tray: its word, or a line class in kg."""
    for sign in line.of("tackle"):
        if not _within(sign, tray):
            return sign.name if sign.name in CLASS_OF_WORD else float(sign.name)
    for start in range(line.lattice.size):
        for value, end in bare_numbers(line, start):
            if line.at(end, "mass", "kilo") and value <= LINE_CLASSES[-1].kg:
                return float(class_of(value).kg)
            label = class_of_label(value) if line.at(end, "mass", "pound") else None
            if label is not None:
                return float(label.kg)
    return None


def plan_slots(line: Line, tray: Mention | None) -> dict[str, Any]:
    """Return the slots of a plan that a line names."""
    fish = [sign for sign in line.of("species") if not _within(sign, tray)]
    slots: dict[str, Any] = {
        "speed_kn": speed_in(line),
        "tackle": tackle_in(line, tray),
        "species": fish[0].name if fish else None,
    }
    return {name: value for name, value in slots.items() if value is not None}
