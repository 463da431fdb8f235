"""Walk templates over a lattice: where they match, at what cost, and what fills their slots. Pure."""

from collections.abc import Mapping
from typing import Any, Final

from bot.calls.automaton import Automaton, State
from bot.calls.lattice import Lattice
from bot.calls.terms import Slots, Term, Terms

DEAREST: Final = 2.0
"""Cost of repairs within one template beyond which it is not followed."""

FilledSlots = tuple[tuple[str, Term], ...]
"""Slots of a template, in the order said, with what fills each."""


def walk(
    automaton: Automaton[Any],
    lattice: Lattice,
    found: Terms,
    start: int,
    dearest: float = DEAREST,
) -> list[tuple[Any, int, float, FilledSlots]]:
    """Return every template that matches from a node on: payload, end, cost, captured terms."""
    matches: list[tuple[Any, int, float, FilledSlots]] = []
    stack: list[tuple[State[Any], int, float, FilledSlots]]
    stack = [(automaton.start, start, 0.0, ())]
    size, edges, into = len(lattice.tokens), lattice.edges, automaton.into
    while stack:
        state, node, cost, captured = stack.pop()
        words = state.words
        if words is None:
            words = automaton.open(state)
        if node <= size:
            if node != start:
                for payload in state.accepts:
                    matches.append((payload, node, cost, captured))
            if state.slots and node < size:
                slots, here = state.slots, found[node]
                for label in slots if len(slots) < len(here) else here:
                    if label not in slots or label not in here:
                        continue
                    for term in here[label]:
                        spent = cost + term.cost
                        if spent <= dearest:
                            more = (*captured, (label, term))
                            stack.append((into(slots, label), term.end, spent, more))
        if words:
            for word, end, extra in edges[node]:
                if word in words:
                    spent = cost + extra
                    if spent <= dearest:
                        after = words[word]
                        if not isinstance(after, State):
                            after = into(words, word)
                        stack.append((after, end, spent, captured))
    return matches


def merge_slots(captured: FilledSlots) -> Slots:
    """Join the slots of captured terms; the first of a name stays, colours add up."""
    slots: dict[str, Any] = {}
    for _, term in captured:
        for name, value in term.slots:
            if name == "colours" and name in slots:
                slots[name] = (*slots[name], *value)
            else:
                slots.setdefault(name, value)
    return tuple(slots.items())


def are_two_orders(
    lattice: Lattice, start: int, end: int, lists: Mapping[str, frozenset[str]]
) -> bool:
    """Return whether what looks like a change of lures is two orders: a position follows.

    "clear the long corner and put the purple eight on | the shotgun": what goes out goes out there.
    """
    words = [token.text for token in lattice.tokens[start:end]]
    after = lattice.tokens[end].text if end < lattice.size else ""
    put_on = not lists["on"].isdisjoint((words[-1], after))
    return put_on and all(not lists[name].isdisjoint(words) for name in ("and", "going_out"))


def are_two_places(captured: FilledSlots) -> bool:
    """Return whether two positions, shouted one after the other, differ."""
    if len(captured) != 2 or any(label != "{where}" for label, _ in captured):
        return False
    one, two = (dict(term.slots) for _, term in captured)
    return one.get("position") != two.get("position") or "position" not in one
