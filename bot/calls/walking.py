"""Templates walked over a lattice: where they match, how dear, and what their slots took in. Pure."""

from collections.abc import Iterator
from typing import Any, Final

from bot.calls.automaton import Automaton
from bot.calls.lattice import Lattice
from bot.calls.terms import Slots, Term, Terms

DEAREST: Final = 2.0
"""Repairs within one template that are followed no further."""

Captured = tuple[tuple[str, Term], ...]
"""Slots of a template, in the order said, and what each took in."""


def walk(
    automaton: Automaton[Any],
    lattice: Lattice,
    found: Terms,
    start: int,
    dearest: float = DEAREST,
) -> Iterator[tuple[Any, int, float, Captured]]:
    """Give every template that matches from a node on: payload, end, cost, captured terms."""
    stack: list[tuple[int, int, float, Captured]] = [(0, start, 0.0, ())]
    size, edges = len(lattice.tokens), lattice.edges
    while stack:
        state, node, cost, captured = stack.pop()
        ways = automaton.ways(state)
        if node <= size:
            if node != start:
                for payload in automaton.accepts(state):
                    yield payload, node, cost, captured
            if node < size:
                here = found[node]
                for label in automaton.slots(state):
                    for term in here.get(label, ()):
                        spent = cost + term.cost
                        if spent <= dearest:
                            more = (*captured, (label, term))
                            stack.append((automaton.into(ways, label), term.end, spent, more))
        for word, end, extra in edges[node]:
            after = ways.get(word)
            if after is not None and cost + extra <= dearest:
                if after < 0:
                    after = automaton.into(ways, word)
                stack.append((after, end, cost + extra, captured))


def merged(captured: Captured) -> Slots:
    """Join the slots of captured terms; the first of a name stays, colours add up."""
    slots: dict[str, Any] = {}
    for _, term in captured:
        for name, value in term.slots:
            if name == "colours" and name in slots:
                slots[name] = (*slots[name], *value)
            else:
                slots.setdefault(name, value)
    return tuple(slots.items())
