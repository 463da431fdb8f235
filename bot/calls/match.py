"""Which wordings, phrases and fillers may explain which part of a line, and the cheapest whole.

Every part of a line is explained by something: the wording of an act, a phrase that goes with one
(position, lure, fish, time ...), a filler word, talk, or nothing at all. Each has a cost; the best few
ways through the line are given to `assemble`. Pure.
"""

from collections.abc import Iterator, Mapping, Sequence
from operator import itemgetter
from typing import Any, Final, NamedTuple

from bot.calls.grammar import FILLER, TALK, Cue, Grammar, Lists
from bot.calls.lattice import Lattice
from bot.calls.terms import Slots, Term, Terms, keep, terms
from bot.calls.walking import FilledSlots, are_two_orders, are_two_places, merge_slots, walk

CUE_COST: Final = 0.16
"""Cost of each wording; larger makes fewer calls of a line."""
PHRASE_COST: Final = 0.10
ABOUT_COST: Final = 0.4
"""Cost of the key of a tally that is said outside its wording."""
UNKNOWN_COST: Final = 1.0
"""Cost of a word that nothing explains; larger refuses more talk, and more calls."""
STOP_COST: Final = 0.04
"""Cost of a phrase with a stop inside it: "8, on"."""
BARE_NUMBER_COST: Final = 0.5
WHOLE_REPAIR_COST: Final = 0.25
"""Extra cost where a short answer like "no" was heard as something else."""
MORE_FILLER: Final = 0.3
"""Cost of each further word of a phrase without a meaning, as a share of the first."""
EXCLAIMED_COST: Final = 0.12
"""Extra cost of a word that may be part of an act where it stands between stops: "purple 8, on!"."""
DOING_COST: Final = 0.03
"""Extra cost of a word without a meaning of its own that may be part of an act."""
OPENING_COST: Final = 0.2
"""Cost of a "to" that opens a line: it may be a two."""
ECHO: Final = 3
"""Most letters of a last word that may be a breath or a click."""
ECHO_COST: Final = 0.5
TEXT_REPAIR: Final = 0.5
"""The dearest repair of the words that call for free text."""
LURE_REPAIR: Final = 0.8
"""The dearest repair of a lure that surely "needs" something."""
FILLER_REPAIR: Final = 0.1
"""The dearest repair to a word that means nothing."""
LONE_COST: Final = 0.05
"""Cost of a lure of which only one thing was said."""
LONE_CLEAR_COST: Final = 0.8
PATHS: Final = 8
"""Number of ways through a line that are kept."""

_LOOSE: Final = {
    "{where}": "where", "{side_}": "side", "{lure}": "lure", "{fish}": "fish", "{counted}": "count",
    "{when}": "when", "{weight}": "weight", "{length}": "length", "{tagno}": "tag",
    "{inches}": "lure", "{about}": "about", "{tackle}": "tackle",
}  # fmt: skip
"""Phrases that may stand outside a wording -> their name in a path."""
_PHRASE_LABEL: Final = {
    "side": "{side_}", "count": "{counted}", "where": "{where}", "lure": "{lure}", "fish": "{fish}",
    "when": "{when}", "negated": "{negated}", "damage": "{damage}", "state": "{state}",
    "wave": "{wave}", "reminder": "{reminder}",
}  # fmt: skip


_RENAMED: Final = (
    ("{lure}", "{old}", "old_"), ("{when}", "{ofwhen}", "of_"), ("{where}", "{ofwhere}", "of_"),
    ("{fish}", "{offish}", "of_"),
)  # fmt: skip
"""Phrases with a second meaning -> its name: the lure that comes in, the entry that is meant."""


class Element(NamedTuple):
    """One explained part of a line."""

    kind: str
    """`cue`, `filler`, `unknown`, `negated` ("not the long corner"), or the name of a phrase."""
    start: int
    end: int
    cost: float
    slots: Slots = ()
    cue: Cue | None = None
    repair: float = 0.0
    """Cost of the repairs in it."""


class Path(NamedTuple):
    """One way through a line."""

    cost: float
    elements: tuple[Element, ...]
    talk: int = 0
    """Signs of talk that no wording takes in."""


