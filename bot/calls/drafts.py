"""A call in the making: which slots it has, which it may take, and what it lacks. Pure."""

from dataclasses import dataclass, field
from typing import Any, Final

from bot.calls.grammar import Grammar
from bot.calls.match import Element
from bot.trip.acts import ENDINGS, FISH_ACTS, MISSED, TABLE, TAKES
from bot.trip.call import Call
from bot.units import CM_PER_INCH, CM_PER_M

FISHY: Final = frozenset(act for act in FISH_ACTS if TABLE[act].stage != "struck")
"""Acts of a fish: with them "a blue" is a fish."""
AMENDS: Final = frozenset(
    "position side colours size_in lure head species count length_cm weight_kg tag tagged speed_kn"
    " water_c depth_m ago_min clock number positions what angler drag_kg wind_kn wind_from sea_m"
    " tray".split()
)
"""What a correction may carry."""
LURE: Final = ("colours", "size_in", "lure", "head")


@dataclass(slots=True)
class Draft:
    """A call in the making."""

    act: str
    slots: dict[str, Any]
    start: int
    end: int
    cue: bool = True
    given: frozenset[str] = field(default_factory=frozenset)
    before: dict[str, Any] = field(default_factory=dict)
    """Only of a correction: what was said before it without an act: "a sail, make that a white"."""


def can(act: str, element: Element) -> bool:
    """Return whether an act can carry a phrase."""
    allowed = AMENDS if act == "amend" else TAKES.get(act, frozenset())
    return all(slot_for(act, k) in allowed for k, _ in element.slots)


def slot_for(act: str, name: str) -> str:
    """Return the slot that a phrase fills in an act: inches are a length where a fish was landed."""
    if name == "positions" and act != "amend":
        return "position"
    return TABLE[act].reads.get(name, name)


def slot_of_phrase(act: str, name: str, value: Any) -> tuple[str, Any]:
    """Return the slot that a phrase fills in an act, and its value in the unit of that slot."""
    goal = slot_for(act, name)
    match name, goal:
        case "size_in", "length_cm":
            return goal, round(value * CM_PER_INCH, 1)
        case "length_cm", "sea_m":
            return goal, round(value / CM_PER_M, 2)
        case _:
            return goal, value


def give(draft: Draft, element: Element) -> bool:
    """Add a phrase to a draft where it can carry it and has none yet."""
    slots = dict(element.slots)
    if lone_fish_colour(slots) and "species" not in draft.slots and draft.act in FISHY:
        before = element.start < draft.start and element.kind == "lure"
        if before or draft.act in ENDINGS - MISSED:
            slots = {"species": f"{slots['colours'][0]} marlin"}
    if not slots:
        return element.kind == "when"
    if not can(draft.act, element._replace(slots=tuple(slots.items()))):
        return False
    for name in slots:
        goal = slot_for(draft.act, name)
        if goal in draft.slots and not (name in draft.given and draft.slots[goal] == slots[name]):
            return False
        if name in ("position", "positions") and {"position", "positions"} & draft.slots.keys():
            return False
    for name, value in slots.items():
        goal, value = slot_of_phrase(draft.act, name, value)
        draft.slots["positions" if name == "positions" else goal] = value
    draft.end = max(draft.end, element.end)
    return True


def lone_fish_colour(slots: dict[str, Any]) -> bool:
    """Return whether all that was said is a colour that also names a fish."""
    return set(slots) == {"colours"} and slots["colours"] in (("blue",), ("black",), ("white",))


def lacks(draft: Draft, grammar: Grammar) -> int:
    """Return the number of slots that the act needs and nobody said."""
    have = set(draft.slots)
    if have & set(LURE):
        have.add("lure")
    if have & {"old_colours", "old_size_in", "old_lure", "old_head"}:
        have.add("old")
    lacks = sum(1 for need in grammar.needs.get(draft.act, ()) if not have & set(need.split("|")))
    if draft.act == "amend" and all(name.startswith("of_") for name in draft.slots):
        lacks += 1
    return lacks


def call(draft: Draft) -> Call:
    """Make the call."""
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
