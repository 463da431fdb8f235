"""Sentences out of the ear's rules: all that a choice of numbers picks, for tests, phrases and benches.

Chance is an argument: `choose(n)` gives a whole number from 0 to n - 1. Pure.
"""

from collections.abc import Callable, Iterator, Mapping

from bot.calls.template import Alt, Node, Ref, Seq, Word

Choose = Callable[[int], int]


def sentence(rules: Mapping[str, Node], choose: Choose, root: str = "call") -> str:
    """Make one sentence of a rule."""
    return " ".join(_made(rules[root], rules, choose))


def _made(node: Node, rules: Mapping[str, Node], choose: Choose) -> Iterator[str]:
    match node:
        case Word(text):
            yield text
        case Ref(name):
            yield from _made(rules[name], rules, choose)
        case Seq(parts):
            for part in parts:
                yield from _made(part, rules, choose)
        case Alt(choices):
            yield from _made(choices[choose(len(choices))], rules, choose)
        case _:
            raise TypeError(f"{node} has no place in the ear's rules")


def phrases(rules: Mapping[str, Node]) -> tuple[str, ...]:
    """Give sentences in which every word of every rule stands beside what may stand beside it.

    For engines that learn from a phrase list which word follows which: each act once for every choice in
    it, the others at their first.
    """
    found: dict[str, None] = {}
    for name in sorted(n for n in rules if n.startswith("act_")):
        widest = _widest(rules[name], rules)
        for turn in range(widest):
            for tail in (0, 1):
                found.setdefault(_turned(rules, name, turn, tail))
    return tuple(s for s in found if s)


def _turned(rules: Mapping[str, Node], name: str, turn: int, tail: int) -> str:
    """Make the sentence in which every choice stands at `turn`, each a step further than the last."""
    step = iter(range(10_000))

    def choose(size: int) -> int:
        return (turn + next(step) * tail) % size

    return sentence(rules, choose, name)


def _widest(node: Node, rules: Mapping[str, Node]) -> int:
    match node:
        case Ref(name):
            return _widest(rules[name], rules)
        case Seq(parts):
            return max((_widest(p, rules) for p in parts), default=1)
        case Alt(choices):
            return max(len(choices) * max(2, 1), *(_widest(c, rules) for c in choices))
        case _:
            return 1
