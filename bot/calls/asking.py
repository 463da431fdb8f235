"""Questions: by how a line begins, with or without a question mark, and those that a whole line is. Pure.

who's on which      who's up next      is Dee still on      did it log that one      what's the limit
"""

from collections.abc import Collection, Mapping, Sequence
from typing import Final

from bot.calls.grammar import Grammar
from bot.calls.meant.reader import Line
from bot.calls.tokens import Token
from bot.trip.acts import ASK_FISH, ASK_LAST, ASK_NEXT, ASK_TALLY
from bot.trip.call import Call

OWN_NAME: Final = "deckcall"
"""What the program is called by where it is one of a group."""
_WHOLE: Final[dict[str, Call]] = {
    "rods": Call(ASK_FISH),
    "next_up": Call(ASK_FISH),
    "prey": Call(ASK_FISH),
    "any_on": Call(ASK_FISH),
    "logged": Call(ASK_LAST),
    "lost_then": Call(ASK_FISH),
    "shades": Call(ASK_TALLY),
    "worked_then": Call(ASK_TALLY),
    "hold_until": Call(ASK_NEXT),
    "what_head": Call(ASK_TALLY, about="head"),
    "raises_worth": Call(ASK_TALLY),
    "caught_who": Call(ASK_FISH, about="angler"),
}
"""What a line asks that is nothing else, by the name of its sign."""
_UNKNOWABLE: Final = ("rules", "will")
MOST_OF_A_NAME: Final = 2
"""Most words of somebody's name."""


def names_program(line: str) -> bool:
    """Return whether a line calls the program by its name."""
    return OWN_NAME in line.casefold()


def is_question(line: str, tokens: Sequence[Token], grammar: Grammar) -> bool:
    """Return whether a line asks something, so that nothing in it is a report."""
    if line.rstrip("! ").endswith("?"):
        return True
    words = {kind: frozenset(said) for kind, said in grammar.asking.items()}
    said = [token.text for token in tokens]
    while words and said and said[0] in words["before"]:
        said = said[1:]
    if not words or len(said) < 2:
        return False
    if _asks_whether(said, words):
        return True
    first, second = said[0], said[1]
    if second == "not" and len(said) > 2:
        second = said[2]
    if first in words["word"]:
        return (first, second) != ("what", "a")  # "what a fish"
    return (
        (first in words["being"] and second in words["whom_being"])
        or (first in words["verb"] and second in words["whom"])
        or (first in words["verb_you"] and second == "you")
        or (first == "where" and second in words["place"])
    )


def _asks_whether(said: Sequence[str], words: Mapping[str, frozenset[str]]) -> bool:
    """Return whether a line gives the choice of yes and no: "is the boot gone or not"."""
    line, opens = " ".join(said), said[0] in words["being"] | words["verb"]
    if any(f" {one}" in line for one in words["whatever"]):
        return False
    return any(
        line.endswith(f" {one}") or (opens and f" {one} " in line) for one in words["whether"]
    )


def asked_plainly(line: Line, crew: Collection[str]) -> tuple[Call, ...]:
    """Return the question that a line is as a whole; `crew` are names in lower case."""
    size = line.lattice.size
    signs = [s for s in line.signs if s.table == "about" and s.cost == 0.0]
    for sign in signs:
        if sign.name in _WHOLE and (sign.start, sign.end) == (0, size):
            return (_WHOLE[sign.name],)
    if (ate := _ate(line)) is not None:
        return (ate,)
    if (who := _still_on(line, crew)) is not None:
        return (Call(ASK_FISH, angler=who),)
    opens = line.at(0, "whole_question", "opens")
    asks = "?" in line.text or (opens is not None and opens.cost == 0.0)
    if asks and not line.has("no_rules") and any(s.name in _UNKNOWABLE for s in signs):
        return (Call(ASK_FISH),)
    return ()


def _ate(line: Line) -> Call | None:
    """Return the question whether a fish ate a lure: "did wahoo eat the purple yesterday"; else None."""
    opens, eats = line.at(0, "ate", "opens"), line.first("ate", "eats")
    fish = line.of("species")
    if (
        opens is None
        or eats is None
        or len(fish) != 1
        or not opens.end <= fish[0].start < eats.start
    ):
        return None
    lures = [s for s in line.of("name", "colour", "head") if s.start >= eats.end and s.cost == 0.0]
    if not lures:
        return None
    named = {
        kind: [s.name for s in lures if s.table == kind] for kind in ("name", "colour", "head")
    }
    return Call(
        ASK_TALLY,
        species=fish[0].name,
        lure=next(iter(named["name"]), None),
        colours=() if named["name"] else tuple(named["colour"]),
        head=None if named["name"] else next(iter(named["head"]), None),
    )


def _still_on(line: Line, crew: Collection[str]) -> str | None:
    """Return the name of somebody aboard of whom is asked whether he is still on a fish; else None."""
    first = line.at(0, "on_yet", "is")
    last = next(
        (s for s in line.of("on_yet") if s.name == "on" and s.end == line.lattice.size), None
    )
    if first is None or last is None:
        return None
    fish = next((s for s in line.of("on_yet") if s.name == "fish" and s.end == last.start), None)
    end = fish.start if fish is not None else last.start
    said = line.tokens[first.end : end]
    name = " ".join(token.text for token in said)
    if not 0 < len(said) <= MOST_OF_A_NAME or name not in crew:
        return None
    return line.text[said[0].start : said[-1].end].removesuffix("'s")
