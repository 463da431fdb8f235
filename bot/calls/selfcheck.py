"""Find words of the boat that already mean something else, for whoever names a lure. Pure."""

from collections.abc import Container, Iterable, Iterator, Mapping
from typing import Final

from bot.calls.by_grammar import readings_of
from bot.calls.grammar import FILLER, TALK, Grammar
from bot.calls.language import Language
from bot.calls.lattice import plain
from bot.calls.numbers import numbers_at
from bot.calls.terms import Terms
from bot.calls.tokens import tokenise
from bot.calls.understand import understand
from bot.calls.walking import walk
from bot.transcript import typed_transcript

Extra = Mapping[str, Mapping[str, Iterable[str]]]
"""Table (`position`, `colour`, `species`, `name` ...) -> meaning -> the forms in which it is said."""


def collisions(
    grammar: Grammar, extra: Extra, only: Container[str] | None = None
) -> tuple[str, ...]:
    """Return which of the boat's own words mean something else, one line each: word, meaning, and the mend.

    `grammar` is the language without them; a word that it has with the same meaning is no collision.
    In a table of its own kind the boat's word wins (see `grammar.load`), which is said and needs no mend.
    `only` are the meanings that are looked at; None looks at all.
    """
    bare, _ = _index(grammar)
    found: list[str] = []
    mine: dict[str, tuple[str, str]] = {}
    for table, meanings in extra.items():
        for meaning, forms in meanings.items():
            for form in dict.fromkeys(forms):
                said = _said(form, grammar)
                owner = mine.setdefault(said, (table, meaning))
                if only is not None and meaning not in only:
                    continue
                if owner != (table, meaning):
                    why = f"is the boat's own word for {_of(*owner)}"
                else:
                    why = next(_meanings(said, table, meaning, bare), "")
                if why:
                    mend = "" if why.startswith(_ONCE) else f": {_MEND}"
                    found.append(f'"{form}" ({table} {meaning}) {why}{mend}')
    return tuple(found)


_MEND: Final = "give it another name, or a second word with it"
_ONCE: Final = "was said for"


def _said(form: str, grammar: Grammar) -> str:
    return " ".join(token.text for token in tokenise(form, grammar.spelling))


_Index = Mapping[str, tuple[tuple[str, str], ...]]

_indexed: list[tuple[Language, _Index]] = []
"""The language that was looked at last, with its forms: they are many, and the same for every box."""


def _index(grammar: Grammar) -> tuple[Language, _Index]:
    """Return the bare language of a grammar, and what each form means: tables and meanings, in order."""
    if not _indexed or _indexed[0][0].grammar is not grammar:
        found: dict[str, dict[tuple[str, str], None]] = {}
        for table, meanings in grammar.words.items():
            for meaning, forms in meanings.items():
                for form in forms:
                    found.setdefault(_said(form, grammar), {})[table, meaning] = None
        each = {said: tuple(means) for said, means in found.items()}
        _indexed[:] = [(Language(grammar), each)]
    return _indexed[0]


def _of(table: str, meaning: str) -> str:
    return f"the lure {meaning}" if table == "name" else f"{meaning} ({table})"


def _meanings(said: str, table: str, meaning: str, words: Language) -> Iterator[str]:
    """Yield what these words mean in the language, the plainest meaning first."""
    grammar = words.grammar
    if not said:
        yield "is nothing that can be said"
        return
    known_as = _index(grammar)[1].get(said, ())
    for other, known in known_as:
        if (other, known) != (table, meaning):
            if other == table or (table == "name" and other == "species" and " " in said):
                yield f"{_ONCE} {_of(other, known)}, and now means this"
            yield f"is already said for {_of(other, known)}"
    if (table, meaning) in known_as:
        return
    lattice = plain(tokenise(said, grammar.spelling))
    if any(number.end == lattice.size for number in numbers_at(lattice, 0)):
        yield "is a number"
    heard = understand(typed_transcript(said), words)
    best = next((r for r in readings_of(said, words) if r.calls), None)
    as_written = best is not None and not any(e.repair for e in best.path.elements)
    if heard.calls and heard.ask is None and as_written:
        yield f'is the call "{heard.calls[0].act.replace("_", " ")}"'
    nothing: Terms = [{}] * (lattice.size + 1)
    whole = {
        payload
        for payload, end, _, _ in walk(grammar.wordings, lattice, nothing, 0, 0.0)
        if end == lattice.size
    }
    if TALK in whole:
        yield "is a sign that a line is talk and no call"
    if FILLER in whole:
        yield "is a word that is passed over in calls"
    if said in grammar.heard:
        yield f'is what is often heard for "{grammar.heard[said][0]}"'
