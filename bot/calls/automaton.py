"""Many templates matched at once: an automaton over words and slots, made deterministic as it is used.

Thousands of wordings share their beginnings; walking one automaton costs a dictionary look-up a word,
however many templates there are. Knows no grammar files and no acts.
"""

from collections.abc import Iterable
from typing import Any, Generic, TypeVar

from bot.calls.template import Alt, Node, Seq, Slot, Word

T = TypeVar("T")


class State(Generic[T]):
    """A state of the automaton: what may follow, and which templates end here."""

    __slots__ = ("accepts", "slots", "within", "words")

    def __init__(self, within: frozenset[int], accepts: tuple[T, ...]) -> None:
        self.within = within
        """The states of the automaton, before it was made deterministic, that this stands for."""
        self.accepts = accepts
        """The payloads of the templates that end here."""
        self.words: Ways[T] | None = None
        """The words that may follow; None until somebody asks (`Automaton.open`)."""
        self.slots: Ways[T] = {}
        """The slots that may follow."""


Ways = dict[str, State[T] | list[int]]
"""Words or slots, each with the state after it, or with what that will be made of (`Automaton.into`)."""


class Automaton(Generic[T]):
    """Templates with a payload each; walks begin at `start`.

    Slots are labelled with their name in braces, words with themselves. The deterministic states are a
    cache: the object answers the same whatever was asked before.
    """

    def __init__(self, templates: Iterable[tuple[Node, T]]) -> None:
        # Plain rows, none where nothing follows: there are fifty thousand, most with one way on.
        self._next: list[list[tuple[str, int]] | None] = [None]
        self._empty: dict[int, list[int]] = {}
        self._ends: dict[int, list[T]] = {}
        self._take(templates)

    def _take(self, templates: Iterable[tuple[Node, T]]) -> None:
        for node, payload in templates:
            end = self._add(node, 0)
            self._ends.setdefault(end, []).append(payload)
        self._reached: dict[int, frozenset[int]] = {}
        self._known: dict[frozenset[int], State[T]] = {}
        self.start = self._made([0])

    def with_more(self, templates: Iterable[tuple[Node, T]]) -> "Automaton[T]":
        """Return one that takes these templates too, as if all had been given at once.

        Its rows are those of this one, but for what goes on from the start.
        """
        more: Automaton[T] = object.__new__(type(self))
        more._next = [self._next[0] and list(self._next[0]), *self._next[1:]]
        more._empty, more._ends = dict(self._empty), dict(self._ends)
        if 0 in more._empty:
            more._empty[0] = list(more._empty[0])
        if 0 in more._ends:
            more._ends[0] = list(more._ends[0])
        more._take(templates)
        return more

    def __getstate__(self) -> tuple[object, ...]:
        """Return what was compiled, without what is made of it as it is used."""
        return self._next, self._empty, self._ends

    def __setstate__(self, kept: tuple[Any, ...]) -> None:
        self._next, self._empty, self._ends = kept
        self._take(())

    def step(self, state: State[T], label: str) -> State[T] | None:
        """Return the state after this word or slot, or None where nothing goes on."""
        words = self.open(state)
        ways = state.slots if label[0] == "{" else words
        return self.into(ways, label) if label in ways else None

    def open(self, state: State[T]) -> Ways[T]:
        """Return the words that may follow a state, each for `into`; its `slots` are known from then on."""
        if state.words is not None:
            return state.words
        reached: dict[str, list[int]] = {}
        for each in state.within:
            for label, goal in self._next[each] or ():
                reached.setdefault(label, []).append(goal)
        words: Ways[T] = {}
        for label, goals in reached.items():
            (state.slots if label[0] == "{" else words)[label] = goals
        state.words = words
        return words

    def into(self, ways: Ways[T], label: str) -> State[T]:
        """Return the state after a word or slot that is among the ways of a state."""
        after = ways[label]
        if isinstance(after, list):  # not reached before: its states are not joined yet
            after = ways[label] = self._made(after)
        return after

    def _made(self, states: list[int]) -> State[T]:
        within = frozenset().union(*map(self._reach, states))
        known = self._known.get(within)
        if known is None:
            accepts = tuple(p for s in sorted(within & self._ends.keys()) for p in self._ends[s])
            known = self._known[within] = State(within, accepts)
        return known

    def _reach(self, state: int) -> frozenset[int]:
        """Return the states that are reached from one without a word: those from which anything goes on.

        Without the others, what follows "big" and "good" in a choice is one state and not two.
        """
        known = self._reached.get(state)
        if known is None:
            todo, seen = [state], {state}
            while todo:
                for other in self._empty.get(todo.pop(), ()):
                    if other not in seen:
                        seen.add(other)
                        todo.append(other)
            known = self._reached[state] = frozenset(
                s for s in seen if self._next[s] or s in self._ends
            )
        return known

    def _state(self) -> int:
        self._next.append(None)
        return len(self._next) - 1

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
                ends = [self._add(choice, start) for choice in choices]
                end = self._state()
                for each in ends:
                    self._empty.setdefault(each, []).append(end)
                return end
            case _:
                raise TypeError(f"{node} must be resolved before it is compiled")

    def _edge(self, start: int, label: str) -> int:
        end = self._state()
        ways = self._next[start]
        if ways is None:
            ways = self._next[start] = []
        ways.append((label, end))
        return end