class Plain(NamedTuple):
    """What is known of a line as it was heard, whatever repair adds to it."""

    talk: tuple[tuple[int, int], ...]
    """The parts that say it is talk."""
    before: tuple[bool, ...]
    """True for a node with only words that mean nothing before it."""
    behind: tuple[bool, ...]
    """True for a node with only words that mean nothing behind it."""
    stops: tuple[bool, ...]
    """True for a node at a stop or an end of the line."""


def paths(
    lattice: Lattice, grammar: Grammar, plain: Plain | None = None, known: Terms | None = None
) -> tuple[list[Path], Plain]:
    """Return the cheapest ways through a line, best first, and what is known of it as heard.

    `plain` is that of the same line without repairs, where it was looked at before, and `known` are the
    terms of the lattice, where they have been found already.
    """
    found = terms(lattice, grammar) if known is None else [dict(place) for place in known]
    _phrases(lattice, grammar, found)
    matches = [_matched(lattice, grammar, found, n) for n in range(lattice.size)]
    if plain is None:
        plain = Plain(
            _talk(matches), *_idle(lattice, grammar, matches),
            (True, *(t.stop for t in lattice.tokens[1:]), True),
        )  # fmt: skip
    placed = ["{where}" in here for here in found]
    elements = [
        _elements(
            lattice, grammar, found[n], n, matches[n], plain, "{species}" in found[n + 1], placed
        )
        for n in range(lattice.size)
    ]
    ways = _cheapest(lattice, elements)
    if plain.talk:
        ways = [_judged(path, plain.talk, grammar.talk_cost) for path in ways]
        ways.sort(key=itemgetter(0))
    return ways, plain


class _Matches(NamedTuple):
    """What the wordings match from a node on."""

    cues: list[tuple[Cue, int, float, FilledSlots]]
    fillers: list[tuple[int, float]]
    """End and cost of words without meaning."""
    talk: int
    """Where the longest sign of talk ends; 0 where none begins."""


def _matched(lattice: Lattice, grammar: Grammar, found: Terms, start: int) -> _Matches:
    cues: list[tuple[Cue, int, float, FilledSlots]] = []
    fillers: list[tuple[int, float]] = []
    talk = 0
    for payload, end, cost, captured in walk(grammar.wordings, lattice, found, start):
        if payload == FILLER:
            if cost <= FILLER_REPAIR:
                fillers.append((end, cost))
        elif payload == TALK:
            if cost <= 0.0:
                talk = max(talk, end)
        else:
            cues.append((payload, end, cost, captured))
    return _Matches(cues, fillers, talk)


def _talk(matches: Sequence[_Matches]) -> tuple[tuple[int, int], ...]:
    """Return the parts of a line that say it is talk, none of them within another."""
    spans = [(start, each.talk) for start, each in enumerate(matches) if each.talk]
    return tuple(
        s for s in spans if not any(o != s and o[0] <= s[0] and s[1] <= o[1] for o in spans)
    )


def _judged(path: Path, talk: Sequence[tuple[int, int]], cost: float) -> Path:
    """Return a way with a charge for every sign of talk that its wordings do not take in whole."""
    signs = sum(1 for span in talk if not any(_takes_in(e, span) for e in path.elements))
    return path._replace(cost=path.cost + cost * signs, talk=signs)


def _takes_in(element: Element, span: tuple[int, int]) -> bool:
    """Return whether a wording, or a longer phrase without meaning, contains a sign of talk."""
    start, end = span
    if element.start > start or element.end < end or element.kind == "unknown":
        return False
    return element.kind != "filler" or element.end - element.start > max(end - start, 1)


def _phrases(lattice: Lattice, grammar: Grammar, found: Terms) -> None:
    for start in reversed(range(lattice.size)):
        fresh: list[tuple[str, Term]] = []
        for name, end, cost, captured in walk(grammar.phrases, lattice, found, start):
            slots = () if name == "negated" else merge_slots(captured)
            if name == "lure":
                cost += _thin(slots)
            if name in ("damage", "state", "wave", "reminder"):
                slots = (("text", (start, end)),)
            fresh.append((_PHRASE_LABEL[name], Term(end, cost, slots)))
        for label, term in fresh:
            keep(found[start], label, term)
        for label, other, prefix in _RENAMED:
            if label in found[start]:
                found[start][other] = [
                    t._replace(slots=tuple((prefix + name, value) for name, value in t.slots))
                    for t in found[start][label]
                    if t.slots
                ]


