"""Sentences made from the ear's rules, for tests, phrase lists and benches.

Chance is an argument: `choose(n)` gives a whole number from 0 to n - 1. Pure.
"""

from collections import Counter, deque
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from itertools import pairwise
from typing import Final

from bot.calls.template import Alt, Node, Ref, Seq, Slot, Word

Choose = Callable[[int], int]
FOLLOWERS: Final = 4
"""Most new words that follow a word in the sentences of one act; larger makes a longer list."""


def sentence(rules: Mapping[str, Node], choose: Choose, root: str = "call") -> str:
    """Make one sentence of a rule; `{name}` is the rule of a slot, KeyError where it is missing."""
    return " ".join(_made(rules[root], rules, choose))


def _made(node: Node, rules: Mapping[str, Node], choose: Choose) -> Iterator[str]:
    match node:
        case Word(text):
            yield text
        case Ref(name):
            yield from _made(rules[name], rules, choose)
        case Slot(name):
            yield from _made(rules[f"{{{name}}}"], rules, choose)
        case Seq(parts):
            for part in parts:
                yield from _made(part, rules, choose)
        case Alt(choices):
            yield from _made(choices[choose(len(choices))], rules, choose)
        case _:
            raise TypeError(f"{node} has no place in the ear's rules")


def phrases(rules: Mapping[str, Node]) -> tuple[str, ...]:
    """Return sentences that have every word of every act, each followed by words that may follow it.

    For engines that take their words, and which word follows which, from a phrase list. As few
    sentences as that takes, so that no act is likelier than another only for its many numbers.
    """
    found: dict[str, None] = {}
    beside: set[tuple[str, str]] = set()
    for name in sorted(n for n in rules if n.startswith(("act_", "asked_"))):
        found |= dict.fromkeys(_Places(rules, name).covering(beside))
    return tuple(found)


_Ends = tuple[tuple[int, ...], tuple[int, ...], bool]
"""Places where a tree may begin and end, and whether it may say nothing."""


class _Places:
    """The places of words in a rule, and which may follow which (Glushkov's automaton)."""

    def __init__(self, rules: Mapping[str, Node], root: str) -> None:
        self._rules = rules
        self._words = ["", ""]
        self._after: list[dict[int, None]] = [{}, {}]
        self._uses = [0, 0]
        first, last, _ = self._add(rules[root])
        self._after[0] = dict.fromkeys(first)
        for place in last:
            self._after[place][1] = None
        self._before: list[list[int]] = [[] for _ in self._words]
        for place, after in enumerate(self._after):
            for other in after:
                self._before[other].append(place)
        self._from_start = self._steps(0, self._after)
        self._to_end = self._steps(1, self._before)

    def covering(self, beside: set[tuple[str, str]]) -> Iterator[str]:
        """Yield sentences that add to the pairs of words that stand `beside` each other in the list.

        Every word is in one at least, and followed by up to `FOLLOWERS` words.
        """
        followers: Counter[str] = Counter()
        said: set[str] = set()
        for place, after in enumerate(self._after):
            word = self._words[place]
            for other in sorted(after, key=lambda n: (self._uses[n], n)):
                if word in said and (
                    followers[word] >= FOLLOWERS or (word, self._words[other]) in beside
                ):
                    continue
                way = [*self._start_to(place), *self._to_the_end(other)]
                said |= {self._words[n] for n in way}
                for pair in pairwise(self._words[n] for n in way):
                    followers[pair[0]] += pair not in beside
                    beside.add(pair)
                yield " ".join(self._words[n] for n in way[1:-1])

    def _start_to(self, place: int) -> list[int]:
        way = [place]
        while way[-1] != 0:
            way.append(self._least_used(self._before[way[-1]], self._from_start))
        return way[::-1]

    def _to_the_end(self, place: int) -> list[int]:
        way = [place]
        while way[-1] != 1:
            way.append(self._least_used(self._after[way[-1]], self._to_end))
        return way

    def _least_used(self, places: Iterable[int], far: Sequence[int]) -> int:
        """Choose among the nearest to the goal the place that was in the fewest sentences."""
        chosen = min(places, key=lambda n: (far[n], self._uses[n]))
        self._uses[chosen] += 1
        return chosen

    def _steps(self, start: int, edges: Sequence[Iterable[int]]) -> list[int]:
        far = [len(self._words)] * len(self._words)
        far[start], todo = 0, deque([start])
        while todo:
            here = todo.popleft()
            for other in edges[here]:
                if far[other] > far[here] + 1:
                    far[other] = far[here] + 1
                    todo.append(other)
        return far

    def _add(self, node: Node) -> _Ends:
        match node:
            case Word(text):
                self._words.append(text)
                self._after.append({})
                self._uses.append(0)
                place = (len(self._words) - 1,)
                return place, place, False
            case Ref(name):
                return self._add(self._rules[name])
            case Seq(parts):
                return self._in_order([self._add(p) for p in parts])
            case Alt(choices):
                ends = [self._add(c) for c in choices]
                first = tuple(n for e in ends for n in e[0])
                return first, tuple(n for e in ends for n in e[1]), any(e[2] for e in ends)
            case _:
                raise TypeError(f"{node} has no place in the ear's rules")

    def _in_order(self, parts: Sequence[_Ends]) -> _Ends:
        first: tuple[int, ...] = ()
        last: tuple[int, ...] = ()
        empty = True
        for begins, ends, silent in parts:
            for place in last:
                self._after[place] |= dict.fromkeys(begins)
            first = (*first, *begins) if empty else first
            last = (*last, *ends) if silent else ends
            empty = empty and silent
        return first, last, empty
