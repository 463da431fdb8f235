"""Two readings of one line that come to the same, or of which one holds the other: the one to take. Pure."""

from datetime import datetime, timedelta
from typing import Any, Final

from bot.calls.reader.labels import CLEARED
from bot.calls.understand import Understanding
from bot.trip.acts import (
    ANGLER,
    BITES,
    CONTROL,
    LINES_IN,
    LINES_OUT,
    QUESTIONS,
    READY,
    SET,
    SIGHTING,
    SWAP,
    TABLE,
    TRAY,
    TRIP_END,
    UNDO,
)  # fmt: skip
from bot.trip.call import Call
from bot.trip.entry import Entry
from bot.trip.fill import old_lure
from bot.trip.lines import line_with
from bot.trip.progress import NOT_OVER
from bot.trip.state import Trip

JUST_OVER: Final = timedelta(minutes=10)
"""How long after a fish is over an ending, a weight or a name may be about it."""
NAMES: Final = frozenset({"species"})
LOOSE: Final = QUESTIONS | {"undo"}
"""Acts that one reading may have beyond the other, and that may be left out."""

LIST_ACTS: Final = ({TRAY}, {READY}, {SET}, {LINES_IN, SET})
"""What may be said of several lures in a row."""

DETAILS_FROM: Final = 0.4
"""Probability of the first reading from which readings that differ in a detail are not asked about."""
DETAILS: Final = frozenset({"angler", "species", "weight_kg", "length_cm", "tag", "tagged"})

Calls = tuple[Call, ...]


def either_alike(first: Calls, second: Calls, last: Entry | None, at: datetime) -> Calls | None:
    """Return the fuller of two readings that say the same in more or fewer words; else None."""
    return (
        without_repeats(first, second)
        or freed_after_all(first, second, last, at)
        or on_after_all(first, second, last, at)
        or fuller(first, second)
        or of_one_place(first, second, last)
        or in_more_words(first, second)
        or reading_with_sighting(first, second)
    )


def without_repeats(first: Calls, second: Calls) -> Calls | None:
    """Return bites on named lines each once, where one reading has some of them twice; else None."""
    once = tuple(dict.fromkeys(first))
    bites = len({call.act for call in once}) == 1 and all(c.position for c in once)
    same = set(once) == set(second) and len(first) != len(second)
    return once if bites and same and once[0].act in BITES else None


def reading_with_sighting(first: Calls, second: Calls) -> Calls | None:
    """Return the reading that also says why a line was brought in, where both say all else; else None."""
    for whole, other in ((first, second), (second, first)):
        seen = [call for call in whole if call not in other]
        same = [call for call in whole if call in other] == list(other)
        if same and {c.act for c in seen} == {SIGHTING} and CLEARED in {c.act for c in other}:
            return whole
    return None


def choose_swap(first: Calls, second: Calls, trip: Trip) -> Calls | None:
    """Return the swap whose old lure is on a line, of two swaps to the same lure; else None."""
    if (
        [c.act for c in (*first, *second)] != [SWAP, SWAP]
        or first[0].position
        or second[0].position
    ):
        return None
    one, other = (line_with(trip.spread, old_lure(calls[0])) for calls in (first, second))
    if first[0].lure != second[0].lure or one == other is None:
        return None
    return first if one is not None and other in (None, one) else second if one is None else None


def freed_after_all(first: Calls, second: Calls, last: Entry | None, at: datetime) -> Calls | None:
    """Return a release of the fish boated just now, where one reading has only its tag; else None."""
    boated = last is not None and last.call.act == "boat" and at - last.at <= JUST_OVER
    both = (*first, *second)
    freed = next((call for call in both if call.act == "release"), None)
    tags = {"tagged", "tag"}
    of_tag = [c for c in both if c.act == "amend" and c.tagged and c.said().keys() <= tags]
    if not boated or freed is None or not of_tag or len(both) != len(of_tag) + 1:
        return None
    return (freed.with_slots(tagged=True, tag=freed.tag or of_tag[0].tag),)


def on_after_all(first: Calls, second: Calls, last: Entry | None, at: datetime) -> Calls | None:
    """Return that a fish is on which was just missed or lost, where one reading takes that back; else None.

    The other is a hook-up. After a miss the fish is called on as well.
    """
    ended = last is not None and TABLE[last.call.act].stage in ("missed", "lost")
    if last is None or not ended or not timedelta() <= at - last.at <= NOT_OVER:
        return None
    hooked = next((c for c in (*first, *second) if TABLE[c.act].stage == "on"), None)
    if hooked is None or hooked.position not in (None, last.call.position):
        return None
    alone = {tuple(call.act for call in calls) for calls in (first, second)}
    undo, on = (UNDO,), (hooked.act,)
    if not alone <= {undo, on, (*undo, *on)} or not any(UNDO in acts for acts in alone):
        return None
    if any(call.act == UNDO and call.of_act for call in (*first, *second)):
        return None
    return (Call(UNDO), hooked) if TABLE[last.call.act].stage == "missed" else (Call(UNDO),)


def fuller(first: Calls, second: Calls) -> Calls | None:
    """Return the correction that says what the other does and names the fish as well; else None."""
    if [c.act for c in first] != ["amend"] or [c.act for c in second] != ["amend"]:
        return None
    one, other = first[0].said(), second[0].said()
    if one.keys() == other.keys() | NAMES and all(one[k] == v for k, v in other.items()):
        return first
    named = other.keys() == one.keys() | NAMES and all(other[k] == v for k, v in one.items())
    return second if named else None


