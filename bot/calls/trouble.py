"""Cries for help, found by their words wherever they stand in a line: trouble is said in any words.

A cry is a sign of `[cry]`, or what befalls (`[befalls]`) a person: a word of `[person]`, or one that neither
the call language nor `[thing]` knows, which is a name. Pure.
"""

from collections.abc import Collection, Sequence
from typing import Final

from bot.calls.meant.reader import Line
from bot.calls.meant.signs import Sign

NEAR: Final = 3
"""Most words between a calming word and what it calms."""
REACH: Final = 8
"""Most words between a hook and the hand that it is in."""
BESIDE: Final = 2
"""Most words between "in" and the hand: "in his left hand", but not "in front of my face"."""
OTHERS: Final = 2
"""Most other words beside a cry that must stand alone."""
_DEAREST: Final = 0.5
"""Highest cost of repairs at which a sign still counts."""
_HURT: Final = "injury"
_STRUCK: Final = "collision"
_VAGUE: Final = "distress"


def cries_in(
    line: Line, known: Collection[str], crew: Collection[str] = (), *, befallen: bool = True
) -> tuple[str, ...]:
    """Return the `what` of every cry for help in a line; empty where there is none.

    `known` are the words of the call language, which are no names but for those of the `crew`; `befallen`
    tells that something may have befallen somebody whose name is an unknown word.
    """
    names = {form for name in crew for form in (name.casefold(), f"{name.casefold()}s")}
    known = frozenset(known) - names
    if _is_always_calm(line):
        return ()
    found = [s.name for s in _cries(line) if not _calmed(line, s.start)]
    if line.has("species"):
        found = [what for what in found if what != _STRUCK]
    if befallen:
        found += [s.name for s in line.of("befalls", "befalls_any") if _befalls(line, s, known)]
        found += [_HURT for at in _stuck(line, known) if not _calmed(line, at)]
    plain = [what for what in dict.fromkeys(found) if what != _VAGUE]
    return tuple(plain or dict.fromkeys(found))


def is_calm(line: Line) -> bool:
    """Return whether a line is calm, even where a reader takes it for a cry."""
    return _is_always_calm(line) or line.has("calm", "doubted") or _befell_a_thing(line)


def _befell_a_thing(line: Line) -> bool:
    """Return whether what would be trouble befell a hat or a bucket, and nobody is named in the line."""
    befell = [sign for sign in line.of("befalls", "befalls_any") if sign.cost <= _DEAREST]
    things = {sign.end for sign in line.of("thing") if sign.cost == 0}
    return bool(befell) and things.issuperset(s.start for s in befell) and not line.of("person")


def _is_always_calm(line: Line) -> bool:
    return line.has("calm", "always") and not line.has("calm", "earnest")


def _cries(line: Line) -> list[Sign]:
    alone = [
        sign
        for sign in line.of("cry_alone")
        if line.lattice.size - (sign.end - sign.start) <= OTHERS
        and (sign.start == 0 or sign.end == line.lattice.size)
        and _is_clear(line, sign)
    ]
    return [sign for sign in (*line.of("cry"), *alone) if sign.cost <= _DEAREST]


def _is_clear(line: Line, sign: Sign) -> bool:
    """Return whether a cry is by itself, or said twice, or begins the line with a mark behind it."""
    rest = [t.text for t in (*line.tokens[: sign.start], *line.tokens[sign.end :])]
    said = {t.text for t in line.tokens[sign.start : sign.end]}
    return not rest or set(rest) <= said or any(t.mark == "!" for t in line.tokens[sign.end :][:1])


def _calmed(line: Line, at: int) -> bool:
    return any(s.end <= at <= s.end + NEAR - 1 for s in line.of("calm") if s.name == "before")


def _befalls(line: Line, sign: Sign, known: Collection[str]) -> bool:
    if sign.cost > _DEAREST or _calmed(line, sign.start):
        return False
    if any(s.table == "excused" and s.start == sign.end for s in line.signs):
        return False
    who = _before(line, sign.start, known)
    return who == "person" or (who == "fish" and sign.table == "befalls_any")


def _before(line: Line, at: int, known: Collection[str]) -> str:
    """Return `person`, `fish` or `thing` for the word right before: one that may be a fish counts as such."""
    signs = [s for s in line.of("person") if s.end == at and s.cost == 0]
    if signs:
        return "person"
    if any(s.end == at and s.cost == 0 for s in line.of("maybe_fish")):
        return "fish"
    if at == 0:
        return "thing"
    word = line.tokens[at - 1].text
    named = word.isalpha() and len(word) > 1 and word not in known
    things = line.of("thing", "species", "what", "colour", "position")
    if not named or any(s.end == at and s.cost == 0 for s in things):
        return "thing"
    articles = line.of("own")
    return (
        "thing"
        if any(s.end == at - 1 and s.name in ("word", "any") for s in articles)
        else "person"
    )


def _stuck(line: Line, known: Collection[str]) -> list[int]:
    """Return where a line says that something sharp is in somebody or that a body part is broken."""
    found: list[int] = []
    for part in line.of("body"):
        own = [s for s in line.of("own") if 0 <= part.start - s.end <= 1]
        his = any(s.name == "word" for s in own) or _is_named(line, part, known)
        if not own and not his:
            continue
        for sharp in line.of("sharp"):
            between = _between(line, sharp, part)
            if between is None:
                continue
            deep = "through" in between
            held = "in" in between and sharp.name == "hook"
            wound = "wraps" in between and sharp.name == "line" and his
            if wound or (sharp.name != "line" and (deep or held)):
                found.append(min(sharp.start, part.start))
        harms = [s for s in line.of("harms") if 0 < part.start - s.end <= 4]
        if harms and (his or _is_lost(line, part)):
            found.append(harms[0].start)
    return found


def _is_named(line: Line, part: Sign, known: Collection[str]) -> bool:
    return part.start > 0 and _before(line, part.start, known) == "person"


def _is_lost(line: Line, part: Sign) -> bool:
    return any(s.name == "any" and s.end == part.start for s in line.of("own"))


def _between(line: Line, sharp: Sign, part: Sign) -> Sequence[str] | None:
    """Return the signs for being in something near two others; None where those stand too far apart."""
    first, last = min(sharp.end, part.end), max(sharp.start, part.start)
    if not 0 <= last - first <= REACH:
        return None
    start, end = min(sharp.start, part.start), max(sharp.end, part.end)
    return [
        s.name
        for s in line.signs
        if s.table == "into" and start <= s.start and s.end <= end
        and (s.name != "in" or 0 < part.start - s.end <= BESIDE)
    ]  # fmt: skip