def _guessed(captured: FilledSlots) -> float:
    """Return the cost of the repairs in the slots of a wording."""
    return sum(t.cost for label, t in captured if label not in _TEXT_LABELS and t.cost > 0.2)


def _is_person(lattice: Lattice, captured: FilledSlots, lists: Lists) -> bool:
    """Return whether "mark" is a man's name here."""
    texts = [t.slots[0][1][0] for label, t in captured if label == "{text}"]
    return any(
        lattice.tokens[n].text in lists["of_person"] and lattice.tokens[n - 1].text in lists["mark"]
        for n in texts
    )


_TEXT_LABELS: Final = ("{text}", "{alltext}", "{worktext}")
_TEXTED: Final = frozenset({"note", "mark", "rework"})


def _trusted(act: str, captured: FilledSlots, repaired: float, start: int) -> bool:
    """Return whether the words before free text were heard well: "nots in sixty fathoms" is no note."""
    texts = [t for label, t in captured if label in _TEXT_LABELS]
    if not texts:
        return True
    others = sum(t.cost for _, t in captured if t not in texts)
    if act == "rework" and repaired <= 0.01:
        return others <= LURE_REPAIR
    one_word = act == "note" and texts[0].slots[0][1][0] <= start + 1
    return repaired + others <= (0.01 if one_word else TEXT_REPAIR)


def _thin(slots: Slots) -> float:
    """Return the cost of a lure of which little was said: a lone "clear" is more often the order."""
    if slots == (("colours", ("clear",)),):
        return LONE_CLEAR_COST
    return LONE_COST if len(slots) == 1 and slots[0][0] != "lure" else 0.0


def _idle(
    lattice: Lattice, grammar: Grammar, matches: Sequence[_Matches]
) -> tuple[tuple[bool, ...], tuple[bool, ...]]:
    """Return whether only words that mean nothing stand before every node, and behind it."""
    size = lattice.size
    steps = [[end for end, cost in each.fillers if cost <= 0.0] for each in matches]
    before, behind = [False] * (size + 1), [False] * (size + 1)
    before[0] = behind[size] = True
    for node in range(size):
        if before[node] and lattice.tokens[node].text not in grammar.lists["leads_on"]:
            for end in steps[node]:
                before[end] = True
    if _echo(lattice, grammar):
        behind[size - 1] = True
    for node in reversed(range(size)):
        behind[node] = behind[node] or any(behind[end] for end in steps[node])
    return tuple(before), tuple(behind)


def _echo(lattice: Lattice, grammar: Grammar) -> bool:
    """Return whether the last word is what a recogniser makes of a breath or a click."""
    if lattice.size < 2:
        return False
    last = lattice.tokens[-1].text
    return len(last) <= ECHO and last.isalpha() and last not in grammar.vocabulary


