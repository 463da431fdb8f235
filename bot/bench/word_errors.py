"""How many words of a line are wrong. Pure."""

from collections.abc import Sequence


def plain_words(text: str) -> list[str]:
    """Return the words of a line, in lower case and without marks."""
    return "".join(c if c.isalpha() or c in " '" else " " for c in text.lower()).split()


def word_errors(wanted: Sequence[str], got: Sequence[str]) -> int:
    """Return how many words are missing, wrong or too many."""
    costs = list(range(len(got) + 1))
    for word in wanted:
        before, costs[0] = costs[0], costs[0] + 1
        for n, other in enumerate(got, 1):
            instead = before + (word != other)
            before, costs[n] = costs[n], min(costs[n] + 1, costs[n - 1] + 1, instead)
    return costs[-1]
