"""A way through a line to the calls it makes: which phrase belongs to which act.

A phrase belongs to the act said before it, unless that act has one already or cannot carry it; then to
the act said after it; then it begins the same act again ("strike short corner and long rigger"). What
nobody can carry costs. Pure.
"""

from dataclasses import dataclass, field
from typing import Any, Final, NamedTuple

from bot.calls.grammar import Grammar
from bot.calls.lattice import Lattice
from bot.calls.match import Element, Path
from bot.trip.call import TAKES, Call

STRAY_COST: Final = 0.8
"""A phrase that no act can carry."""
MISSING_COST: Final = 1.5
"""A slot that the act cannot do without."""
AGAIN_COST: Final = 0.25
"""The same act begun again without a pause or an "and"."""
EATEN_COST: Final = 0.5
IMPLIED_COST: Final = 0.25
"""An act that is meant though its word was not said."""

_AGAIN: Final = frozenset(
    {
        "strike",
        "hookup",
        "clear",
        "raise",
        "set",
        "swap",
        "miss",
        "pulled_hook",
        "break_off",
        "ready",
    }
)
_ONCE: Final = frozenset(
    [
        "strike",
        "hookup",
        "boat",
        "release",
        "pulled_hook",
        "break_off",
        "trip_start",
        "trip_end",
        "lines_in",
        "lines_out",
        "raise",
        "miss",
        "water",
        "speed",
        "ask_tally",
        "ask_spread",
        "ask_next",
        "ask_why",
        "ask_last",
        "ask_ready",
        "ask_sun",
        "plan",
        "ready",
        "rework",
        "undo",
        "yes",
        "no",
        "help",
        "swap",
        "set",
        "clear",
        "note",
        "mark",
    ]
)
"""Acts that said twice in a breath, without a new position, are one call."""
_ALONE: Final = frozenset({"yes", "no", "help"})
_FISHY: Final = frozenset(
    {"raise", "hookup", "boat", "release", "pulled_hook", "break_off", "miss"}
)
_AMENDS: Final = frozenset(
    [
        "position",
        "side",
        "colours",
        "size_in",
        "lure",
        "head",
        "species",
        "count",
        "length_cm",
        "weight_kg",
        "tag",
        "tagged",
        "speed_kn",
        "water_c",
        "depth_m",
        "ago_min",
        "clock",
        "number",
        "positions",
        "what",
    ]
)
_LURE: Final = ("colours", "size_in", "lure", "head")


@dataclass(slots=True)
class Draft:
    """A call in the making."""

    act: str
    slots: dict[str, Any]
    start: int
    end: int
    cue: bool = True
    given: frozenset[str] = field(default_factory=frozenset)


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
    maker = _Maker(lattice, line)
    maker.run(path.elements)
    cost = maker.cost + _doubts(maker.drafts, lattice) + _eaten(path, lattice)
    drafts = _questions(_corrected(maker.drafts), line)
    if any(e.kind == "negated" for e in path.elements):
        cost += 0.0 if any(d.act == "amend" for d in maker.drafts) else 2.0
    if len(drafts) > 1 and any(d.slots.get("what") == "boat" for d in drafts):
        cost += 2.0
    drafts = _joined(drafts)
    missing = 0
    calls = []
    for draft in drafts:
        lacks = _lacks(draft, grammar)
        missing += lacks
        calls.append(_call(draft))
    cost += path.cost + MISSING_COST * missing
    return Reading(tuple(calls), cost, path, maker.strays, missing, maker.implied)


