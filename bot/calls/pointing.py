"""Words that point ("the other rigger", "all but the shotgun", "put it back") to what they point at.

A line is rewritten with the positions and lures that are meant, and read like any other. What cannot be
told from the trip is left as it was said. Pure.
"""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from bot.calls.grammar import Grammar
from bot.calls.grammar_text import alternatives
from bot.calls.pointed import (
    Referents,
    back_in_place,
    but_the_fish,
    named_places as _named,
    resolve_bite,
    resolve_lures,
    same_line,
)
from bot.calls.reader.labels import BITE, SAID_AGAIN
from bot.calls.times import with_colon, with_hour
from bot.trip.acts import BITES, LAYING, MISSED


def resolve_pointing(line: str, grammar: Grammar, place: Referents) -> str:
    """Return a line with what its words point at; the unchanged line where that is not known.

    Lures are in it by their whole names.
    """
    table = _patterns(tuple(sorted(grammar.pointing.items())))
    line = with_colon(line, grammar.pointing.get("timed", ()))
    low = line.lower().replace("\u2019", "'")
    timed = with_hour(low, grammar.pointing, place.now) if len(low) == len(line) else None
    if timed is not None:
        line = low = timed
    if not table or len(low) != len(line) or len(low.split()) > _MOST_WORDS:
        return line
    steps = (
        _listed_for_a_tray, _back, _compared, _cleaned, _boxed, _swapped, _all_but, _the_rest, _same_again,
        _other, _by_length, _by_half, _that_one, _put_back, _put_there, _swap_it, _with_fish_on, _of_lures,
        _bitten,
    )  # fmt: skip
    low = but_the_fish(low, grammar, place) or low
    for step in steps:
        found = step(low, table, grammar, place)
        if found is not None:
            low = found
    return low if low != line.lower() else line


_MOST_WORDS: Final = 16
_KIND_OF: Final = {"flat": "corner", "outrigger": "rigger"}


@dataclass(frozen=True, slots=True)
class _Table:
    other: re.Pattern[str]
    but: re.Pattern[str]
    rest: re.Pattern[str]
    swap: re.Pattern[str]
    swap_named: re.Pattern[str]
    back: re.Pattern[str]
    back_one: re.Pattern[str]
    back_all: re.Pattern[str]
    same: re.Pattern[str]
    that: re.Pattern[str]
    length: re.Pattern[str]
    half: re.Pattern[str]
    clean: re.Pattern[str]
    there: re.Pattern[str]
    swap_it: re.Pattern[str]
    kind: re.Pattern[str]
    held: re.Pattern[str]
    tray: re.Pattern[str]
    boxed: re.Pattern[str]
    place: re.Pattern[str]
    better: re.Pattern[str]
    of_rod: re.Pattern[str]
    landed: re.Pattern[str]
    tallies: str
    of_fish: frozenset[str]
    too: frozenset[str]


