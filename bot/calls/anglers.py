"""Who is on a rod, by name: "Ana's in the chair", "Ben has the short rigger and Tom the shotgun".

A name is a word that neither the call language nor plain things know, or one of the crew. Pure.
"""

from collections.abc import Collection
from typing import Final

from bot.calls.meant.reader import Line
from bot.calls.meant.signs import Sign
from bot.trip.acts import ANGLER
from bot.trip.call import Call

MOST_WORDS: Final = 14
_DEAREST: Final = 0.0
_BEFORE_OWN_S: Final = "uis"
"""Letters after which an s is mostly the name's own: Marcus, Chris, Jess."""


def on_the_rod(
    line: Line, known: Collection[str], crew: Collection[str] = (), speaker: str = ""
) -> tuple[Call, ...]:
    """Return the calls of a line that only says who is on which rod; empty for any other line.

    `crew` are the names that are known aboard, `known` the words of the call language.
    """
    size = line.lattice.size
    if not 0 < size <= MOST_WORDS:
        return ()
    names = {name.casefold() for name in crew}
    calls: list[Call] = []
    at = 0
    while at < size:
        found = _said(line, at, known, names, speaker)
        if found is not None:
            call, at = found
            calls.append(call)
            continue
        skipped = _gives_up(line, at, known, names) or _end(line, at, "rod_of", "beside")
        if skipped is None:
            return ()
        at = skipped
    return tuple(calls)


def _gives_up(line: Line, at: int, known: Collection[str], crew: Collection[str]) -> int | None:
    """Return where it ends that somebody gives the rod up: "Walt's worn out", "from Walt"; else None."""
    after = _end(line, at, "rod_of", "from")
    begin = at if after is None else after
    if begin >= line.lattice.size or name_at(line, begin, known, crew) is None:
        return None
    return begin + 1 if after is not None else _end(line, begin + 1, "rod_of", "spent")


def named_last(line: Line, known: Collection[str], crew: Collection[str] = ()) -> str | None:
    """Return the name after the last comma of a line: "got one on the long rigger, Ben"."""
    if line.lattice.size < 3:
        return None
    last = line.tokens[-1]
    names = {name.casefold() for name in crew}
    if last.mark != "," or not (_is_written(line, line.lattice.size - 1) or last.text in names):
        return None
    return name_at(line, line.lattice.size - 1, known, names)


def who_takes_it(
    line: Line, known: Collection[str], crew: Collection[str], speaker: str
) -> str | None:
    """Return who takes a rod where no reading says it: the only other one named, else the speaker.

    None where a word may be the name of somebody who is not known aboard.
    """
    said = {token.text for token in line.tokens}
    named = [one for one in crew if one in said and one != speaker.casefold()]
    if named:
        return _written(named[0]) if len(named) == 1 else None
    maybe = (name_at(line, at, known, crew) for at in range(line.lattice.size))
    return speaker or None if not any(maybe) else None


def without_s(name: str, line: Line, crew: Collection[str] = ()) -> str:
    """Return "Luke" for the Lukes of "lukes rod", unless somebody aboard is called Lukes."""
    low, aboard = name.casefold(), {one.casefold() for one in crew}
    if _without_s(name, aboard) == name:
        return name
    if low.removesuffix("s") in aboard:
        return name[:-1]
    for at, token in enumerate(line.tokens[:-1]):
        if token.text == low and _end(line, at + 1, "rod_of", "whose") is not None:
            return name[:-1]
    return name


def name_at(line: Line, at: int, known: Collection[str], crew: Collection[str]) -> str | None:
    """Return the name at a word, with its capital; None where the word is no name."""
    word = line.tokens[at].text
    if word in crew:
        return _written(word)
    if word.endswith("s") and word[:-1] in crew:
        return _written(word[:-1])
    if at > 0 and any(s.table == "title" and s.end == at for s in line.signs):
        return None
    plain = [s for s in line.signs if s.start == at and s.cost == 0 and s.end == at + 1]
    if any(s.table == "named" and s.name == "no" for s in plain):
        return None
    if any(s.table == "named" for s in plain) and _end(line, at + 1, "rod_of", "verb"):
        return _written(word)
    if any(s.table in ("thing", "species", "what", "colour", "position", "title") for s in plain):
        return None
    if len(word) < 2 or not word.isalpha() or word in known:
        return None
    return _written(word)


def _is_written(line: Line, at: int) -> bool:
    """Return whether a word is written with a capital as a name is."""
    token = line.tokens[at]
    written = line.text[token.start : token.end]
    return written[:1].isupper() and not written.isupper()


def _written(word: str) -> str:
    return word[:1].upper() + word[1:]


def _said(
    line: Line, at: int, known: Collection[str], crew: Collection[str], speaker: str
) -> tuple[Call, int] | None:
    """Return who is on which rod, read from a word on, and where that ends."""
    if speaker and (found := _mine(line, at, speaker)):
        return found
    if (start := _end(line, at, "rod_of", "before")) is not None and start < line.lattice.size:
        who = name_at(line, start, known, crew)
        return (Call(ANGLER, angler=who), start + 1) if who else None
    who = name_at(line, at, known, crew)
    if who is None:
        return None
    begin = at + 1
    placed = _at_position(line, begin, "at")
    if placed is None and (who.casefold() in crew or _is_written(line, at)):
        placed = _at_position(line, begin, "at_known")
    if placed is not None:
        return Call(ANGLER, placed[0], angler=who), placed[1]
    if (end := _end(line, begin, "rod_of", "after")) is not None:
        if _end(line, begin, "rod_of", "verb") is None:
            who = _without_s(who, crew)
        chair = _at_position(line, end, "at_known") if end < line.lattice.size else None
        where, end = chair or (None, end)
        return Call(ANGLER, where, angler=who), end
    return None


def _mine(line: Line, at: int, speaker: str) -> tuple[Call, int] | None:
    if (end := _end(line, at, "rod_of", "mine")) is not None:
        return Call(ANGLER, angler=speaker), end
    placed = _at_position(line, at, "of_mine")
    return (Call(ANGLER, placed[0], angler=speaker), placed[1]) if placed else None


def _without_s(who: str, crew: Collection[str]) -> str:
    """Return "Tysons" as the Tyson whose rod it is; a name with an s of its own stays."""
    low = who.casefold()
    own = low == "s" or low[-2:-1] in _BEFORE_OWN_S or low in crew
    return who if own or not low.endswith("s") else who[:-1]


def _at_position(line: Line, at: int, between: str) -> tuple[str, int] | None:
    ends = [s.end for s in line.signs if s[:3] == ("rod_of", between, at) and s.cost <= _DEAREST]
    for end in sorted(ends, reverse=True):
        if (placed := _position(line, end)) is not None:
            return placed
    return None


def _position(line: Line, at: int) -> tuple[str, int] | None:
    found = [
        s for s in line.signs if s.table == "position" and s.start == at and s.cost <= _DEAREST
    ]
    if not found:
        return None
    longest = max(found, key=lambda sign: sign.end)
    return longest.name, longest.end


def _end(line: Line, at: int, table: str, name: str) -> int | None:
    found: list[Sign] = [s for s in line.signs if s[:3] == (table, name, at) and s.cost <= _DEAREST]
    return max((s.end for s in found), default=None)