class _Maker:
    """Deals the elements of a path out to drafts."""

    def __init__(self, lattice: Lattice, line: str) -> None:
        self._lattice, self._line = lattice, line
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

    def _cue(self, element: Element) -> None:
        assert element.cue is not None
        takes = _AMENDS if element.cue.act == "amend" else TAKES[element.cue.act]
        slots = {
            k: self._text(v) if k == "text" else v
            for k, v in element.slots
            if _slot_for(element.cue.act, k) in takes | {"positions", "number", "old_head"}
        }
        slots.update(element.cue.gives)
        draft = Draft(element.cue.act, slots, element.start, element.end)
        draft.given = frozenset(k for k, _ in element.cue.gives)
        waiting, self._pending = self._pending, []
        for phrase in waiting:
            if not _give(draft, phrase) and not (self.drafts and self._again(phrase)):
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
        return _give(draft, element)

    def _belongs_to_next(self, draft: Draft, element: Element, rest: list[Element]) -> bool:
        """Say whether a pause before a phrase, and none after it, gives it to the next act."""
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
        return _can(following.cue.act, element) and not taken & {k for k, _ in element.slots}

    def _as_fish(self, element: Element) -> Element:
        """Take "a blue" for the fish where it is no lure that was bitten: not after "on" or "for"."""
        colour = dict(element.slots)
        if element.kind != "lure" or not _lone_fish_colour(colour):
            return element
        tokens = self._lattice.tokens
        article = tokens[element.start].text in ("a", "an", "another")
        before = tokens[element.start - 1].text if element.start else ""
        on_lure = before in ("on", "at", "for", "to", "the", "off", "from", "with")
        fishy = self.drafts and self.drafts[-1].act in _FISHY
        if article and fishy and (not on_lure or before in ("to", "on")):
            species = (("species", f"{colour['colours'][0]} marlin"),)
            return element._replace(kind="fish", slots=species)
        return element

    def _pause(self, start: int, end: int) -> bool:
        tokens = self._lattice.tokens
        return any(
            tokens[n].stop or (n < end and tokens[n].text in ("and", "then"))
            for n in range(start, min(end + 1, len(tokens)))
        )

    def _leftovers(self) -> None:
        waiting, self._pending = self._pending, []
        for phrase in waiting:
            if self.drafts and (_give(self.drafts[-1], phrase) or self._again(phrase)):
                continue
            self._pending.append(phrase)
        if self._pending:
            self._implied(self._pending)
            self._pending = []

    def _again(self, phrase: Element) -> bool:
        """Begin the act before once more with a phrase that it has already."""
        last = self.drafts[-1]
        names = {k for k, _ in phrase.slots}
        placed = last.act in _AGAIN and names & {"position", "positions"}
        if not placed and not (last.act in ("ready", "set") and names & set(_LURE)):
            return False
        fresh = Draft(last.act, {}, phrase.start, phrase.end, cue=False)
        if not _give(fresh, phrase):
            return False
        if not self._pause(last.end, phrase.start):
            self.cost += AGAIN_COST
        if "count" in last.given:
            last.slots.pop("count", None)
        self.drafts.append(fresh)
        return True

    def _implied(self, phrases: list[Element]) -> None:
        """Make what is meant where no word of an act was said."""
        names = [k for p in phrases for k, _ in p.slots]
        lure = any(k in _LURE for k in names)
        if "position" in names and lure:
            self.cost += IMPLIED_COST
            self.implied += 1
            draft = Draft("set", {}, phrases[0].start, phrases[-1].end, cue=False)
            self.drafts.append(draft)
            for phrase in phrases:
                if not _give(draft, phrase) and not self._again(phrase):
                    self._stray()
                draft = self.drafts[-1]
            return
        for _ in phrases:
            self._stray()

    def _stray(self) -> None:
        self.strays += 1
        self.cost += STRAY_COST

    def _text(self, span: Any) -> str:
        start, end = span
        tokens = self._lattice.tokens
        return self._line[tokens[start].start : tokens[end - 1].end].strip()


def _can(act: str, element: Element) -> bool:
    allowed = _AMENDS if act == "amend" else TAKES.get(act, frozenset())
    return all(_slot_for(act, k) in allowed for k, _ in element.slots)


def _slot_for(act: str, name: str) -> str:
    if name == "positions" and act != "amend":
        return "position"
    if name == "size_in" and act in ("boat", "release"):
        return "length_cm"
    return name


