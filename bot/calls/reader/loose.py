"""Words that have a meaning only in the role that the learned reader gives them.

"gun" is a rod where a position is spoken of, "the hat" a lure where only one lure has that word, "metre
thirty" a length. Read freely in any line, such words would make calls out of talk. Pure.
"""

from collections.abc import Iterable, Iterator, Sequence
from typing import Any, Final

from bot.calls.numbers import numbers_at
from bot.calls.reader.measured import FREE, measured_at
from bot.calls.reader.tag_said import tag_said_at
from bot.calls.reader.words import Span, Words

_NEAR: Final = 3
"""Most words between two words of one lure's name."""
_AWAY: Final = 4
"""Most words between "all" and what is left out."""


def loose_at(words: Words, role: str, start: int) -> Iterator[Span]:
    """Yield the values that words from a place on have only in a role."""
    for end, cost, meaning in _listed(words, role, start):
        value: Any = meaning
        if role == "colours":
            value = (meaning,)
        elif role == "count":
            value = int(meaning)
        elif role == "position":
            value = tuple(p.strip() for p in meaning.split(","))
        yield Span(start, end, value, FREE + cost)
    if role == "position":
        yield from _long_or_short(words, start)
        yield from _all_but(words, start)
    elif role == "lure":
        yield from _by_a_word(words, start)
    elif role == "tag":
        yield from tag_said_at(words, start)
    elif role == "clock":
        yield from _clock(words, start)
    elif role == "what":
        for term in words.terms[start].get("{boatword}", ()):
            yield Span(start, term.end, "boat", term.cost)
    else:
        yield from measured_at(words, role, start)


def _listed(words: Words, table: str, start: int) -> Iterator[tuple[int, float, str]]:
    """Yield end, cost and meaning of the words of a table of roles that are said here."""
    lattice, automaton = words.lattice, words.grammar.in_role
    stack = [(automaton.start, start, 0.0)]
    while stack:
        state, node, cost = stack.pop()
        ways = automaton.open(state)
        for word, end, extra in lattice.edges[node] if node < len(lattice.edges) else ():
            if word not in ways or extra:
                continue  # what is put right is read as the grammar has it
            step = automaton.into(ways, word)
            stack.append((step, end, cost + extra))
            if end <= lattice.size:
                yield from (
                    (end, cost + extra, meaning) for kind, meaning in step.accepts if kind == table
                )


def _long_or_short(words: Words, start: int) -> Iterator[Span]:
    """Yield the position that "the short" means after "riggers": the nearest kind that was said."""
    for end, cost, length in _listed(words, "length_of_position", start):
        kind = _kind(words, start, end)
        if kind and f"{length} {kind}" in words.grammar.words["position"]:
            yield Span(start, end, (f"{length} {kind}",), FREE + cost)


def is_kind_alone(words: Words, role: str, start: int, end: int) -> bool:
    """Return whether a run names a kind of line and not which of the two: "the rigger".

    Which one it is has to be asked: the plural, near as it is, would be a guess.
    """
    if role != "position":
        return False
    between = words.grammar.lists["between_names"]
    while start < end and words.tokens[start].text in between:
        start += 1
    return start < end and any(
        stop == end for stop, _, _ in _listed(words, "kind_of_position", start)
    )


def _kind(words: Words, start: int, end: int) -> str:
    """Return the kind of line that is spoken of nearest, in this line or else in the one before."""
    said = _kinds(words, range(start, end))
    if not said and words.before is not None:
        said = [(start, meaning) for _, meaning in _kinds(words.before)[-1:]]
    if not said:
        return ""
    before = [meaning for at, meaning in said if at < start]
    return before[-1] if before else said[0][1]


def _kinds(words: Words, but: Sequence[int] = ()) -> list[tuple[int, str]]:
    return [
        (at, meaning)
        for at in range(len(words.tokens))
        if at not in but
        for _, _, meaning in _listed(words, "kind_of_position", at)
    ]


def _all_but(words: Words, start: int) -> Iterator[Span]:
    """Yield all positions, all but some that are named ("all but the gun"), and the rest of them."""
    every = tuple(words.grammar.words["position"])
    for end, cost, meaning in _listed(words, "all_positions", start):
        some = every
        if meaning == "unnamed":
            named = _named(words, (*range(start), *range(end, len(words.tokens))))
            some = tuple(p for p in every if named and p not in named)
        elif meaning == "named":
            some = tuple(_named(words, range(start))) or _of_kind(words, start, end)
        if some:
            yield Span(start, end, some, FREE + cost)
        if meaning == "all":
            yield from _less_some(words, every, start, end)
    before = range(max(0, start - _AWAY), start)
    if any(m == "all" for at in before for _, _, m in _listed(words, "all_positions", at)):
        yield from _less_some(words, every, start, start)  # "all up but the gun"