@lru_cache(maxsize=4)
def _patterns(pointing: tuple[tuple[str, tuple[str, ...]], ...]) -> _Table | None:
    words = dict(pointing)
    if not words:
        return None

    def any_of(name: str) -> str:
        return f"(?:{alternatives(words[name])})"

    turned = f"(?: {any_of('turned')})*"
    return _Table(
        other=re.compile(rf"\b{any_of('other')} ({any_of('kinds')})s?\b"),
        but=re.compile(rf"\b{any_of('but')}\b(?: for)?"),
        rest=re.compile(rf"\b(?P<kept>{any_of('kept_as_is')} )?{any_of('rest')}\b"),
        swap=re.compile(rf"\b{any_of('swap')} {any_of('pair')}{turned}\b(?! {any_of('people')}\b)"),
        swap_named=re.compile(
            rf"\b{any_of('swap')} (?:the |both )(?:the )?(corners|flats|riggers|outriggers){turned}\s*[.!]*$"
        ),
        back=re.compile(rf"\b{any_of('back')}\b"),
        back_one=re.compile(rf"\b{any_of('lay')}\b.*\b{any_of('one')}\b"),
        back_all=re.compile(rf"\b{any_of('all')}\b"),
        same=re.compile(rf"\b{any_of('same')}\b"),
        that=re.compile(rf"(?:\b{any_of('led')} |^)({any_of('that')})\b"),
        length=re.compile(rf"\b(?:the )?({any_of('lengths')}) {any_of('ones')}\b"),
        half=re.compile(
            rf"(?:\b(?:on|off|at) (?:the )?|^the |^)({any_of('lengths')})"
            rf"(?=\s*(?:[,.!?;]|$)|'s\b| (?:is|has|and|too)\b)"
        ),
        clean=re.compile(
            rf"(?:{any_of('too')},? )*(?:{any_of('who')} )*{any_of('clean')}(?: {any_of('too')})*\s*[.!]*"
        ),
        there=re.compile(
            rf"(?P<what>.*\b(?:{any_of('lay')}|{any_of('goes')})\b.*?) {any_of('there')}"
            rf"(?P<end>(?: {any_of('after')})*\s*[.!]*)"
        ),
        kind=re.compile(rf"\bthe ({any_of('halves')})\b(?!-)"),
        held=re.compile(rf"\b{any_of('held')}\b"),
        swap_it=re.compile(rf"({any_of('swap')}) ({any_of('one')}) {any_of('for')}\b"),
        tray=re.compile(rf"{any_of('lay')}\b.*\b{any_of('tray')}\b"),
        boxed=re.compile(rf"(?:the )?(?P<lure>.+?)(?:'s)? {any_of('boxed')}(?: {any_of('too')})*\s*[.!]*"),
        place=re.compile(
            rf"(?:{any_of('too')},? )*(?P<what>[\w' -]+?),? {any_of('in_place')}"
            rf"(?: {any_of('after')})*\s*[.!]*"
        ),
        better=re.compile(
            rf"{any_of('whether')} (?P<one>\w+(?: \w+)?) {any_of('better')} (?P<other>\w+(?: \w+)?)\s*[?.!]*"
        ),
        of_rod=re.compile(rf"\b{any_of('of_rod')}\b"),
        landed=re.compile(rf"(?:'s| {any_of('has_it')})? {any_of('landed')}\b"),
        tallies=words["compared"][0],
        of_fish=frozenset(words["of_fish"]),
        too=frozenset(words["too"]),
    )  # fmt: skip


def _listed(names: Iterable[str]) -> str:
    return " and ".join(f"the {name}" for name in names)


def _all_but(low: str, table: _Table, grammar: Grammar, place: Referents) -> str | None:
    found = table.but.search(low)
    if found is None:
        return None
    kept = _named(low[found.end() :], grammar)
    left = [p for p, _ in place.out if p not in {name for name, _, _ in kept}]
    if not kept or not left:
        return None
    return low[: found.start()] + _listed(left) + low[found.end() + kept[-1][2] :]


def _the_rest(low: str, table: _Table, grammar: Grammar, place: Referents) -> str | None:
    found = table.rest.search(low)
    if found is None or found["kept"]:
        return None
    named = [name for name, _, _ in _named(low, grammar)] or list(place.together)
    left = [p for p, _ in place.out if p not in named]
    if not named or not left:
        return None
    return low[: found.start()] + _listed(left) + low[found.end() :]


def _put_there(low: str, table: _Table, grammar: Grammar, place: Referents) -> str | None:
    """Return "put the screen door there" with the line that was spoken of last, an empty one first."""
    found = table.there.fullmatch(low)
    if found is None:
        return _in_its_place(low, table, grammar, place)
    if _named(low, grammar):
        return None
    what = found["what"]
    asked, _, lay = what.rpartition(", ")
    spoken_of = [line for line, lure in place.out if asked and lure.casefold() in asked]
    lines = [*spoken_of, *(position for position, _ in place.up), *place.mentioned]
    return f"{lay if spoken_of else what} on the {lines[0]}{found['end']}" if lines else None


def _in_its_place(low: str, table: _Table, grammar: Grammar, place: Referents) -> str | None:
    """Return "old plug in its place" as put out on the empty line that was spoken of last."""
    found = table.place.fullmatch(low.strip())
    out = dict(place.out)
    empty = [line for line in (*(p for p, _ in place.up), *place.mentioned) if line not in out]
    if found is None or not empty or _named(low, grammar) or " and " in found["what"]:
        return None
    return f"put {found['what']} on the {empty[0]}"


