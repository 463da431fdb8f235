"""The words of a plan: why each lure stands where it does, and what could not be met.

Says only what the box shows: a size or a head is called missing when no ready lure that fits has it.
"""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from bot.findings import Finding
from bot.spread import rules
from bot.spread.rods import NEW_LURES, Rods
from bot.spread.score import TONES, leads, tone
from bot.tackle.checks import PRACTICE, Rig
from bot.tackle.crew_units import METRIC, CrewUnits
from bot.tackle.items import Lure, Outfit
from bot.tackle.line_classes import Gauge, class_of, tackle_word

LARGE_IN: Final[dict[Gauge | None, float]] = {"light": 8, "medium": 10, "heavy": 12, None: 10}
"""What a crew would like on the short corner, by tackle (common practice, no source)."""
SMALL_IN: Final = 8.0
"""What a crew would like on the shotgun at most (common practice, no source)."""
BOX: Final = "lures that are ready"
NOT_PROVEN: Final = Finding(
    "note",
    "so many outfits of different classes: this plan is a good one, not proven the best",
    "search broken off",
    code="not-proven",
)


@dataclass(frozen=True, slots=True)
class ChosenLure:
    """A lure for a position, with what stands behind the choice."""

    position: str
    lure: Lure
    outfit: Outfit | None
    spare: Lure | None
    share_back: float
    """0 for the nearest position of the boat, 1 for the farthest."""


def reason(chosen: Sequence[ChosenLure], number: int) -> str:
    """Return one sentence on why this lure stands there; `chosen` goes from the nearest back."""
    one = chosen[number]
    parts = [_size_words(chosen, number)]
    if one.lure.head:
        parts.append(_head_words(one))
    parts.append(_colour_words(chosen, number))
    if one.spare:
        parts.append(_spare_words(one.lure, one.spare))
    text = "; ".join(parts)
    return f"{text[0].upper()}{text[1:]}."


def rig_words(outfit: Outfit | None, lure: Lure, units: CrewUnits = METRIC) -> str:
    """Return rod, hooks and leader of a position, as far as they are known: a sentence, or nothing."""
    rod = ""
    if outfit is not None:
        rod = f"{units.line(outfit.line_class_kg)} rod, strike drag {units.weight(round(outfit.drag_kg, 1))}"
    text = ", ".join(part for part in (rod, hooks_and_leader(lure, units)) if part)
    return f"{text[0].upper()}{text[1:]}." if text else ""


def hooks_and_leader(lure: Lure, units: CrewUnits = METRIC) -> str:
    """Return hooks and leader of a lure, as far as the box knows them."""
    many = "" if lure.hooks is None else f"{lure.hooks} "
    hooks = (
        f"{many}{lure.hook_gauge} hook{'' if lure.hooks == 1 else 's'}" if lure.hook_gauge else ""
    )
    long = "" if lure.leader_m is None else f"{units.length(lure.leader_m)} of "
    leader = f"leader {long}{units.weight(lure.leader_kg)}" if lure.leader_kg is not None else ""
    return ", ".join(part for part in (hooks, leader) if part)


def findings(
    chosen: Sequence[ChosenLure],
    ready: Sequence[Lure],
    rods: Rods,
    speed_kn: float,
    avoid: Sequence[frozenset[str]],
    others: Sequence[Lure] = (),
    *,
    swapped: bool = False,
) -> tuple[Finding, ...]:
    """Return what rules say about the plan and what could not be met, gravest first, each once.

    `others` are lures that might go out, but are not what was asked for; `swapped` says that other lines than
    the nearest are filled, so that all hooks suit.
    """
    running = [lure for lure in ready if rules.runs_at(lure, speed_kn)]
    besides = [lure for lure in others if rules.runs_at(lure, speed_kn)]
    found = [
        *_empty(chosen, ready, running, rods, speed_kn, besides, swapped),
        *_other_speeds(chosen, ready, running, speed_kn),
        *_differs(chosen, avoid),
        *_rule_findings(chosen, rods, speed_kn),
    ]
    if chosen:
        found += [*_sizes(chosen, running, rods, besides), *_heads(chosen, running, besides)]
        found += [*_colours(chosen), *_spares(chosen, besides)]
    order = ("warning", "caution", "note")
    return tuple(sorted(dict.fromkeys(found), key=lambda finding: order.index(finding.severity)))


# Reasons


