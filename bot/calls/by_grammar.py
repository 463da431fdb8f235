"""The grammar's readings of a line, strict first; misheard and misspelt words put right where that is needed.

Pure.
"""

from collections.abc import Collection, Iterator, Sequence
from itertools import pairwise
from typing import Final

from bot.calls.assemble import Reading, assemble
from bot.calls.grammar import Grammar
from bot.calls.language import Language
from bot.calls.lattice import Lattice, with_repairs
from bot.calls.match import Element, Path, Plain, paths
from bot.calls.reader.words import Words, words_of
from bot.calls.repair import one_as_position
from bot.calls.tokens import Token, tokenise
from bot.trip.acts import FISH_ACTS
from bot.trip.call import Call

SLIPS_DO: Final = 1.2
"""Highest cost at which a reading by common slips will do; beyond it sounds are compared."""
CLEAN: Final = 0.75
"""Highest cost at which a strict reading needs no repair."""
REPAIRED_WORDS: Final = 25
"""Most words of a line that is repaired; a longer one is talk or a note."""
MISSPELT_FROM: Final = 5
"""Fewest letters of a word by itself that is asked about as a misspelt call."""


def readings_of(
    line: str,
    words: Language,
    repair: bool = True,
    names: Collection[str] = (),
    seen: Words | None = None,
) -> list[Reading]:
    """Return the grammar's readings of a line, cheapest first.

    Repair joins in where a strict one is not clean, unless it is not wanted; `names` are never repaired.
    `seen` is the line in words, where it was looked at before.
    """
    grammar = words.grammar
    answer = line.strip(" .!").casefold() == "n"  # typed alone it is no "and"
    if answer or seen is None:
        seen = words_of("no" if answer else line, grammar)
    heard = seen.lattice
    ways, known = paths(heard, grammar, known=seen.terms)
    hopeless = not ways or ways[0].cost > CLEAN  # and no reading is cheaper than its way
    found = [] if hopeless else _assembled(ways, heard, grammar, line)
    best = min((r.cost for r in found if r.calls), default=99.0)
    doubtful = repair and (best > CLEAN or _suspect(heard, words))
    if doubtful and _may_be_repaired(heard, ways, known, words):
        talk = (n for start, end in known.talk for n in range(start, end))
        named = (n for n, token in enumerate(heard.tokens) if token.text.removesuffix("s") in names)
        sure = frozenset((*talk, *named))
        found += _repaired(line, heard, known, words, sure)
    if hopeless and not any(r.calls and r.cost <= SLIPS_DO for r in found):
        found += _assembled(ways, heard, grammar, line)
    return sorted(found, key=lambda r: r.cost)


def _repaired(
    line: str, heard: Lattice, known: Plain, words: Language, sure: frozenset[int]
) -> list[Reading]:
    """Return the readings of a line with words put right: by common slips alone where they will do."""
    grammar, repairer = words.grammar, words.repairer
    slips = repairer.common_slips(heard.tokens, sure)
    if slips:
        wide = with_repairs(heard, slips)
        found = _assembled(paths(wide, grammar, known)[0], wide, grammar, line)
        if any(r.cost <= SLIPS_DO and r.calls and not r.path.talk for r in found):
            return found
    wide = with_repairs(heard, repairer.repairs(heard.tokens, sure))
    return _assembled(paths(wide, grammar, known)[0], wide, grammar, line)


def _may_be_repaired(heard: Lattice, ways: list[Path], known: Plain, words: Language) -> bool:
    """Return whether words of a line may have been misheard: not of a greeting, nor of what is surely talk.

    One sign of talk may be a misheard word itself, where a slip is known in the line.
    """
    if not 0 < heard.size <= REPAIRED_WORDS or _greeting(ways):
        return False
    if not all(way.talk for way in ways):
        return True
    return len(known.talk) == 1 and words.repairer.slips(heard.tokens)


def _greeting(ways: list[Path]) -> bool:
    """Return whether a line is one or two words that mean nothing: "great", "good morning"."""
    elements = ways[0].elements if ways else ()
    words = sum(e.end - e.start for e in elements)
    return words <= 2 and all(e.kind == "filler" for e in elements)


def _suspect(heard: Lattice, words: Language) -> bool:
    """Return whether a word stands for a size ("the purple ate"), or words for others ("this pot")."""
    grammar = words.grammar
    if any(f"{a.text} {b.text}" in grammar.heard for a, b in pairwise(heard.tokens)):
        return True
    if next(one_as_position(heard.tokens, grammar.lists), None) is not None:
        return True
    if any(
        a.text in grammar.lists["before_fish"] and b.text in words.fish
        for a, b in pairwise(heard.tokens)
    ):
        return True  # "for mahi in the box"
    before = {a.text for a, b in pairwise(heard.tokens) if b.text in grammar.lists["ate"]}
    return bool(before) and any(
        form in before for forms in grammar.words["colour"].values() for form in forms
    )


def _assembled(ways: list[Path], heard: Lattice, grammar: Grammar, line: str) -> list[Reading]:
    """Make readings of ways, best first, until no further way can be as cheap as two that are there."""
    found: list[Reading] = []
    costs: list[float] = []
    seen: dict[tuple[Element, ...], Reading] = {}
    for way in ways:
        if len(costs) > 1 and way.cost > sorted(costs)[1]:
            break
        meant = tuple(e for e in way.elements if e.kind not in ("filler", "unknown"))
        same = seen.get(meant)
        if same is None:
            reading = seen[meant] = assemble(way, heard, grammar, line)
            found.append(reading)
        else:  # only other words are passed over: dearer, and the same calls
            reading = same._replace(cost=same.cost - same.path.cost + way.cost)
        if reading.calls:
            costs.append(reading.cost)
    return found


def is_misspelt(calls: tuple[Call, ...], tokens: Sequence[Token], words: Language) -> bool:
    """Return whether a line of unknown words is near to one that calls the same acts."""
    acts = [call.act for call in calls]
    return any([call.act for call in near] == acts for near in _nearest(tokens, words))


def _nearest(tokens: Sequence[Token], words: Language) -> Iterator[tuple[Call, ...]]:
    """Yield what is called by the words that a whole line may be misspelt for."""
    for repair in words.repairer.repairs(tokens):
        if (repair.start, repair.end) == (0, len(tokens)):
            for reading in readings_of(" ".join(repair.words), words, repair=False)[:1]:
                yield reading.calls


def misspelt(text: str, words: Language) -> tuple[Call, ...]:
    """Return the call that a line of one word of no language is a slip of; empty where it is none."""
    tokens = tokenise(text, words.grammar.spelling)
    word = tokens[0].text
    if len(word) < MISSPELT_FROM or word in words.vocabulary or not word.isalpha():
        return ()
    return next((c for c in _nearest(tokens, words) if c and c[0].act in FISH_ACTS), ())
