"""The positions that a text names, and where in it they stand. Pure."""

from bot.calls.grammar import Grammar
from bot.calls.reader.words import words_of


def places_named(text: str, grammar: Grammar) -> list[tuple[str, int, int]]:
    """Return the positions named in a text, with their beginnings and ends."""
    words = words_of(text, grammar)
    found: list[tuple[str, int, int]] = []
    at = 0
    while at < len(words.tokens):
        here = [
            (term, label)
            for label in ("{both}", "{position}")
            for term in words.terms[at].get(label, ())
        ]
        if not here:
            at += 1
            continue
        term, _ = max(here, key=lambda t: t[0].end)
        [(_, value)] = term.slots
        start, end = words.tokens[at].start, words.tokens[term.end - 1].end
        for name in (value,) if isinstance(value, str) else value:
            found.append((name, start, end))
        at = term.end
    return found