def _size_words(chosen: Sequence[ChosenLure], number: int) -> str:
    size = chosen[number].lure.size_in
    if len(chosen) == 1:
        return f"the only one, {size:g}-inch"
    if number == 0:
        return f"largest of {len(chosen)}, {size:g}-inch"
    before = chosen[number - 1]
    step = before.lure.size_in - size
    if step == 0:
        return f"{size:g}-inch like the {before.position}"
    if step < 0:
        return f"{size:g}-inch, because the {before.position} takes no larger one"
    what = "smallest, " if number == len(chosen) - 1 else ""
    return f"{what}{size:g}-inch, {step:g} below the {before.position}"


def _head_words(one: ChosenLure) -> str:
    head, near, far = one.lure.head, one.share_back < 0.5, one.share_back > 0.5
    if near and head in rules.SHORT_HEADS:
        return f"{head} head works close in"
    if far and head in rules.LONG_HEADS:
        return f"{head} head runs straight far back"
    return f"{head} head"


def _colour_words(chosen: Sequence[ChosenLure], number: int) -> str:
    lure, lead = chosen[number].lure, leads([one.lure for one in chosen])
    same = [c.position for n, c in enumerate(chosen) if n != number and lead[n] == lead[number]]
    shade = {-1: "dark", 0: "between dark and light", 1: "light"}[tone(lure)]
    if same:
        return f"{' '.join(lure.colours)}, {shade}, {lead[number]} as on the {same[0]}"
    return f"{' '.join(lure.colours)}, {shade}, the only {lead[number]} one"


def _spare_words(lure: Lure, spare: Lure) -> str:
    size = spare.size_in == lure.size_in
    colour = leads((spare, lure))[0] == leads((spare, lure))[1]
    what = "size and colour" if size and colour else "size" if size else "colour"
    return f"spare of its {what}: {spare.name}"


# What could not be met


def _empty(
    chosen: Sequence[ChosenLure],
    ready: Sequence[Lure],
    running: Sequence[Lure],
    rods: Rods,
    speed_kn: float,
    besides: Sequence[Lure],
    swapped: bool,
) -> Iterable[Finding]:
    filled = {one.position for one in chosen}
    empty = [position for position in rods if position not in filled]
    if not empty:
        return
    if not ready and besides:
        text = "no lure that is ready is what was asked for"
    elif not ready:
        text = "no lure is ready: rig and check some, and say so"
    elif not running:
        text = f"no ready lure runs well at {speed_kn:g} knots"
    elif len(running) <= len(filled):
        many = f" for {len(rods)} positions" if not besides else " of what was asked for"
        text = f"{len(running)} ready{many}: {_stay(empty)}"
    else:
        text = f"no other ready lure goes with the tackle: {_stay(empty)}"
    text += ", so that every hook suits its rod" if swapped else ""
    yield Finding("caution", text, BOX, empty[0] if len(empty) == 1 else None, "empty-position")


def _other_speeds(
    chosen: Sequence[ChosenLure], ready: Sequence[Lure], running: Sequence[Lure], speed_kn: float
) -> Iterable[Finding]:
    """Name the lures that are a spread of their own at their own speed."""
    if not chosen:
        return
    runs = {lure.name for lure in running}
    other = [lure for lure in ready if lure.name not in runs]
    for slower in (True, False):
        apart = [x for x in other if (x.speed_range_kn[1] < speed_kn) is slower]
        common = rules.common_speeds_kn(apart)
        if not apart:
            continue
        at = f" {rules.range_words(*common)}" if common else ""
        text = (
            f"{_list([x.name for x in apart])} {'runs' if len(apart) == 1 else 'run'} "
            f"{'slower' if slower else 'faster'}: a spread of their own{at}, not with this one"
        )
        yield Finding("note", text, PRACTICE, code="other-speeds")


def _differs(chosen: Sequence[ChosenLure], avoid: Sequence[frozenset[str]]) -> Iterable[Finding]:
    lures = {one.lure.name for one in chosen}
    new = min((len(lures - plan) for plan in avoid), default=NEW_LURES)
    if not chosen or new >= min(NEW_LURES, len(chosen)):
        return
    which = "the plan before" if len(avoid) == 1 else "a plan before"
    what = (
        f"differs from {which} in {_count(new)} only" if new else f"no other plan: this is {which}"
    )
    yield Finding("note", f"{what}; no more lures are ready that fit", BOX, code="same-lures")


def _rule_findings(chosen: Sequence[ChosenLure], rods: Rods, speed_kn: float) -> Iterable[Finding]:
    for one in chosen:
        if one.outfit is not None:
            yield from rules.findings(Rig(one.lure, one.outfit, speed_kn))
    laid = tuple(rules.PlacedLure(one.position, one.lure) for one in chosen)
    yield from rules.spread_findings(rules.Spread(laid, tuple(rods), speed_kn))


