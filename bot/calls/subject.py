"""The fish that a correction names before it says what is right: "Sadie's fish at 9:14 was a mahi". Pure.

    the yellowfin weighed 71 pounds             the released one with the tag is a blue marlin
    the tuna Ray got was a bigeye               change my fish at ten to a wahoo

Every word before the verb must be accounted for; what stands behind it is then read as of "it".
"""

import re
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, Final, NamedTuple

from bot.calls.anglers import name_at
from bot.calls.language import Language
from bot.calls.meant.reader import Line
from bot.calls.meant.signs import Sign
from bot.calls.times import clocks_at
from bot.trip.meant import OfFish

MOST_WORDS: Final = 16
"""Most words that name a fish."""
_BETWEEN: Final = re.compile(r"([,;.!]+\s+|\s+and\s+)", re.I)
"""Between what is said of one fish and of the next."""
_CLAUSES: Final = re.compile(r"[;.!]+\s+")
_TABLE: Final = "about_fish"
_AS_OF: Final = {
    "was": "it was", "is": "it was", "weighed": "it weighed", "took": "it was on", "make": "it was",
}  # fmt: skip
"""How what is said of the fish is read, by the kind of its verb."""
_ANGLER_IS: Final = "the angler was {}"
_SLOTS: Final = {
    "species": "species", "about_species": "species", "position": "position", "name": "lure",
    "about_order": "order", "about_end": "ended", "side": "side",
}  # fmt: skip

_APART: Final = frozenset(
    {"caught_by", "of_mine", "got", "make", "into", "when", "owns", "news", "by", "is_not"}
)
"""Signs that are no piece of a name by themselves."""


class Subject(NamedTuple):
    """A line that says something of a fish that it names."""

    said: str
    """The same line, of "it"."""
    fish: OfFish

    @property
    def is_of_the_angler(self) -> bool:
        """Return whether it says who had the fish, and not what became of it: "was landed by Ray"."""
        return self.said.startswith(_ANGLER_IS.format(""))


@dataclass
class _Named:
    """What has been read of a name so far."""

    slots: dict[str, Any] = field(default_factory=dict)
    has_noun: bool = False
    is_definite: bool = False

    def as_fish(self, is_now: bool) -> OfFish:
        """Return what was said as a value."""
        slots = {name: value for name, value in self.slots.items() if name != "side"}
        return OfFish(**slots, is_now=is_now)

    @property
    def names_one(self) -> bool:
        """Return whether more is said than "that fish", and not only which line or lure."""
        told = self.slots.keys() - {"side"}
        return bool(told) and (self.has_noun or bool(told - {"position", "lure"}))


def subjects_of(
    text: str, words: Language, crew: Collection[str], speaker: str
) -> tuple[Subject, ...]:
    """Return what a line says of each fish that it names; none where it is any other line."""
    aboard = {*crew, speaker.casefold()} - {""}
    found: list[Subject] = []
    opening, pieces = "", _BETWEEN.split(text)
    for at in range(0, len(pieces), 2):
        said, joined = pieces[at], pieces[at - 1] if at else ""
        line = words.reader.line(f"{opening}{said}")
        one = subject_of(line, words.vocabulary, aboard, speaker)
        if one is not None:
            found.append(one)
        elif found and (who := _only_a_name(line, found[-1], words.vocabulary, aboard)):
            found[-1] = found[-1]._replace(said=_ANGLER_IS.format(who))
        elif found:
            found[-1] = found[-1]._replace(said=f"{found[-1].said}{joined}{said}")
        elif all(line.at(n, _TABLE, "beside") for n in range(line.lattice.size)):
            opening = f"{opening}{said} "  # "no wait, the mahi at ten ..."
        else:
            return ()
    return tuple(_in_one_unit(found, words))


def head_and_clauses(said: str) -> tuple[str, tuple[str, ...]]:
    """Return what stands before the first comma, and the sentences behind it."""
    head, _, rest = said.partition(",")
    return head, tuple(one.strip() for one in _CLAUSES.split(rest) if one.strip())


def _only_a_name(
    line: Line, before: Subject, known: Collection[str], crew: Collection[str]
) -> str | None:
    """Return the name that stands alone behind "the tuna was mine,"; None for anything else."""
    if line.lattice.size != 1 or not before.said.startswith(_ANGLER_IS.format("")):
        return None
    return name_at(line, 0, known, crew)


