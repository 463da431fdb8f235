"""A way through a line to the calls it makes: which phrase belongs to which act.

A phrase belongs to the act said before it, unless that act has one already or cannot carry it; then to
the act said after it; then it begins the same act again ("strike short corner and long rigger"). What
nobody can carry costs. Pure.
"""

from typing import Any, Final, NamedTuple

from bot.calls.correct import apply_corrections, doubts, join_same_acts, questions
from bot.calls.drafts import (
    AMENDS,
    FISHY,
    LURE,
    Draft,
    call,
    can,
    give,
    lacks,
    lone_fish_colour,
    slot_for,
    slot_of_phrase,
)
from bot.calls.grammar import Grammar, Lists
from bot.calls.lattice import Lattice
from bot.calls.match import Element, Path
from bot.calls.tokens import MAX_WORDS
from bot.trip.acts import TAKES
from bot.trip.call import Call

STRAY_COST: Final = 0.8
"""Cost of a phrase that no act can carry."""
MISSING_COST: Final = 1.5
"""Cost of a missing slot that the act needs."""
IMPLIED_COST: Final = 0.25
"""Cost of an act that is meant although its word was not said."""
AGAIN_COST: Final = 0.25
"""Cost of beginning the same act again without a pause or an "and"."""
EATEN_COST: Final = 0.5
"""Cost of a lure that eats: in "purple ate" a size was said."""
GUESS_COST: Final = 0.3
"""A repair that costs more is a guess by sound, not a known slip."""
GUESSED_WORDS: Final = 2
GUESSED_COST: Final = 0.7
"""Cost of a call that rests on one guess alone: "sweet" is no weed."""
UNDO_COST: Final = 0.8
"""Cost of an undo with unexplained words: "undo that knot"."""
MIXED_COST: Final = 2.0
"""Cost of another boat beside a fish of ours, and of "not the ..." where nothing is corrected."""

PASSED_COST: Final = 0.05
"""Cost of a lure said with an act that keeps none: "missed him on the pink eight"."""
_GAUGES: Final = frozenset(("speed", "water"))
"""Acts that consist of a number and a unit; both may be known slips: "ate nots"."""
_LURELESS: Final = frozenset("miss pulled_hook break_off boat release".split())
_AGAIN: Final = frozenset(
    "strike hookup clear raise set swap miss pulled_hook break_off ready".split()
)
"""Acts that begin again with each further position."""


class Reading(NamedTuple):
    """What a line may mean."""

    calls: tuple[Call, ...]
    cost: float
    path: Path
    strays: int = 0
    missing: int = 0
    implied: int = 0


def assemble(path: Path, lattice: Lattice, grammar: Grammar, line: str) -> Reading:
    """Make the calls of one way through a line."""
    maker = _Maker(lattice, line, grammar.lists)
    maker.run(path.elements)
    cost = maker.cost + doubts(maker.drafts, lattice, grammar.lists)
    cost += _eaten(path, lattice, grammar.lists["ate"])
    drafts = questions(apply_corrections(maker.drafts, lattice, grammar.lists, grammar.units), line)
    if any(e.kind == "negated" for e in path.elements):
        cost += 0.0 if any(d.act == "amend" for d in maker.drafts) else MIXED_COST
    if len(drafts) > 1 and any(d.slots.get("what") == "boat" for d in drafts):
        cost += MIXED_COST
    if any(d.act == "undo" for d in drafts) and any(e.kind == "unknown" for e in path.elements):
        cost += UNDO_COST
    drafts = join_same_acts(drafts, lattice, grammar.lists)
    if _all_guessed(path):
        cost += GUESSED_COST
    missing = sum(lacks(draft, grammar) for draft in drafts)
    cost += path.cost + MISSING_COST * missing
    return Reading(tuple(call(d) for d in drafts), cost, path, maker.strays, missing, maker.implied)