def left_over(words: Words, start: int, end: int) -> tuple[str, ...]:
    """Return the positions that are left where "all but" stands before a run, or none."""
    every = tuple(words.grammar.words["position"])
    found = [
        span
        for at in range(max(0, start - _AWAY), start)
        for stop, _, meaning in _listed(words, "all_positions", at)
        if meaning == "all"
        for but in range(stop, start)
        for span in _less_some(words, every, at, but)
        if span.end >= end
    ]
    return max(found, key=lambda span: span.end).value if found else ()


def _less_some(words: Words, every: tuple[str, ...], start: int, at: int) -> Iterator[Span]:
    """Yield what is left of all positions after "but the gun"."""
    for but, cost, _ in _listed(words, "but", at) if at < len(words.tokens) else ():
        for last, named in _named_from(words, but):
            rest = tuple(p for p in every if p not in named)
            if rest:
                yield Span(start, last, rest, cost)


def _named_from(words: Words, at: int) -> Iterator[tuple[int, frozenset[str]]]:
    """Yield end and names of the positions that are said one after another from a place on."""
    named: frozenset[str] = frozenset()
    size = len(words.tokens)
    while at < size:
        found = max(_names_at(words, at), default=None, key=lambda one: one[0])
        if found is not None:
            at, named = found[0], named | frozenset(found[1])
            yield at, named
        elif not any(
            edge.word in words.grammar.lists["between_names"] for edge in words.lattice.edges[at]
        ):
            return
        else:
            at += 1


def _names_at(words: Words, at: int) -> Iterator[tuple[int, tuple[str, ...]]]:
    for term in words.terms[at].get("{position}", ()):
        yield term.end, (str(term.slots[0][1]),)
    for term in words.terms[at].get("{both}", ()):
        yield term.end, tuple(term.slots[0][1])
    for end, _, meaning in _listed(words, "position", at):
        yield end, tuple(p.strip() for p in meaning.split(","))


def _named(words: Words, places: Iterable[int]) -> tuple[str, ...]:
    """Return the positions that are named at some places of a line, in the order said."""
    return tuple(
        dict.fromkeys(p for at in places for _, names in _names_at(words, at) for p in names)
    )


def named_positions(words: Words) -> tuple[str, ...]:
    """Return the positions that are named in a line, loosely too: "the gun"."""
    return _named(words, range(len(words.tokens)))


def _of_kind(words: Words, start: int, end: int) -> tuple[str, ...]:
    """Return the positions of the kind that a line speaks of: both riggers."""
    kind = _kind(words, start, end)
    return tuple(p for p in words.grammar.words["position"] if kind and p.endswith(kind))


def _clock(words: Words, start: int) -> Iterator[Span]:
    """Yield "half six" as 06:30, and 10.40 as a time."""
    token, edges = words.tokens[start].text, words.lattice.edges[start]
    hour, dot, minute = token.partition(".")
    figures = bool(dot) and hour.isdigit() and minute.isdigit() and len(minute) == 2
    if figures and int(hour) < 24 and int(minute) < 60:
        yield Span(start, start + 1, f"{int(hour):02d}:{minute}", FREE)
    for word, at, cost in edges:
        for number in numbers_at(words.lattice, at) if word == "half" else ():
            if number.value in range(1, 13):
                yield Span(
                    start, number.end, f"{int(number.value):02d}:30", FREE + cost + number.cost
                )


def _by_a_word(words: Words, start: int) -> Iterator[Span]:
    """Yield the lure that one of its words identifies: "the hat", "hat of church"."""
    telling, size = words.grammar.telling, len(words.tokens)
    for name, end, cost in _told(words, telling, start):
        yield Span(start, end, name, FREE + cost)
        for at in range(end, min(end + _NEAR, size)):
            for other, last, more in _told(words, telling, at):
                if other == name:
                    yield Span(start, last, name, FREE + cost + more)


def _told(words: Words, telling: Any, at: int) -> Iterator[tuple[str, int, float]]:
    for word, end, cost in words.lattice.edges[at]:
        name = telling.get(word) or telling.get(word.removesuffix("s"))
        if name and end <= words.lattice.size:
            yield name, end, cost