def _in_one_unit(found: Sequence[Subject], words: Language) -> Iterator[Subject]:
    """Yield what was said with the unit of the fish before: "was 34 lb, the wahoo was 22"."""
    unit = ""
    for one in found:
        line = words.reader.line(one.said)
        signs = line.of("unit")
        unit = line.tokens[signs[-1].start].text if signs else unit
        is_bare = not signs and line.tokens[-1].text.isdigit()
        yield one._replace(said=f"{one.said} {unit}") if unit and is_bare else one


def subject_of(
    line: Line, known: Collection[str], crew: Collection[str], speaker: str
) -> Subject | None:
    """Return what a line says of a fish that it names; None for any other line.

    `known` are the words of the call language, `crew` the names of those aboard in small letters.
    """
    names = {name.casefold() for name in crew}
    named, at, size = _Named(), 0, line.lattice.size
    made = line.at(0, _TABLE, "make")
    rod = next((s for s in line.of("rod_with") if s.cost == 0), None)
    if rod is not None and rod.name == "behind":
        return _behind(line, rod, known, names, speaker)
    if made is not None:
        at = made.end
    elif rod is not None:
        at = rod.end if all(line.at(n, _TABLE, "beside") for n in range(rod.start)) else 0
    while at < min(size, MOST_WORDS):
        verb = _verb(line, at, named, made)
        if verb is not None and named.names_one:
            if verb.name == "was" and (who := _whose_it_was(line, verb.end, known, names, speaker)):
                return Subject(_ANGLER_IS.format(who), named.as_fish(is_now=False))
            told = _told(line, verb, named)
            if told is None or rod is None:
                return told
            return _with_rod(told.fish, line.text[line.tokens[verb.end].start :])
        end = _read(line, at, named, known, names, speaker)
        if end is None:
            return None
        at = end
    return None


def _behind(
    line: Line, rod: Sign, known: Collection[str], crew: Collection[str], speaker: str
) -> Subject | None:
    """Return who had the rod of a fish that is named last: "Jono was on the rod for the yellowfin"."""
    named, at = _Named(), rod.end
    while at < line.lattice.size:
        end = _read(line, at, named, known, crew, speaker)
        if end is None:
            return None
        at = end
    if rod.start == 0 or not named.names_one:
        return None
    return _with_rod(named.as_fish(is_now=False), line.text[: line.tokens[rod.start].start].strip())


def _with_rod(fish: OfFish, who: str) -> Subject | None:
    """Return who had the rod of the last fish of a name; None where no name of a fish was said."""
    if fish.species is None:
        return None
    return Subject(_ANGLER_IS.format(who), replace(fish, order=fish.order or "last"))


def _told(line: Line, verb: Sign, named: _Named) -> Subject | None:
    """Return what is said behind the verb; None where the name alone is no fish: "blue was the water"."""
    if verb.end >= line.lattice.size or not (named.is_definite or named.has_noun):
        return None
    led = any(s[:2] == (_TABLE, "definite") and s.start < verb.start for s in line.signs)
    if verb.name == "is" and not (named.has_noun or led):
        return None  # "skippy, it's a skipjack", "mahi's on"
    rest = line.text[line.tokens[verb.end].start :]
    return Subject(f"{_AS_OF[verb.name]} {rest}", named.as_fish(verb.name == "is"))


def _whose_it_was(
    line: Line, at: int, known: Collection[str], crew: Collection[str], speaker: str
) -> str | None:
    """Return who caught a fish, where that is all that is said: "caught by Ana", "mine, Ana"; else None."""
    size = line.lattice.size
    by = line.at(at, _TABLE, "caught_by") if at < size else None
    if by is not None and by.end < size:
        return name_at(line, by.end, known, crew) if by.end == size - 1 else None
    mine = line.at(at, _TABLE, "mine") if at < size else None
    if mine is None or not speaker:
        return None
    told = name_at(line, mine.end, known, crew) if mine.end == size - 1 else None
    return told if told is not None else speaker if mine.end == size else None


