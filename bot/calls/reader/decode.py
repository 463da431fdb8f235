"""Turn tags of words into calls: runs of one act with the values of its slots. Pure."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import groupby
from typing import Any, Final

from bot.calls.reader.labels import (
    BAIT,
    NO_ACT,
    NO_ROLE,
    ONE_PLACE,
    SEEN,
    SHARED_SLOTS,
    SPEAKER,
    TO_THE_END,
    act_and_slot,
)
from bot.calls.reader.loose import is_kind_alone
from bot.calls.reader.values import WORD_ROLES, name_in, raw_text, singular_kind, values_of
from bot.calls.reader.words import Words
from bot.trip.acts import ANGLER, ASK_FISH, CAUGHT
from bot.trip.encounters import closer_species
from bot.units import CM_PER_INCH

Slots = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Tag:
    """What the network says of one word."""

    act: str
    begins: bool
    """True where a call begins with this word."""
    role: str


@dataclass(frozen=True, slots=True)
class TaggedCall:
    """One call as tagged: its act, its words, and what they fill."""

    act: str
    start: int
    end: int
    slots: Slots
    unread: tuple[str, ...] = ()
    """Roles whose words have no value that the language can read."""
    silent: int = 0
    """Words that have a role but add nothing to its value: "wide" in "wide marlin"."""


def tagged_calls(words: Words, tags: Sequence[Tag]) -> tuple[TaggedCall, ...]:
    """Return the calls that the tags of a line make, in the order said."""
    found: list[TaggedCall] = []
    tags = _named_by_side(words, tags)
    for label, start, end in _runs(tags):
        found += _calls(words, tags, label, start, end)
        if found[-1].act in TO_THE_END and "text" in found[-1].slots:
            break
    return tuple(_sides_shared(_shared(_said_once(found))))


def _named_by_side(words: Words, tags: Sequence[Tag]) -> Sequence[Tag]:
    """Return the tags with the side in a name, "port" in the boat's own "port corner", as part of it."""
    named = {
        at
        for start, terms in enumerate(words.terms)
        for term in terms.get("{position}", ())
        for at in range(start, min(term.end, len(words.tokens)))
        if term.cost == 0 and words.tokens[at].text in str(term.slots[0][1]).split()
    }
    return [
        replace(tag, role="position") if tag.role == "side" and at in named else tag
        for at, tag in enumerate(tags)
    ]


def _said_once(calls: list[TaggedCall]) -> list[TaggedCall]:
    """Return calls with each event once: "pulled the hook, he's gone" is one, if nothing contradicts it."""
    found: list[TaggedCall] = []
    for call in calls:
        last = found[-1] if found else None
        if last is not None and last.act == call.act and _agree(last.slots, call.slots):
            slots = {**last.slots, **call.slots}
            unread = (*last.unread, *call.unread)
            found[-1] = replace(last, end=call.end, slots=slots, unread=unread)
        else:
            found.append(call)
    return found


LONGEST_LURE_CM: Final = 61
"""A length beside a colour, up to this (24 inches), is that of the lure; common practice, no source."""
_MEASURED: Final = frozenset({"weight_kg", "length_cm", "clock"})
_LOOKS: Final = frozenset({"colours", "size_in", "head"})


def _shared(calls: list[TaggedCall]) -> list[TaggedCall]:
    """Return calls with what was said once for all of one act given to each: the tray, the kind of fish."""
    found = list(calls)
    for n in (*range(1, len(found)), *reversed(range(len(found) - 1))):
        call = found[n]
        for other in found[max(0, n - 1) : n + 2]:
            slot = SHARED_SLOTS.get(call.act, "")
            alone = slot != "species" or (_MEASURED & call.slots.keys() and not call.unread)
            if other.act == call.act and slot in other.slots and slot not in call.slots and alone:
                call = found[n] = replace(call, slots={**call.slots, slot: other.slots[slot]})
    return found


def _agree(one: Slots, other: Slots) -> bool:
    for named, seen in ((one, other), (other, one)):
        if "lure" in named and "tray" in {*one, *other} and _LOOKS & seen.keys():
            return False  # "the nail in tray one with the pink six": two lures
    return all(one[name] == other[name] for name in one.keys() & other.keys())


def _sides_shared(calls: list[TaggedCall]) -> Iterator[TaggedCall]:
    """Yield the calls in order, with the side that was said last for all sightings of one breath."""
    for n, call in enumerate(calls):
        following = calls[n + 1] if n + 1 < len(calls) else None
        side = following.slots.get("side") if following else None
        alike = following and call.act == following.act == SEEN and following.start == call.end
        if side and alike and "side" not in call.slots:
            call = replace(call, slots={**call.slots, "side": side})
        yield call