def _swap_it(low: str, table: _Table, grammar: Grammar, place: Referents) -> str | None:
    """Return "swap it for the pink" as that of the line that was spoken of last, if a lure is out there."""
    found = table.swap_it.match(low)
    lines = [line for line in place.mentioned[:1] if line in dict(place.out)]
    if found is None or not lines or _named(low, grammar):
        return None
    return f"{found[1]} the {lines[0]}{low[found.end(2) :]}"


def _of_lures(low: str, _: _Table, grammar: Grammar, place: Referents) -> str | None:
    return resolve_lures(low, grammar, place.out, place.last)


def _back(low: str, _: _Table, grammar: Grammar, place: Referents) -> str | None:
    return None if _named(low, grammar) else back_in_place(low, grammar, place)


def _bitten(low: str, _: _Table, grammar: Grammar, place: Referents) -> str | None:
    if _named(low, grammar):
        return None
    return resolve_bite(low, grammar, place) or same_line(low, grammar, place)


def _with_fish_on(low: str, table: _Table, grammar: Grammar, place: Referents) -> str | None:
    """Return "Ben on the corner" with the corner that has a fish on, where just one has."""
    named = {name for name, _, _ in _named(low, grammar)}
    if not place.on or (named and table.held.search(low) is None):
        return None
    line = low
    for found in reversed(list(table.kind.finditer(low))):
        word = _KIND_OF.get(found[1], found[1])
        fits = [p for p in place.on if word in p.split() and p not in named]
        if len(fits) != 1:
            return None
        line = f"{line[: found.start()]}the {fits[0]}{line[found.end() :]}"
    return line if line != low else None


_PARTNER: Final = {
    "short corner": "long corner", "long corner": "short corner",
    "short rigger": "long rigger", "long rigger": "short rigger",
}  # fmt: skip


def _other(low: str, table: _Table, grammar: Grammar, place: Referents) -> str | None:
    found = table.other.search(low)
    if found is None:
        return None
    kind = _KIND_OF.get(found[1], found[1])
    named = [name for name, _, _ in _named(low[: found.start()], grammar)]
    before = [*reversed(named), *place.mentioned]
    if kind in table.of_fish and place.unplaced:
        return None
    if kind in table.of_fish and place.on:
        if any(name not in place.on for name, _, _ in _named(low[found.end() :], grammar)):
            return None  # "the other one hit the shotgun" is on no line yet
        on = [line for line in place.on if line not in before[: len(place.on) > 1]]
        landed = table.landed.match(low[found.end() :])
        meant = f"the {on[0]}{' fish' if landed else ''}" if len(on) == 1 else ""
        return low[: found.start()] + meant + low[found.end() :] if meant else None
    last = next(
        (
            p
            for p in before
            if p in _PARTNER and (p.endswith(kind) or kind not in ("corner", "rigger"))
        ),
        None,
    )
    if last is None:
        return None
    meant = f"the {_PARTNER[last]}"
    line = low[: found.start()] + meant + low[found.end() :]
    rest = re.findall(r"[a-z']+", low[: found.start()] + low[found.end() :])
    if all(w in table.too for w in rest) and place.last in SAID_AGAIN and "?" not in low:
        return SAID_AGAIN[place.last].format(meant)
    return line


def _by_length(low: str, table: _Table, grammar: Grammar, place: Referents) -> str | None:
    """Return a line with "the long one" as the long rigger, where riggers were spoken of."""
    found = table.length.search(low)
    if found is None:
        return None
    named = [name for name, _, _ in _named(low[: found.start()], grammar)]
    last = next((p for p in (*reversed(named), *place.mentioned) if p in _PARTNER), None)
    if last is None:
        return None
    kind = last.split()[-1]
    meant = f"the {found[1]} {kind}"
    rest = re.findall(r"[a-z']+", low[: found.start()] + low[found.end() :])
    if all(w in table.too for w in rest) and place.last in SAID_AGAIN:
        return SAID_AGAIN[place.last].format(meant)
    return low[: found.start()] + meant + low[found.end() :]


def _by_half(low: str, table: _Table, grammar: Grammar, place: Referents) -> str | None:
    """Return "solid on the short" with the short line that was spoken of, where it was only one."""
    found = table.half.search(low)
    if found is None or _named(low, grammar):
        return None
    spoken_of = [p for p in dict.fromkeys((*place.mentioned, *place.on)) if p.startswith(found[1])]
    if len(spoken_of) != 1:
        return None
    return low[: found.start(1)] + spoken_of[0] + low[found.end(1) :]