def _give(draft: Draft, element: Element) -> bool:
    """Add a phrase to a draft where it can carry it and has none yet."""
    slots = dict(element.slots)
    if _lone_fish_colour(slots) and "species" not in draft.slots and draft.act in _FISHY:
        before = element.start < draft.start and element.kind == "lure"
        if before or draft.act in ("boat", "release", "pulled_hook", "break_off"):
            slots = {"species": f"{slots['colours'][0]} marlin"}
    if not slots:
        return element.kind == "when"
    if not _can(draft.act, element._replace(slots=tuple(slots.items()))):
        return False
    for name in slots:
        goal = _slot_for(draft.act, name)
        if goal in draft.slots and not (name in draft.given and draft.slots[goal] == slots[name]):
            return False
        if name in ("position", "positions") and {"position", "positions"} & draft.slots.keys():
            return False
    for name, value in slots.items():
        goal = _slot_for(draft.act, name)
        if goal == "length_cm" and name == "size_in":
            value = round(value * 2.54, 1)
        draft.slots["positions" if name == "positions" else goal] = value
    draft.end = max(draft.end, element.end)
    return True


def _lone_fish_colour(slots: dict[str, Any]) -> bool:
    return set(slots) == {"colours"} and slots["colours"] in (("blue",), ("black",), ("white",))


_ASKED: Final = {"ready": "ask_ready", "strike": "ask_tally", "raise": "ask_tally"}
"""What a call is when its line ends with a question mark."""


def _doubts(drafts: list[Draft], lattice: Lattice) -> float:
    """Charge a "no" that opens a line and corrects nothing."""
    if len(drafts) < 2 or drafts[0].act != "amend" or drafts[0].slots or drafts[1].act == "amend":
        return 0.0
    words = {t.text for t in lattice.tokens[drafts[0].start : drafts[0].end]}
    return 0.0 if words & {"was", "is", "correction", "mistake"} else 2.0


def _eaten(path: Path, lattice: Lattice) -> float:
    """Charge "purple ate" as a bite: a lure does not eat, and "ate" sounds like a size."""
    before: Element | None = None
    for element in path.elements:
        one = element.end - element.start == 1
        if element.cue is not None and one and before is not None:
            names = {k for k, _ in before.slots}
            thin = names & {"colours", "head"} and not names & {"size_in", "lure"}
            if lattice.tokens[element.start].text == "ate" and thin:
                return EATEN_COST
        before = element
    return 0.0


def _questions(drafts: list[Draft], line: str) -> list[Draft]:
    """Let a question keep what was said in it, and a question mark make one."""
    if drafts and drafts[0].act.startswith("ask_"):
        first = drafts[0]
        for other in drafts[1:]:
            if other.act.startswith("ask_"):
                continue
            for name, value in other.slots.items():
                if name in TAKES[first.act] | {"positions"}:
                    first.slots.setdefault(name, value)
        drafts = [first, *(d for d in drafts[1:] if d.act.startswith("ask_"))]
    if len(drafts) == 1 and drafts[0].act in _ASKED and line.rstrip().endswith("?"):
        drafts[0].act = _ASKED[drafts[0].act]
        allowed = TAKES[drafts[0].act] | {"positions"}
        drafts[0].slots = {k: v for k, v in drafts[0].slots.items() if k in allowed}
    return drafts


def _corrected(drafts: list[Draft]) -> list[Draft]:
    """Let a correction within the line put right what was said before it."""
    done: list[Draft] = []
    fixing = False
    opened = False
    for draft in drafts:
        if draft.act == "amend":
            if done and done[-1].act == "undo" and not draft.slots:
                continue
            if done and done[-1].act not in ("amend", "undo", "yes", "no"):
                _override(done[-1], draft.slots)
                fixing = True
                continue
            if done and done[-1].act == "amend":
                done[-1].slots.update(draft.slots)
                done[-1].end = draft.end
                continue
            opened = True
            done.append(draft)
            continue
        if fixing and done:
            kept = {k: v for k, v in done[-1].slots.items() if k in TAKES.get(draft.act, ())}
            done[-1] = Draft(draft.act, kept | draft.slots, done[-1].start, draft.end)
            fixing = False
            continue
        if opened and done and done[-1].act == "amend" and not done[-1].slots:
            done[-1] = Draft("undo", {}, done[-1].start, done[-1].end)
        done.append(draft)
    return done