def _runs(tags: Sequence[Tag]) -> Iterator[tuple[str, int, int]]:
    start: int | None = None
    for at, tag in enumerate(tags):
        if start is not None and (tag.begins or tag.act != tags[start].act):
            yield tags[start].act, start, at
            start = None
        if start is None and tag.act != NO_ACT:
            start = at
    if start is not None:
        yield tags[start].act, start, len(tags)


def _calls(
    words: Words, tags: Sequence[Tag], label: str, start: int, end: int
) -> Iterator[TaggedCall]:
    act, slots = act_and_slot(label)
    filled: Slots = dict(slots)
    unread: list[str] = []
    silent = 0
    positions: tuple[str, ...] = ()
    texts = [at for at in range(start, end) if tags[at].role == "text"]
    if texts:
        last = len(words.tokens) if act in TO_THE_END else texts[-1] + 1
        filled["text"] = raw_text(words, texts[0], last)
    for role, at, stop in _role_runs(tags, start, end):
        if role == "text" or (texts and texts[0] <= at <= texts[-1]):
            continue
        if role == "angler":
            filled[role] = _angler(act, name_in(words, at, stop), filled.get(role), unread)
        elif role in WORD_ROLES:
            filled[role] = _worded(role, raw_text(words, at, stop), filled.get(role))
        elif role == "tagged":
            filled["tagged"] = True
        else:
            values, passed = values_of(words, role, at, stop)
            silent += passed
            if not values and act == BAIT and role == "species":
                values = (
                    singular_kind(words, at, stop),
                )  # fish eat more kinds than the grammar knows
            if not values:
                unread += [] if is_kind_alone(words, role, at, stop) else [role]
            elif role == "position":
                new = tuple(p for value in values for p in value)
                positions += tuple(p for p in dict.fromkeys(new) if p not in positions)
            elif role in ("colours", "old_colours"):
                each = (*filled.get(role, ()), *(c for colours in values for c in colours))
                filled[role] = tuple(dict.fromkeys(each))
            else:
                filled[role] = _kept(role, filled.get(role), values[0])
    if "tag" in filled:
        filled["tagged"] = True
    if act in ONE_PLACE and not _only_lists(words, tags, start, end):
        positions = positions[:1]
    if len(positions) > 1 and filled.get("count") == len(positions):
        del filled["count"]
    for position in positions or (None,):
        where = {} if position is None else {"position": position}
        yield TaggedCall(act, start, end, where | _tidy(act, filled), tuple(unread), silent)


def _only_lists(words: Words, tags: Sequence[Tag], start: int, end: int) -> bool:
    """Return whether a call is positions one beside the other, or names two as one: "both riggers"."""
    joins = words.grammar.lists["and"]
    runs = (one for one in _role_runs(tags, start, end) if one[0] == "position")
    if any(len(value) > 1 for run in runs for value in values_of(words, *run)[0]):
        return True
    return all(
        tags[at].role == "position" or words.tokens[at].text in joins for at in range(start, end)
    )


def _kept(role: str, before: Any, new: Any) -> Any:
    """Return the value that was said first; of a kind of fish the closer name: "a shark, a tiger shark"."""
    if role == "species":
        return closer_species(new, before)
    return new if before is None else before


def _angler(act: str, name: str, before: str | None, unread: list[str]) -> str:
    """Return who has the rod of two that are named: the later one takes it over, else it is not clear."""
    if before in (None, SPEAKER, name) or act == ANGLER:
        return name
    unread.append("angler")
    return str(before)


def _worded(role: str, said: str, before: Any) -> str:
    said = said if role != "tray" else said.lower()
    if before and said.casefold() == str(before).casefold():
        return str(before)  # "petra, petra has the rod"
    return f"{before} {said}" if before else said


def _role_runs(tags: Sequence[Tag], start: int, end: int) -> Iterator[tuple[str, int, int]]:
    for role, run in groupby(range(start, end), key=lambda at: tags[at].role):
        places = list(run)
        if role != NO_ROLE:
            yield role, places[0], places[-1] + 1


def _tidy(act: str, slots: Slots) -> Slots:
    """Return the slots in the form of the contract."""
    found = {k: v for k, v in slots.items() if not (k in ("ago_min",) and v == 0)}
    if found.get("count") == 1:
        del found["count"]
    if "size_in" in found and act in CAUGHT:
        found["length_cm"] = round(found.pop("size_in") * CM_PER_INCH, 1)
    if act == ASK_FISH and found.get("about") == "crew":
        found["about"] = "angler"  # who caught it, not who called it
    if act == SEEN and found.get("what") == found.get("species"):
        found.pop("species", None)  # "a turtle" is what was seen, and no fish
    return found


def is_of_lure(slots: Mapping[str, Any]) -> bool:
    """Return whether a length can be that of a lure: "boated it on the purple eight" measures no fish."""
    return 0 < float(slots.get("length_cm", 0)) <= LONGEST_LURE_CM