class _Maker:
    """Deals the elements of a path out to drafts."""

    def __init__(self, lattice: Lattice, line: str, lists: Lists) -> None:
        self._lattice, self._line, self._lists = lattice, line, lists
        self.drafts: list[Draft] = []
        self.cost, self.strays, self.implied = 0.0, 0, 0
        self._pending: list[Element] = []

    def run(self, elements: tuple[Element, ...]) -> None:
        real = [e for e in elements if e.kind not in ("filler", "unknown", "negated")]
        for n, given in enumerate(real):
            element = self._as_fish(given)
            if element.cue is not None:
                self._cue(element)
            elif not self._attach(element, real[n + 1 :]):
                self._pending.append(element)
        self._leftovers()
        self._marked()

    def _marked(self) -> None:
        """Turn what was seen right after "mark this spot" into the words of the mark."""
        for n, draft in enumerate(self.drafts[:-1]):
            seen = self.drafts[n + 1 :]
            if draft.act != "mark" or "text" in draft.slots:
                continue
            here = self._lattice.tokens[-1].text in self._lists["here"]
            noted = seen[0].start < len(self._lattice.tokens) and self._noted(draft.end)
            bare = all(not d.slots for d in seen) and self._determined(seen[0].start)
            told = noted or here or bare or all(d.act == "sighting" for d in seen)
            if not told or (not noted and self._pause(draft.end, seen[0].start)):
                continue
            draft.slots["text"] = self._text((draft.end, len(self._lattice.tokens)))
            del self.drafts[n + 1 :]
            return

    def _determined(self, at: int) -> bool:
        """Return whether "this" or "the" stands before a word: "mark this drop off" marks a place."""
        return at > 0 and self._lattice.tokens[at - 1].text in self._lists["pointed"]

    def _noted(self, at: int) -> bool:
        """Return whether a colon or a dash makes the words after it belong to the call before it."""
        tokens = self._lattice.tokens
        return at < len(tokens) and tokens[at].mark in (":", "-", "–")

    def _cue(self, element: Element) -> None:
        assert element.cue is not None
        takes = AMENDS if element.cue.act == "amend" else TAKES[element.cue.act]
        slots = dict(
            (k, v)
            if k == "positions"
            else slot_of_phrase(element.cue.act, k, self._text(v) if k == "text" else v)
            for k, v in element.slots
            if slot_for(element.cue.act, k)
            in takes | {"positions", "number", "old_head", "of_clock", "of_position"}
        )
        slots.update(element.cue.gives)
        draft = Draft(element.cue.act, slots, element.start, element.end)
        draft.given = frozenset(k for k, _ in element.cue.gives)
        waiting, self._pending = self._pending, []
        if draft.act == "amend" and not self.drafts and waiting:
            names = {k for phrase in waiting for k, _ in phrase.slots}
            if "position" in names and names & set(LURE):
                self._implied(waiting)
            else:
                draft.before = {k: v for phrase in waiting for k, v in phrase.slots}
            waiting = []
        for phrase in waiting:
            apart = (
                self.drafts and self._and_before(phrase) and self._pause(phrase.end, draft.start)
            )
            if apart and self._again(phrase):
                continue
            if not give(draft, phrase) and not (self.drafts and self._again(phrase)):
                self._pending.append(phrase)
        strays, self._pending = self._pending, []
        if strays:
            self._implied(strays)
        self.drafts.append(draft)

    def _attach(self, element: Element, rest: list[Element]) -> bool:
        if not self.drafts or self._pending:
            return False
        draft = self.drafts[-1]
        if self._belongs_to_next(draft, element, rest):
            return False
        return give(draft, element)

    def _belongs_to_next(self, draft: Draft, element: Element, rest: list[Element]) -> bool:
        """Return whether a phrase belongs to the next act: a pause stands before it and none after."""
        following = next((e for e in rest if e.cue is not None), None)
        if following is None or following.cue is None:
            return False
        if not self._pause(draft.end, element.start):
            return False
        between = [e for e in rest if e.start < following.start]
        last = between[-1].end if between else element.end
        if self._pause(last, following.start):
            return False
        taken = {k for k, _ in following.slots}
        return can(following.cue.act, element) and not taken & {k for k, _ in element.slots}

    def _as_fish(self, element: Element) -> Element:
        """Read "a blue" as the fish, unless "on" or "for" makes it the lure that was bitten."""
        colour = dict(element.slots)
        if element.kind != "lure" or not lone_fish_colour(colour):
            return element
        tokens, lists = self._lattice.tokens, self._lists
        article = tokens[element.start].text in lists["articles"]
        before = tokens[element.start - 1].text if element.start else ""
        on_lure = before in lists["before_lure"]
        acts = FISHY | {"amend"} if article else FISHY
        fishy = bool(self.drafts) and self.drafts[-1].act in acts
        guess = before in lists["guessing"]
        beside = fishy and (self.drafts[-1].end == element.start or guess)
        if fishy and ((article and (not on_lure or before in lists["but_fish"])) or beside):
            species = (("species", f"{colour['colours'][0]} marlin"),)
            return element._replace(kind="fish", slots=species)
        return element

    def _pause(self, start: int, end: int) -> bool:
        tokens = self._lattice.tokens
        return any(
            tokens[n].stop or (n < end and tokens[n].text in self._lists["pauses"])
            for n in range(start, min(end + 1, len(tokens)))
        )

    def _and_before(self, phrase: Element) -> bool:
        before = self._lattice.tokens[max(phrase.start - 1, 0) : phrase.start + 1]
        return any(token.text in self._lists["and"] for token in before)

    def _leftovers(self) -> None:
        waiting, self._pending = self._pending, []
        for phrase in waiting:
            if self.drafts and (give(self.drafts[-1], phrase) or self._again(phrase)):
                continue
            self._pending.append(phrase)
        if self._pending:
            self._implied(self._pending)
            self._pending = []

    def _again(self, phrase: Element) -> bool:
        """Begin the previous act again with a phrase that it already has."""
        last = self.drafts[-1]
        names = {k for k, _ in phrase.slots}
        placed = last.act in _AGAIN and names & {"position", "positions"}
        fish = last.act in ("boat", "release") and "species" in names and "species" in last.slots
        if not placed and not fish and not (last.act in ("ready", "set") and names & set(LURE)):
            return False
        fresh = Draft(last.act, {}, phrase.start, phrase.end, cue=False)
        if not give(fresh, phrase):
            return False
        if not self._pause(last.end, phrase.start):
            self.cost += AGAIN_COST
        if "count" in last.given:
            last.slots.pop("count", None)
        self.drafts.append(fresh)
        return True

    def _implied(self, phrases: list[Element]) -> None:
        """Add the act that is meant where no word for it was said."""
        names = [k for p in phrases for k, _ in p.slots]
        lure = any(k in LURE for k in names)
        if lure and {"position", "positions"} & set(names):
            self.cost += IMPLIED_COST
            self.implied += 1
            draft = Draft("set", {}, phrases[0].start, phrases[-1].end, cue=False)
            self.drafts.append(draft)
            for phrase in phrases:
                if not give(draft, phrase) and not self._again(phrase):
                    self._stray()
                draft = self.drafts[-1]
            return
        for phrase in phrases:
            if self.drafts and self.drafts[-1].act in _LURELESS and _only_lure(phrase):
                self.cost += PASSED_COST
                continue
            self._stray()

    def _stray(self) -> None:
        self.strays += 1
        self.cost += STRAY_COST

    def _text(self, span: Any) -> str:
        start, end = span
        tokens = self._lattice.tokens
        if end == len(tokens) > MAX_WORDS:  # what was not looked at belongs to it
            return self._line[tokens[start].start :].rstrip(" .,;!?\n")
        return self._line[tokens[start].start : tokens[end - 1].end].strip()


def _only_lure(phrase: Element) -> bool:
    """Return whether a phrase names a lure and nothing else."""
    return bool(phrase.slots) and all(name in LURE for name, _ in phrase.slots)


def _all_guessed(path: Path) -> bool:
    """Return whether the only part of a line that means something is a guess."""
    content = [e for e in path.elements if e.kind not in ("filler", "unknown", "negated")]
    if len(content) != 1 or content[0].end - content[0].start > GUESSED_WORDS:
        return False
    gauge = content[0].cue is not None and content[0].cue.act in _GAUGES
    return content[0].repair > (2 * GUESS_COST if gauge else GUESS_COST)


def _eaten(path: Path, lattice: Lattice, ate: frozenset[str]) -> float:
    """Charge for reading "purple ate" as a bite: a lure does not eat, and "ate" sounds like a size."""
    before: Element | None = None
    for element in path.elements:
        one = element.end - element.start == 1
        if element.cue is not None and one and before is not None:
            names = {k for k, _ in before.slots}
            thin = names & {"colours", "head"} and not names & {"size_in", "lure"}
            if lattice.tokens[element.start].text in ate and thin:
                return EATEN_COST
        before = element
    return 0.0
