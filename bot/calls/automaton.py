"""Many templates matched at once: an automaton over words and slots, made deterministic as it is used.

Thousands of wordings share their beginnings; walking one automaton costs a dictionary look-up a word,
however many templates there are. Knows no grammar files and no acts.
"""

from collections.abc import Iterable
from typing import Generic, TypeVar

from bot.calls.template import Alt, Node, Seq, Slot, Word

T = TypeVar("T")


class Automaton(Generic[T]):
    """Templates with a payload each; `ways` and `into` walk, `accepts` says what ends here.

    Slots are labelled with their name in braces, words with themselves. State 0 is the start. The
    deterministic states are a cache: the object answers the same whatever was asked before.
    """

    def __init__(self, templates: Iterable[tuple[Node, T]]) -> None:
        self._next: list[dict[str, set[int]]] = [{}]
        self._empty: list[set[int]] = [set()]
        self._ends: dict[int, list[T]] = {}
        for node, payload in templates:
            end = self._add(node, self._state(0))
            self._ends.setdefault(end, []).append(payload)
        first = self._closure({0})
        self._sets: list[frozenset[int]] = [first]
        self._numbers: dict[frozenset[int], int] = {first: 0}
        self._ways: list[dict[str, int] | None] = [None]
        self._ahead: list[set[int]] = []
        self._accepts: list[tuple[T, ...]] = [self._payloads(first)]
        self._slots: list[tuple[str, ...] | None] = [None]

    def step(self, state: int, label: str) -> int:
        """Give the state after this word or slot, or -1 where nothing goes on."""
        ways = self.ways(state)
        return self.into(ways, label) if label in ways else -1

    def ways(self, state: int) -> dict[str, int]:
        """Give the words and slots that may follow, each with the state after it for `into`."""
        found = self._ways[state]
        if found is None:
            reached: dict[str, set[int]] = {}
            for each in self._sets[state]:
                for label, goals in self._next[each].items():
                    if label in reached:
                        reached[label] |= goals
                    else:
                        reached[label] = set(goals)
            found = {label: -1 - len(self._ahead) - n for n, label in enumerate(reached)}
            self._ahead += reached.values()
            self._ways[state] = found
        return found

    def into(self, ways: dict[str, int], label: str) -> int:
        """Give the state after a word or slot that is among the ways of a state."""
        after = ways[label]
        if after < 0:  # not reached before: its states are not joined yet
            after = ways[label] = self._number(self._closure(self._ahead[-1 - after]))
        return after

    def slots(self, state: int) -> tuple[str, ...]:
        """Give the slots that may follow in this state."""
        found = self._slots[state]
        if found is None:
            found = tuple(sorted(label for label in self.ways(state) if label[0] == "{"))
            self._slots[state] = found
        return found

    def accepts(self, state: int) -> tuple[T, ...]:
        """Give the payloads of the templates that end in this state."""
        return self._accepts[state]

    def _number(self, states: frozenset[int]) -> int:
        if states not in self._numbers:
            self._numbers[states] = len(self._sets)
            self._sets.append(states)
            self._ways.append(None)
            self._accepts.append(self._payloads(states))
            self._slots.append(None)
        return self._numbers[states]

    def _payloads(self, states: frozenset[int]) -> tuple[T, ...]:
        return tuple(p for s in sorted(states) for p in self._ends.get(s, ()))

    def _closure(self, states: set[int]) -> frozenset[int]:
        todo, seen = list(states), set(states)
        while todo:
            for other in self._empty[todo.pop()]:
                if other not in seen:
                    seen.add(other)
                    todo.append(other)
        return frozenset(seen)

    def _state(self, after: int | None = None) -> int:
        self._next.append({})
        self._empty.append(set())
        new = len(self._next) - 1
        if after is not None:
            self._empty[after].add(new)
        return new

    def _add(self, node: Node, start: int) -> int:
        match node:
            case Word(text):
                return self._edge(start, text)
            case Slot(name):
                return self._edge(start, "{" + name + "}")
            case Seq(parts):
                for part in parts:
                    start = self._add(part, start)
                return start
            case Alt(choices):
                ends = [self._add(choice, self._state(start)) for choice in choices]
                end = self._state()
                for each in ends:
                    self._empty[each].add(end)
                return end
            case _:
                raise TypeError(f"{node} must be resolved before it is compiled")

    def _edge(self, start: int, label: str) -> int:
        end = self._state()
        self._next[start].setdefault(label, set()).add(end)
        return end