def _elements(
    lattice: Lattice,
    grammar: Grammar,
    here: Mapping[str, list[Term]],
    start: int,
    matches: _Matches,
    plain: Plain,
    fishy: bool,
    placed: Sequence[bool],
) -> list[Element]:
    """Return what may stand at a node; `fishy` where a fish is named right after its word."""
    best: dict[tuple[Any, ...], Element] = {}
    stops = plain.stops

    def keep(element: Element) -> None:
        key = (element.kind, element.end, element.slots, element.cue)
        if key not in best or element.cost < best[key].cost:
            best[key] = element

    for element in _cued(lattice, start, matches, plain, placed, grammar.lists):
        keep(element)
    for label, listed in here.items():
        kind = _LOOSE.get(label)
        if kind is not None:
            more = ABOUT_COST if kind == "about" else PHRASE_COST
            for term in listed:
                spent = term.cost + more + (STOP_COST if any(stops[start + 1 : term.end]) else 0.0)
                keep(Element(kind, start, term.end, spent, term.slots, None, term.cost))
    for term in here.get("{bare}", ()):
        keep(Element("bare", start, term.end, term.cost + BARE_NUMBER_COST, term.slots))
    for end, cost in matches.fillers:
        spent = cost + _idle_cost(lattice.tokens[start].text, start, end, grammar, stops)
        if (
            fishy
            and end == start + 1
            and lattice.tokens[start].text in grammar.lists["like_digits"]
        ):
            spent += OPENING_COST
        keep(Element("filler", start, end, spent))
    for term in here.get("{negated}", ()):
        keep(Element("negated", start, term.end, term.cost + PHRASE_COST))
    if start == lattice.size - 1 and _echo(lattice, grammar):
        keep(Element("filler", start, start + 1, ECHO_COST))
    soft = lattice.tokens[start].text in grammar.soft
    passed = ("filler", grammar.soft_cost) if soft else ("unknown", UNKNOWN_COST)
    keep(Element(passed[0], start, start + 1, passed[1]))
    return list(best.values())


def _cued(
    lattice: Lattice,
    start: int,
    matches: _Matches,
    plain: Plain,
    placed: Sequence[bool],
    lists: Lists,
) -> Iterator[Element]:
    """Yield the wordings that may stand at a node; `placed` says where positions are named."""
    stops = plain.stops
    for cue, end, cost, captured in matches.cues:
        repaired = cost - sum(term.cost for _, term in captured)
        if cue.act in _TEXTED and not _trusted(cue.act, captured, repaired, start):
            continue
        if cue.act == "mark" and _is_person(lattice, captured, lists):
            continue  # a man called Mark
        if cue.act == "amend" and captured and captured[-1][0] == "{number}" and not stops[end]:
            continue  # "make that two" says all; of "two fish" it would be a part
        if cue.act == "swap" and placed[end] and are_two_orders(lattice, start, end, lists):
            continue  # one line in, and a lure out on another
        if are_two_places(captured):
            continue  # "shotgun shotgun" is a bite, two positions are two
        if cue.whole and repaired > 0.01:
            cost += WHOLE_REPAIR_COST
        if cue.whole and not (plain.before[start] and plain.behind[end]):
            continue
        if cue.opens and not (stops[start] or plain.before[start]):
            continue
        if cue.alone and not (stops[start] and stops[end]):
            continue
        words = min(end - start, 6) + (5 if cue.whole else 0)
        spent = cost + CUE_COST - 0.01 * words
        yield Element(
            "cue", start, end, spent, merge_slots(captured), cue, repaired + _guessed(captured)
        )


def _idle_cost(word: str, start: int, end: int, grammar: Grammar, stops: Sequence[bool]) -> float:
    """Return the cost of words without meaning: more where the first, by itself, may mean something."""
    spent = grammar.filler_cost * (1 + MORE_FILLER * (end - start - 1))
    if end > start + 1:
        return spent
    if stops[start] and word in grammar.lists["like_digits"]:
        spent += OPENING_COST
    if word in grammar.doing:
        spent += EXCLAIMED_COST if stops[start] and stops[end] else DOING_COST
    return spent


def _cheapest(lattice: Lattice, elements: list[list[Element]]) -> list[Path]:
    best: list[list[_Step]] = [[] for _ in range(lattice.size + 1)]
    best[0] = [(0.0, None, None)]
    for node, here in enumerate(elements):
        kept = _pruned(best[node])
        for element in here:
            cost, ahead = element.cost, best[element.end]
            for step in kept:
                ahead.append((step[0] + cost, step, element))
    return [Path(step[0], _way(step)) for step in _pruned(best[lattice.size])]


_Step = tuple[float, Any, Element | None]
"""Cost so far, the step before, and the part between them."""


def _pruned(found: list[_Step]) -> list[_Step]:
    found.sort(key=itemgetter(0))
    return found[:PATHS]


def _way(step: _Step) -> tuple[Element, ...]:
    """Return the parts of a way from its last step."""
    elements: list[Element] = []
    while step[2] is not None:
        elements.append(step[2])
        step = step[1]
    return tuple(reversed(elements))
