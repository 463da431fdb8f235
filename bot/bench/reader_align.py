"""Labelled lines to tags for each word: where in a line each call and each slot is said.

The labels of a corpus say what a line means, not which words say it; this finds them. Pure.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from bot.bench.corpus import plain_text, same_value
from bot.calls.reader.decode import Tag
from bot.calls.reader.labels import ACT_QUALIFIERS, BAIT, NO_ACT, NO_ROLE, SHARED_SLOTS, act_label
from bot.calls.reader.measured import FREE
from bot.calls.reader.values import WORD_ROLES, name_in, raw_text, singular_kind, spans
from bot.calls.reader.words import Span, Words

Call = Mapping[str, Any]
_INSIDE: Final = 2.0
"""What a slot said inside a segment adds to its score."""
_STOPS: Final = 1.5
_JOINS: Final = 1.0
_BARE: Final = -0.6
"""What a boundary adds where a stop, a word that joins, or neither stands."""
_JOINING: Final = frozenset("and then also but plus".split())


@dataclass(frozen=True, slots=True)
class Alignment:
    """Tags of a line, and whether every slot was found in its words."""

    tags: tuple[Tag, ...]
    whole: bool


@dataclass(frozen=True, slots=True)
class _Group:
    """Calls that share their words: "strike short corner and long rigger"."""

    label: str
    slots: tuple[tuple[str, Any], ...]
    positions: tuple[str, ...]


_Options = list[tuple[str, list[Span]]]


def align(words: Words, calls: Sequence[Call], scores: Any = None) -> Alignment | None:
    """Return tags of a labelled line, or None where its calls cannot be laid over its words.

    `scores` may give the log probability of an act for each word: `scores(word, label)`.
    """
    size = len(words.tokens)
    if not calls:
        return Alignment(tuple(Tag(NO_ACT, False, NO_ROLE) for _ in range(size)), True)
    groups = _groups(calls)
    if not size or len(groups) > size:
        return None
    options = [_options(words, group) for group in groups]
    found = _laid(words, groups, options, scores)
    if not found.whole:
        for fewer in _said_once(groups, options):
            better = _laid(words, groups, fewer, scores)
            if better.whole:
                return better
    return found


def _laid(
    words: Words, groups: Sequence[_Group], options: Sequence[_Options], scores: Any
) -> Alignment:
    """Return the tags of calls where each is said, as well as they can be laid."""
    bounds = _segmented(words, groups, options, scores)
    tags: list[Tag] = []
    whole = True
    for group, found, start, end in zip(groups, options, bounds[:-1], bounds[1:], strict=True):
        roles, complete = _roles(found, group, start, end)
        whole = whole and complete
        tags += [Tag(group.label, at == start, roles.get(at, NO_ROLE)) for at in range(start, end)]
    return Alignment(tuple(tags), whole)


def _said_once(
    groups: Sequence[_Group], options: Sequence[_Options]
) -> Iterator[Sequence[_Options]]:
    """Yield options where what calls of one act share is asked of the last of them only, or the first."""
    for step in (1, -1):
        fewer = list(options)
        for n, group in enumerate(groups):
            slot, other = SHARED_SLOTS.get(group.label), n + step
            if slot and 0 <= other < len(groups) and groups[other].label == group.label:
                mine, its = (dict(g.slots).get(slot) for g in (group, groups[other]))
                if mine == its:
                    fewer[n] = [o for o in options[n] if o[0] != slot]
        yield fewer


def _groups(calls: Sequence[Call]) -> list[_Group]:
    groups: list[_Group] = []
    for call in calls:
        slots = {k: v for k, v in call.items() if k not in ("act", "position")}
        label = act_label(str(call["act"]), slots)
        rest = tuple(
            (k, tuple(v) if isinstance(v, list) else v)
            for k, v in slots.items()
            if k != ACT_QUALIFIERS.get(str(call["act"]))
        )
        position = call.get("position")
        last = groups[-1] if groups else None
        if last and last.label == label and last.slots == rest and position and last.positions:
            groups[-1] = _Group(label, rest, (*last.positions, position))
        else:
            groups.append(_Group(label, rest, (position,) if position else ()))
    return groups


def _options(words: Words, group: _Group) -> _Options:
    """Return for each slot of a group the places where it may be said."""
    found: _Options = []
    if group.positions:
        wanted = set(group.positions)
        said = [s for s in spans(words, "position") if set(s.value) <= wanted]
        found.append(("position", said))
    tag = any(k == "tag" for k, _ in group.slots)
    for slot, value in group.slots:
        if slot == "tagged":
            if not tag:
                found.append((slot, _tag_words(words)))
        elif slot in WORD_ROLES:
            found.append((slot, _said(words, str(value), slot)))
        elif slot == "tackle" and isinstance(value, dict):
            found.append((slot, _equal(words, slot, value["line_class_kg"])))
        else:
            said = _equal(words, slot, value)
            if not said and slot == "species" and group.label == BAIT:
                said = _kind(words, str(value))
            found.append((slot, said))
    return found


def _kind(words: Words, value: str) -> list[Span]:
    """Return where a kind of bait is said that the grammar does not know."""
    size = len(words.tokens)
    each = ((a, b) for a in range(size) for b in range(a + 1, min(size, a + 3) + 1))
    return [Span(a, b, value, 0.0) for a, b in each if singular_kind(words, a, b) == value][:1]


def _equal(words: Words, slot: str, value: Any) -> list[Span]:
    """Return where a value is said; where it is so nowhere, what a writer may have made this value of."""
    said = list(spans(words, slot))
    same = [s for s in said if same_value(slot, value, s.value)]
    if slot in ("colours", "old_colours") and not same:
        same = [s for s in said if set(s.value) < set(value)]
    return same or [
        s._replace(cost=s.cost + _NEARLY)
        for s in said
        if _alike(slot, value, s.value)
        or (slot == "species" and _alike(slot, value, plain_text(raw_text(words, s.start, s.end))))
    ]


def _alike(slot: str, want: Any, said: Any) -> bool:
    """Return whether a label may come of what is said: rounded, of another unit, of the other half day."""
    if slot == "tag":
        return bool(want.casefold() == said.casefold())
    if slot == "clock":
        return bool(want[2:] == said[2:] and (int(want[:2]) - int(said[:2])) % 12 == 0)
    if slot == "species":
        return want in said or said in want
    if slot == "about":
        return {want, said} == {"angler", "crew"}  # by the question that is asked
    if isinstance(want, int | float) and isinstance(said, int | float):
        return any(abs(said * f - want) <= _ROUNDED * abs(want) for f in _FACTORS.get(slot, (1.0,)))
    return False


_NEARLY: Final = 0.3
"""Cost of a value that is not as the label has it."""
_ROUNDED: Final = 0.03
_FACTORS: Final = {
    "weight_kg": (1.0, 0.45359237), "drag_kg": (1.0, 0.45359237), "length_cm": (1.0, 2.54, 30.48),
    "size_in": (1.0, 0.3937, 12.0),
}  # fmt: skip
"""What a bare number may be in: the unit of what was spoken of before."""


def _tag_words(words: Words) -> list[Span]:
    return [
        Span(n, n + 1, True, float(t.text[:3] != "tag"))
        for n, t in enumerate(words.tokens)
        if t.text.startswith(("tag", "tac", "ticket", "marked")) or t.text in ("t", "card")
    ]


def _said(words: Words, value: str, slot: str) -> list[Span]:
    wanted, size = plain_text(value), len(words.tokens)
    found = []
    for a in range(size):
        for b in range(a + 1, size + 1):
            said = name_in(words, a, b) if slot == "angler" else raw_text(words, a, b)
            if plain_text(said) == wanted:
                found.append(Span(a, b, value, 0.0))
            if len(said) > len(value) + 8:
                break
    if slot == "angler" and not found:
        found = [
            Span(n, n + 1, value, 0.5)
            for n, token in enumerate(words.tokens)
            if token.text.rstrip("s") == wanted or _bones(token.text) == _bones(wanted + "s")
        ]
    if slot == "angler" and not found:
        found = [
            Span(n, n + 1, value, 0.9)
            for n, token in enumerate(words.tokens)
            if token.text in ("i", "me", "mine", "my")
        ]
    return sorted(found, key=lambda s: s.end - s.start)[:1]


def _bones(text: str) -> str:
    """Return a word as thumbs in a hurry write it, without vowels."""
    return text[:1] + "".join(c for c in text[1:] if c not in "aeiou")


def _segmented(
    words: Words, groups: Sequence[_Group], options: Sequence[_Options], scores: Any
) -> list[int]:
    """Return where each group begins, and the end: the division that says most."""
    size, count = len(words.tokens), len(groups)
    best = [[float("-inf")] * (size + 1) for _ in range(count + 1)]
    back = [[0] * (size + 1) for _ in range(count + 1)]
    best[0][0] = 0.0
    for k, group in enumerate(groups):
        for end in range(k + 1, size + 1):
            for start in range(k, end):
                if best[k][start] == float("-inf"):
                    continue
                gain = best[k][start] + _boundary(words, start)
                gain += _inside(options[k], start, end)
                if scores is not None:
                    gain += sum(scores(at, group.label) for at in range(start, end))
                if gain > best[k + 1][end]:
                    best[k + 1][end], back[k + 1][end] = gain, start
    bounds = [size]
    for k in range(count, 0, -1):
        bounds.append(back[k][bounds[-1]])
    return bounds[::-1]


def _inside(options: _Options, start: int, end: int) -> float:
    return _INSIDE * sum(
        any(start <= s.start and s.end <= end for s in found) for _, found in options
    )


def _boundary(words: Words, at: int) -> float:
    if at == 0:
        return 0.0
    token = words.tokens[at]
    if token.stop:
        return _STOPS
    return _JOINS if token.text in _JOINING else _BARE


def _roles(options: _Options, group: _Group, start: int, end: int) -> tuple[dict[int, str], bool]:
    roles: dict[int, str] = {}
    whole = True
    for slot, found in sorted(options, key=lambda o: (o[0] not in WORD_ROLES, len(o[1]))):
        inside = sorted(
            (s for s in found if start <= s.start and s.end <= end),
            key=lambda s: (s.cost, s.start - s.end if slot != "text" else 0),
        )
        free = [s for s in inside if not any(at in roles for at in range(s.start, s.end))]
        kept = list(_needed(free)) if slot in _IN_PARTS else free[:1]
        whole = whole and bool(kept)
        if slot in _IN_PARTS:
            wanted = group.positions if slot == "position" else dict(group.slots)[slot]
            whole = whole and {part for span in kept for part in span.value} == set(wanted)
        for span in kept:
            for at in range(span.start, span.end):
                roles.setdefault(at, slot)
    return roles, whole


_IN_PARTS: Final = frozenset({"position", "colours", "old_colours"})
"""Slots that may be said in several places."""


def _needed(found: Sequence[Span]) -> Iterator[Span]:
    """Yield what is said plainly, and of the rest what says more; nothing twice."""
    said: set[Any] = set()
    taken: set[int] = set()
    for span in found:
        places = set(range(span.start, span.end))
        if taken & places or (span.cost >= FREE and set(span.value) <= said):
            continue
        said |= set(span.value)
        taken |= places
        yield span