def _sizes(
    chosen: Sequence[ChosenLure], running: Sequence[Lure], rods: Rods, besides: Sequence[Lure]
) -> Iterable[Finding]:
    for one, other in pairwise(chosen):
        if one.lure.size_in == other.lure.size_in:
            text = (
                f"{one.position} and {other.position} have the same size, {one.lure.size_in:g}-inch"
            )
            yield Finding("note", text, BOX, other.position, "same-size")
    first, last = chosen[0], chosen[-1]
    wanted = LARGE_IN[_word(rods[first.position])]
    if first.lure.size_in < wanted and first.lure.size_in == max(x.size_in for x in running):
        size = first.lure.size_in
        asked = _asked(any(x.size_in > size for x in besides))
        text = f"no ready lure over {size:g} inches{asked}: {first.position} has {_article(size)}"
        yield Finding("note", text, BOX, first.position, "no-large-lure")
    if last.lure.size_in > SMALL_IN and last.lure.size_in == min(x.size_in for x in running):
        size = last.lure.size_in
        asked = _asked(any(x.size_in < size for x in besides))
        text = f"no ready lure under {size:g} inches{asked}: {last.position} has {_article(size)}"
        yield Finding("note", text, BOX, last.position, "no-small-lure")


def _heads(
    chosen: Sequence[ChosenLure], running: Sequence[Lure], besides: Sequence[Lure]
) -> Iterable[Finding]:
    heads = {lure.head for lure in running} - {None}
    if not heads or len(chosen) < 2:
        return
    first, last = chosen[0], chosen[-1]
    if not heads & set(rules.SHORT_HEADS):
        asked = _asked(any(x.head in rules.SHORT_HEADS for x in besides))
        text = (
            f"no blunt or cupped lure{asked or ' ready'}: {first.position} has {_head(first.lure)}"
        )
        yield Finding("note", text, BOX, first.position, "no-short-head")
    if not heads & set(rules.LONG_HEADS):
        asked = _asked(any(x.head in rules.LONG_HEADS for x in besides))
        text = f"no slim lure{asked or ' ready'}: {last.position} has {_head(last.lure)}"
        yield Finding("note", text, BOX, last.position, "no-slim-head")


def _colours(chosen: Sequence[ChosenLure]) -> Iterable[Finding]:
    lead = leads([one.lure for one in chosen])
    counts = Counter(lead)
    for colour, count in counts.items():
        if count > 1:
            where = _list(
                [c.position for c, led in zip(chosen, lead, strict=True) if led == colour]
            )
            text = f"{where} {'both' if count == 2 else 'all'} lead with {colour}"
            yield Finding("note", text, BOX, code="same-colour")
    tones = {tone(one.lure) for one in chosen}
    known = any(colour in TONES for one in chosen for colour in one.lure.colours)
    for missing, word in ((-1, "dark"), (1, "light")):
        if len(chosen) > 1 and known and missing not in tones:
            yield Finding("note", f"no {word} lure in the plan", BOX, code=f"no-{word}-lure")


def _asked(there_is: bool) -> str:
    """Return that something is missing only among what was asked for, where others have it."""
    return " is among what was asked for" if there_is else ""


def _spares(chosen: Sequence[ChosenLure], besides: Sequence[Lure]) -> Iterable[Finding]:
    without = [one.position for one in chosen if one.spare is None]
    if without:
        among = ", of what was asked for," if besides else ""
        text = f"no ready spare of size or colour{among} for {_list(without)}"
        yield Finding("note", text, BOX, without[0] if len(without) == 1 else None, "no-spare")


def _word(outfit: Outfit | None) -> Gauge | None:
    return None if outfit is None else tackle_word(class_of(outfit.line_class_kg).kg)


def _article(size_in: float) -> str:
    names = {6: "six", 7: "seven", 8: "eight", 9: "nine", 10: "ten", 11: "eleven", 12: "twelve"}
    word = names.get(int(size_in)) if size_in == int(size_in) else None
    if word is None:
        return f"one of {size_in:g}"
    return f"{'an' if word in ('eight', 'eleven') else 'a'} {word}"


def _head(lure: Lure) -> str:
    return f"a {lure.head} one" if lure.head else "one whose head is not known"


def _list(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def _stay(positions: Sequence[str]) -> str:
    return f"{_list(positions)} {'stays' if len(positions) == 1 else 'stay'} empty"


def _count(lures: int) -> str:
    return "one lure" if lures == 1 else f"{lures} lures"
