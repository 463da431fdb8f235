"""A grammar's sentences as the smallest automaton.

PocketSphinx copies a rule into every place that names it and searches all the copies at once. The
sentences of a trolling grammar need a twentieth of the states, and hearing is several times faster
with them. Weights of alternatives are not kept: what is likely now is for the parser to say.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from bot.speech.jsgf_reader import WordGraph


@dataclass(frozen=True, slots=True)
class Sentences:
    """A deterministic automaton over words: every way from the start to an end is a sentence."""

    start: int
    ends: frozenset[int]
    moves: tuple[Mapping[str, int], ...]
    """The word that may follow each state, and where it leads."""

    def accepts(self, text: str) -> bool:
        """Return whether a text is a complete sentence, word for word."""
        state = self.start
        for word in text.split():
            following = self.moves[state].get(word)
            if following is None:
                return False
            state = following
        return state in self.ends

    @property
    def words(self) -> frozenset[str]:
        """Return every word that can be said."""
        return frozenset(word for moves in self.moves for word in moves)


def compact(graph: WordGraph) -> Sentences:
    """Make the automaton of a graph's sentences, as small as it can be."""
    return _smallest(_deterministic(graph.start, graph.end, graph.arcs, graph.empty))


Arcs = Mapping[int, list[tuple[str, int]]]
Empty = Mapping[int, list[int]]


def _deterministic(start: int, end: int, arcs: Arcs, empty: Empty) -> Sentences:
    """Make one state of each set of states that the same words reach."""
    reach: dict[int, frozenset[int]] = {}
    first = _reached(start, empty, reach)
    numbers = {first: 0}
    waiting = [first]
    moves: dict[int, dict[str, int]] = {}
    while waiting:
        states = waiting.pop()
        targets: dict[str, set[int]] = {}
        for state in states:
            for word, target in arcs.get(state, ()):
                targets.setdefault(word, set()).add(target)
        here = moves.setdefault(numbers[states], {})
        for word, reached in targets.items():
            parts = [_reached(state, empty, reach) for state in reached]
            together = parts[0] if len(parts) == 1 else frozenset().union(*parts)
            if together not in numbers:
                numbers[together] = len(numbers)
                waiting.append(together)
            here[word] = numbers[together]
    ends = frozenset(number for states, number in numbers.items() if end in states)
    return Sentences(0, ends, tuple(moves[number] for number in range(len(numbers))))


def _reached(state: int, empty: Empty, known: dict[int, frozenset[int]]) -> frozenset[int]:
    """Return the states that can be reached without a word."""
    if state not in known:
        seen, waiting = {state}, [state]
        while waiting:
            for target in empty.get(waiting.pop(), ()):
                if target not in seen:
                    seen.add(target)
                    waiting.append(target)
        known[state] = frozenset(seen)
    return known[state]


def _smallest(large: Sentences) -> Sentences:
    """Join states from which the same sentences follow (partition refinement after Moore)."""
    kinds = [int(state in large.ends) for state in range(len(large.moves))]
    count = 0
    while True:
        seen: dict[tuple[int, frozenset[tuple[str, int]]], int] = {}
        finer = [
            seen.setdefault(
                (kinds[state], frozenset((word, kinds[to]) for word, to in moves.items())),
                len(seen),
            )
            for state, moves in enumerate(large.moves)
        ]
        kinds = finer
        if len(seen) == count:
            break
        count = len(seen)
    one_of = {kind: state for state, kind in enumerate(kinds)}
    moves = tuple(
        {word: kinds[to] for word, to in large.moves[one_of[kind]].items()} for kind in range(count)
    )
    return Sentences(kinds[large.start], frozenset(kinds[s] for s in large.ends), moves)
