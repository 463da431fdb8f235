"""A language that proves itself: its examples, its ear, and words of the boat that mean something else.

Each check gives sentences for a person, none where all is well; nothing is repaired here. For the tests,
for whoever adds a wording, and for whoever gives a lure a nickname. Chance is an argument. Pure.
"""

from collections.abc import Container, Iterable, Iterator, Mapping
from typing import Any, Final

from bot.calls.ear import ear_rules
from bot.calls.grammar import FILLER, TALK, Grammar
from bot.calls.lattice import plain
from bot.calls.numbers import numbers_at
from bot.calls.sample import Choose, sentence
from bot.calls.terms import Terms
from bot.calls.tokens import tokenise
from bot.calls.understand import Language, readings_of, understand
from bot.calls.walking import walk
from bot.transcript import typed
from bot.trip.acts import ACTS

Extra = Mapping[str, Mapping[str, Iterable[str]]]
"""Table (`position`, `colour`, `species`, `name` ...) -> meaning -> the forms in which it is said."""


def example_faults(words: Language) -> tuple[str, ...]:
    """Say which examples do not give what stands beside them, and which acts have none.

    The names of lures in them must be in the language.
    """
    found = []
    for example in words.grammar.examples:
        heard = understand(typed(example.say), words)
        want = [{"act": example.act} | example.gives, *example.also]
        calls = [c.to_json() for c in heard.calls]
        if [_lower(c) for c in calls] != [_lower(c) for c in want]:
            found.append(f'[{example.act}] "{example.say}" gives {calls}, not {want}')
        elif heard.ask is not None:
            found.append(f'[{example.act}] "{example.say}" is asked about: {heard.ask}')
    missing = [act for act in ACTS if act not in {e.act for e in words.grammar.examples}]
    return (*found, *(f"[{act}] has no example: add one in calls.toml" for act in missing))


def _lower(call: Mapping[str, Any]) -> dict[str, Any]:
    """Give a call with the name of its lure in small letters."""
    return {k: v.lower() if k == "lure" else v for k, v in call.items()}


def ear_faults(words: Language, choose: Choose, of_each: int) -> tuple[str, ...]:
    """Say which sentences of the ear the parser takes otherwise; so many are drawn `of_each` act."""
    rules = ear_rules(words.grammar)
    found: list[str] = []
    owner: dict[str, str] = {}
    for name in sorted(n for n in rules if n.startswith("act_")):
        act = name.removeprefix("act_")
        drawn = dict.fromkeys(sentence(rules, choose, name) for _ in range(of_each))
        for said in drawn:
            if owner.setdefault(said, act) != act:
                found.append(f'"{said}" belongs to [{act}] and to [{owner[said]}]')
            heard = understand(typed(said), words)
            acts = [c.act for c in heard.calls]
            if set(acts) != {act} or heard.ask is not None:
                doubt = " and is asked about" if heard.ask is not None else ""
                found.append(f'"{said}" of [{act}] is taken for {acts or "talk"}{doubt}')
    return tuple(found)


def collisions(
    grammar: Grammar, extra: Extra, only: Container[str] | None = None
) -> tuple[str, ...]:
    """Say which of the boat's own words mean something else, one line each: word, meaning, and the mend.

    `grammar` is the language without them; a word that it has with the same meaning is no collision.
    In a table of its own kind the boat's word wins (see `grammar.load`), which is said and needs no mend.
    `only` are the meanings that are looked at; None looks at all.
    """
    bare = Language(grammar)
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


def _of(table: str, meaning: str) -> str:
    return f"the lure {meaning}" if table == "name" else f"{meaning} ({table})"


def _meanings(said: str, table: str, meaning: str, words: Language) -> Iterator[str]:
    """Give what the language takes these words for, the plainest first."""
    grammar = words.grammar
    if not said:
        yield "is nothing that can be said"
        return
    for other, meanings in grammar.words.items():
        for known, forms in meanings.items():
            if (other, known) != (table, meaning) and said in {_said(f, grammar) for f in forms}:
                if other == table:
                    yield f"{_ONCE} {_of(other, known)}, and now means this"
                yield f"is already said for {_of(other, known)}"
    own = grammar.words.get(table, {}).get(meaning, ())
    if said in {_said(form, grammar) for form in own}:
        return
    lattice = plain(tokenise(said, grammar.spelling))
    if any(number.end == lattice.size for number in numbers_at(lattice, 0)):
        yield "is a number"
    heard = understand(typed(said), words)
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