def in_more_words(first: Calls, second: Calls) -> Calls | None:
    """Return the reading that keeps more of the words, where nothing else tells the two apart; else None."""
    bare = [tuple(call.with_slots(text=None) for call in calls) for calls in (first, second)]
    texts = [" ".join(call.text or "" for call in calls) for calls in (first, second)]
    if bare[0] != bare[1] or not all(texts):
        return None
    if texts[1] in texts[0]:
        return first
    return second if texts[0] in texts[1] else None


def of_one_place(first: Calls, second: Calls, last: Entry | None) -> Calls | None:
    """Return the correction without its line, where the other names the line of the last entry; else None."""
    if last is None or [c.act for c in (*first, *second)] != ["amend", "amend"]:
        return None
    places = {first[0].position, second[0].position}
    one, two = (calls[0].with_slots(position=None) for calls in (first, second))
    return (one,) if one == two and places == {None, last.call.position} else None


def one_for_both(first: Calls, second: Calls, trip: Trip) -> Calls | None:
    """Return the reading that stands for both, as one holds the other or differs only in line or rod."""
    joined = _fuller_reading(first, second) or _on_its_line(first, second, trip)
    return joined or _angler_alone(first, second, trip)


def _angler_alone(first: Calls, second: Calls, trip: Trip) -> Calls | None:
    """Return that somebody has the rod, where "I've got him" may be a catch too: no catch is made up."""
    both = {call.act: calls for calls in (first, second) for call in calls}
    if len(first) != 1 or len(second) != 1 or not trip.fish_on:
        return None
    rod = both.get(ANGLER)
    ends = any(TABLE[act].stage == "caught" for act in both)
    return rod if ends else None


def _on_its_line(first: Calls, second: Calls, trip: Trip) -> Calls | None:
    """Return the reading without the line, where the other names that of the only fish that is on."""
    if len(first) != 1 or len(second) != 1 or len(trip.fish_on) != 1:
        return None
    one, two = first[0].with_slots(position=None), second[0].with_slots(position=None)
    lines = {first[0].position, second[0].position} - {None}
    fish = TABLE[one.act].stage in ("leader", "lost", "caught")
    return (one,) if fish and one == two and lines == {trip.fish_on[0].position} else None


def in_number_alone(first: Calls, second: Calls) -> bool:
    """Return whether it is open how many fish of one line were caught: one or two is for the crew to say."""
    if len(first) != 1 or len(second) != 1 or first == second or not first[0].position:
        return False
    same = first[0].with_slots(count=None) == second[0].with_slots(count=None)
    return same and TABLE[first[0].act].stage == "caught"


def _fuller_reading(first: Calls, second: Calls) -> Calls | None:
    """Return the reading that holds all that both say, without loose acts; else None."""
    acts, others = [c.act for c in first], [c.act for c in second]
    if acts == [TRIP_END] and others == [LINES_OUT, TRIP_END] and first[0] == second[1]:
        return second
    if {*acts, *others} in LIST_ACTS and all(call in first for call in second):
        return first  # a list of lures, of which one reading has some alone
    if acts == ["amend", *others] and len(others) == 1:
        whole = second[0].with_slots(**{**first[0].said(), **first[1].said()})
        return second if whole == second[0] else None  # "it's a tuna, lost it" in one call or two
    if len(acts) == 1 and acts == others and TABLE[acts[0]].stage is not None:
        told = first[0].with_slots(position=None, side=None)
        if first[0].position and told == second[0]:
            return first  # "missed one on the flat line, the short one"
    if acts == ["strike"] and others == ["strike", "hookup"]:
        same = first[0].position == second[0].position and second[1].position is None
        angler = first[0].angler
        return (second[0], second[1].with_slots(angler=angler)) if same else None
    if acts == ["leader", *others] and len(others) == 1 and first[1] == second[0]:
        return first  # the leader ends nothing
    if acts == ["hookup"] and others == ["strike", "hookup"]:
        return first if first[0].position in (None, second[0].position) else None
    loose = second[len(first) :]
    if loose and second[: len(first)] == first and all(c.act in LOOSE for c in loose):
        return first
    if acts == others and len(acts) == 1:
        for slot in ("count", "side"):
            one, two = (calls[0].with_slots(**{slot: None}) for calls in (first, second))
            if one == two:
                return first if getattr(first[0], slot) else second
    counted = len(acts) > 1 and acts == others and all(c.position for c in (*first, *second))
    if counted and [c.with_slots(count=None) for c in second] == list(first):
        return first  # "a double, short and long rigger": two fish, one on each
    return None


def differ_in_details(found: Understanding) -> bool:
    """Return whether the readings are the same except that one has a name or a weight more."""
    if len(found.options) != 2 or found.options[0].confidence < DETAILS_FROM:
        return False
    first, second = (option.calls for option in found.options)
    if len(first) != len(second) or any(call.act in QUESTIONS for call in first):
        return False
    return all(_tell_the_same(a, b) for a, b in zip(first, second, strict=True))


def _tell_the_same(one: Call, other: Call) -> bool:
    said, also = one.said(), other.said()
    if one.act == other.act:
        renamed = sorted(map(str, said.values())) == sorted(map(str, also.values()))
        return renamed or _is_more(said, also)
    corrects = {one.act, other.act} & CONTROL and not {one.act, other.act} <= CONTROL
    return bool(corrects) and said == also and bool(said.keys() & {"tag", "weight_kg", "length_cm"})


def _is_more(one: dict[str, Any], other: dict[str, Any]) -> bool:
    differs = {name for name in one.keys() | other.keys() if one.get(name) != other.get(name)}
    alike = not (differs & one.keys() & other.keys())
    return alike and differs <= DETAILS and (differs <= one.keys() or differs <= other.keys())