def _verb(line: Line, at: int, named: _Named, made: Sign | None) -> Sign | None:
    """Return the verb at a word: of "change A to B" it is the "to"."""
    if made is not None:
        sure = named.slots.keys() & {"clock", "angler"} or named.has_noun
        to = line.at(at, _TABLE, "into")
        return to._replace(name="make") if sure and to is not None else None
    there = [s for s in line.signs if s.table == "about_is" and s.start == at and s.cost == 0]
    return max(there, key=lambda sign: sign.end, default=None)


def _read(
    line: Line, at: int, named: _Named, known: Collection[str], crew: Collection[str], speaker: str
) -> int | None:
    """Read the next piece of a name; return where it ends, None where a word is no part of one."""
    if (end := _person(line, at, named, known, crew, speaker)) is not None:
        return end
    signs = [
        s
        for s in line.signs
        if s.start == at and s.cost == 0 and (s.table in _SLOTS or s.table == _TABLE)
        and s.name not in _APART
    ]  # fmt: skip
    clock = _clock(line, at)
    best = max(signs, key=lambda sign: (sign.end, sign.table in _SLOTS), default=None)
    if clock is not None and (best is None or clock[1] > best.end):
        named.slots["clock"] = clock[0]
        named.has_noun = True
        return clock[1]
    if best is None:
        return None
    for sign in signs:
        if sign.table == _TABLE and sign.end == best.end:
            named.has_noun |= sign.name == "fish"
            named.is_definite |= sign.name == "definite"
            if sign.name == "tagged":
                named.slots["tagged"] = named.is_definite = True
    if best.table in _SLOTS:
        slot = _SLOTS[best.table]
        if slot in named.slots and named.slots[slot] != best.name:
            return None
        named.slots[slot] = best.name
        named.is_definite |= best.table == "species"
    return best.end


def _clock(line: Line, at: int) -> tuple[str, int] | None:
    """Return a time of day at a word and where it ends; an hour alone only after "at"."""
    when = line.at(at, _TABLE, "when")
    start = when.end if when is not None else at
    if start >= line.lattice.size:
        return None
    found = [c for c in clocks_at(line.lattice, start) if when is not None or not c.hour]
    best = max(found, key=lambda clock: clock.end, default=None)
    return (best.clock, best.end) if best is not None else None


def _person(
    line: Line, at: int, named: _Named, known: Collection[str], crew: Collection[str], speaker: str
) -> int | None:
    """Read whose fish it is; return where that ends, None where nobody is named here."""
    mine = line.at(at, _TABLE, "mine")
    if mine is not None and speaker:
        named.slots["angler"] = speaker
        named.has_noun = named.has_noun or mine.end - mine.start == 1
        return mine.end
    who = name_at(line, at, known, crew)
    if who is None or any(s.start == at and s.table == "name" for s in line.signs):
        return None
    got = line.at(at + 1, _TABLE, "got") if at + 1 < line.lattice.size else None
    end = got.end if got is not None else _possessive(line, at)
    if end is None and who.casefold() in crew and named.slots.get("angler") is None:
        end = at + 1 if at and line.at(at - 1, _TABLE, "by") is not None else None
    if end is None or (got is None and who.casefold() not in crew):
        return None
    named.slots["angler"] = who
    named.has_noun = True
    return end


def _possessive(line: Line, at: int) -> int | None:
    """Return the end of "Sadie's" or "Sadies" where a fish follows; None where "Sadie's" is "Sadie is"."""
    word = line.tokens[at]
    written = line.text[word.start : word.end]
    if at + 1 >= line.lattice.size:
        return None
    after = line.tokens[at + 1]
    owns = line.at(at + 1, _TABLE, "owns") is not None
    contracted = owns and (after.start < word.end or "'" in written)
    end = at + 2 if contracted else at + 1 if word.text.endswith("s") else None
    if end is None or end >= line.lattice.size:
        return None
    follows = [s for s in line.signs if s.start == end and s.cost == 0]
    nouns = {"species", "about_species", "about_is", "about_order", "about_end"}
    if any(s.table in nouns or s[:2] == (_TABLE, "fish") for s in follows):
        return end
    beside = any(s[:2] == (_TABLE, "beside") for s in follows)
    return end if beside and line.at(end, _TABLE, "news") is None else None