def _that_one(low: str, table: _Table, grammar: Grammar, place: Referents) -> str | None:
    found = table.that.search(low)
    if found is None or not place.mentioned or _named(low, grammar) or table.back.search(low):
        return None
    line = place.mentioned[0]
    if table.of_rod.search(low) and len(place.on) == 1:
        line = place.on[0]  # whoever asks for the drag in a fight means that rod
        return f"{low[: found.start(1)]}the {line}{low[found.end() :]}"
    meant = f"the fish on the {line}" if line in place.on else f"the {line}"
    return low[: found.start(1)] + meant + low[found.end() :]


def _listed_for_a_tray(low: str, table: _Table, _: Grammar, __: Referents) -> str | None:
    """Return a list of lures that go into a tray with "and" between all of them."""
    if "," not in low or table.tray.match(low) is None:
        return None
    return re.sub(r"\s*,\s*(?:and\s+)?", " and ", low)


def _compared(low: str, table: _Table, _: Grammar, __: Referents) -> str | None:
    """Return the question whether one thing is better than another as that for the tallies of both."""
    found = table.better.fullmatch(low.strip())
    return None if found is None else table.tallies.format(found["one"], found["other"])


def _cleaned(low: str, table: _Table, _: Grammar, place: Referents) -> str | None:
    """Return that the lines with weed on were brought in and went out again with the same lure."""
    if not place.weedy or table.clean.fullmatch(low.strip()) is None:
        return None
    cleared = [f"clear {line}" for line, _ in place.weedy]
    return ", ".join((*cleared, *(f"set {line} {lure}" for line, lure in place.weedy)))


def _boxed(low: str, table: _Table, _: Grammar, place: Referents) -> str | None:
    """Return that the line of a lure that is put away was brought in."""
    found = table.boxed.fullmatch(low.strip())
    lines = [line for line, lure in place.out if found and lure.casefold() == found["lure"].strip()]
    return f"clear {lines[0]}" if len(lines) == 1 else None


def _swapped(low: str, table: _Table, _: Grammar, place: Referents) -> str | None:
    pair: Sequence[str] = ()
    if named := table.swap_named.search(low):
        kind = "corner" if named[1] in ("corners", "flats") else "rigger"
        found: re.Match[str] | None = named
        pair = (f"short {kind}", f"long {kind}")
    else:
        found = table.swap.search(low)
        pair = place.together if len(place.together) == 2 else place.mentioned[:2]
    lures = dict(place.out)
    if found is None or len(pair) != 2 or any(p not in lures for p in pair):
        return None
    one, two = pair
    said = f"swap the {one} to the {lures[two]} and swap the {two} to the {lures[one]}"
    return low[: found.start()] + said + low[found.end() :]


def _same_again(low: str, table: _Table, grammar: Grammar, place: Referents) -> str | None:
    found = table.same.search(low)
    if found is None or not place.last:
        return None
    named = _named(low, grammar)
    if place.last in LAYING:
        if not place.laid:
            return None
        if not named and not table.other.search(low):
            return None
        verb = (
            ""
            if re.search(r"\b(?:put|run|set|send|stick|swap|change)\b", low[: found.start()])
            else "put "
        )
        return low[: found.start()] + f"{verb}the {place.laid}" + low[found.end() :]
    if place.last in BITES | MISSED and place.mentioned:
        pointed = named or table.other.search(low) or table.that.search(low[found.end() :])
        where = "" if pointed else f" on the {place.mentioned[0]}"
        missed = " missed him" if place.last in MISSED else ""
        return low[: found.start()] + BITE + where + low[found.end() :] + missed
    return None


def _put_back(low: str, table: _Table, grammar: Grammar, place: Referents) -> str | None:
    if not table.back.search(low) or not place.up or _named(low, grammar):
        return None
    if table.back_one.search(low) or (len(place.up) == 1 and low.split()[:1] == ["putting"]):
        lines = place.up[:1]
    elif table.back_all.search(low) and len(place.up) > 1:
        lines = place.up
    else:
        return None
    return " and ".join(
        f"put the {lure} back on the {p}" if lure else f"put the {p} back out" for p, lure in lines
    )