def _override(draft: Draft, slots: dict[str, Any]) -> None:
    number = slots.get("number")
    for name, value in slots.items():
        if name == "number":
            continue
        goal = _slot_for(draft.act, name)
        if goal == "length_cm" and name == "size_in":
            value = round(value * 2.54, 1)
        if name == "positions":
            draft.slots.pop("position", None)
        if name in ("ago_min", "clock"):
            draft.slots.pop("ago_min", None)
            draft.slots.pop("clock", None)
        draft.slots[goal if name != "positions" else name] = value
    if number is not None:
        _number(draft, number)


def _number(draft: Draft, number: float) -> None:
    """Put a bare number where it fits: a speed, a lure's size, or a count."""
    for name in ("speed_kn", "water_c", "size_in", "weight_kg"):
        if name in draft.slots:
            draft.slots[name] = number
            return
    if draft.act in ("set", "swap", "ready", "rework") or number > 5:
        draft.slots["size_in"] = number
    elif number == int(number) and number > 1:
        draft.slots["count"] = int(number)


def _joined(drafts: list[Draft]) -> list[Draft]:
    """Make one call of an act that was said twice, and tidy what goes together."""
    done: list[Draft] = []
    for draft in drafts:
        if done and _same_again(done[-1], draft):
            for name, value in draft.slots.items():
                done[-1].slots.setdefault(name, value)
            done[-1].end = draft.end
            continue
        if done and {done[-1].act, draft.act} == {"pulled_hook", "break_off"}:
            both = draft.slots | done[-1].slots
            done[-1] = Draft("break_off", both, done[-1].start, draft.end)
            continue
        done.append(draft)
    if len(done) > 1:
        done = [d for d in done if d.act not in _ALONE] or done[:1]
    return _with_water(_spread_out(done))


def _same_again(before: Draft, now: Draft) -> bool:
    if before.act != now.act or now.act not in _ONCE:
        return False
    shared = before.slots.keys() & now.slots.keys()
    if any(before.slots[k] != now.slots[k] for k in shared):
        return False
    placed = {"position", "positions"}
    return not (placed & before.slots.keys() and placed & now.slots.keys()) or not (
        now.slots.keys() - shared
    )


def _with_water(drafts: list[Draft]) -> list[Draft]:
    water = next((d for d in drafts if d.act == "water"), None)
    if water is None:
        return drafts
    kept = []
    for draft in drafts:
        edge = draft.slots.get("what") in ("weed", "current line", "temperature break")
        if draft.act == "sighting" and edge and "what" not in water.slots and len(drafts) == 2:
            water.slots["what"] = draft.slots["what"]
            continue
        kept.append(draft)
    return kept


def _spread_out(drafts: list[Draft]) -> list[Draft]:
    """Make one call for each of "both riggers"."""
    done: list[Draft] = []
    for draft in drafts:
        positions = draft.slots.pop("positions", None)
        if positions is None:
            done.append(draft)
            continue
        for position in positions:
            slots = {"position": position} | draft.slots
            if "count" in draft.given:
                slots.pop("count", None)
            done.append(Draft(draft.act, slots, draft.start, draft.end))
    return done


def _lacks(draft: Draft, grammar: Grammar) -> int:
    have = set(draft.slots)
    if have & set(_LURE):
        have.add("lure")
    if have & {"old_colours", "old_size_in", "old_lure", "old_head"}:
        have.add("old")
    lacks = sum(1 for need in grammar.needs.get(draft.act, ()) if not have & set(need.split("|")))
    if draft.act == "amend" and not draft.slots:
        lacks += 1
    return lacks


def _call(draft: Draft) -> Call:
    slots = dict(draft.slots)
    number = slots.pop("number", None)
    if draft.act == "amend" and number is not None:
        if number > 5 or number != int(number):
            slots.setdefault("size_in", number)
        elif number > 1:
            slots.setdefault("count", int(number))
    if draft.act == "speed" and number is not None:
        slots.setdefault("speed_kn", number)
    if slots.get("count") == 1:
        del slots["count"]
    slots.pop("old_head", None)
    names = set(Call.__dataclass_fields__)
    return Call(draft.act, **{k: v for k, v in slots.items() if k in names})  # type: ignore[arg-type]
