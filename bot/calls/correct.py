"""Corrections within a line, questions, and calls said twice: drafts to the drafts that are meant. Pure."""

from typing import Any, Final

from bot.calls.drafts import LURE, Draft, lone_fish_colour, slot_for
from bot.calls.grammar import Lists
from bot.calls.grammar_text import Units, factor
from bot.calls.lattice import Lattice
from bot.trip.acts import TAKES
from bot.units import CM_PER_INCH

_ONCE: Final = frozenset(
    "strike hookup boat release pulled_hook break_off trip_start trip_end lines_in lines_out raise"
    " miss water speed ask_tally ask_spread ask_next ask_why ask_last ask_ready ask_sun plan ready"
    " rework undo yes no help swap set clear note mark".split()
)
"""Acts that make one call when they are said twice in a breath without a new position."""
_ALONE: Final = frozenset({"yes", "no", "help"})
"""Acts that mean nothing beside another act."""
_ASKED: Final = {
    "lines_in": "ask_spread",
    "ready": "ask_ready",
    "strike": "ask_tally",
    "raise": "ask_tally",
}
"""Act -> the act that it becomes when its line ends with a question mark."""


def doubts(drafts: list[Draft], lattice: Lattice, lists: Lists) -> float:
    """Return the cost of a "no" that opens a line and corrects nothing."""
    if len(drafts) < 2 or drafts[0].act != "amend" or drafts[0].slots or drafts[1].act == "amend":
        return 0.0
    words = {t.text for t in lattice.tokens[drafts[0].start : drafts[0].end]}
    gauge = words & lists["makes"] and drafts[1].act in ("speed", "water")  # "make that nine knots"
    sure = words & lists["corrects"] or gauge
    sure = sure or _exclaimed(drafts[0], lattice, lists)
    return 0.0 if sure else 2.0


def _exclaimed(draft: Draft, lattice: Lattice, lists: Lists) -> bool:
    """Return whether "no no no" or "sorry" only opens a line and puts nothing right."""
    words = [t.text for t in lattice.tokens[draft.start : draft.end]]
    again = len(words) > 1 and lists["no"].issuperset(words)
    return again or lists["sorry"].issuperset(words)


def questions(drafts: list[Draft], line: str) -> list[Draft]:
    """Fill a question with what was said in it, and make a question of a call with a question mark."""
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


def _without_exclamation(drafts: list[Draft], lattice: Lattice, lists: Lists) -> list[Draft]:
    empty = 0
    while empty < len(drafts) and drafts[empty].act == "amend" and not drafts[empty].slots:
        empty += 1
    if not 0 < empty < len(drafts):
        return drafts
    opening = Draft("amend", {}, drafts[0].start, drafts[empty - 1].end)
    return drafts[empty:] if _exclaimed(opening, lattice, lists) else drafts


def apply_corrections(
    drafts: list[Draft], lattice: Lattice, lists: Lists, units: Units
) -> list[Draft]:
    """Apply the corrections within a line to what was said before them."""
    drafts = _without_exclamation(drafts, lattice, lists)
    done: list[Draft] = []
    fixing = False
    opened = False
    for draft in drafts:
        if draft.act == "amend":
            if done and done[-1].act == "undo" and not draft.slots:
                continue
            if done and done[-1].act not in ("amend", "undo", "yes", "no"):
                _override(done[-1], draft.slots, _factors(done[-1], lattice, units))
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
        tag_only = draft.act == "release" and draft.slots.keys() <= {"tag", "tagged"}
        if opened and done[-1].act == "amend" and not done[-1].slots and tag_only:
            done[-1].slots.update(draft.slots)
            continue
        gauge = draft.act in ("speed", "water")
        if opened and done[-1].act == "amend" and not done[-1].slots and gauge:
            done[-1].slots.update(draft.slots)  # "correction, speed eight knots"
            continue
        if opened and done[-1].act == "amend" and done[-1].before:
            slots = done[-1].before | done[-1].slots | draft.slots
            done[-1] = Draft(draft.act, slots, done[-1].start, draft.end)
            continue
        if opened and done and done[-1].act == "amend" and not done[-1].slots:
            done[-1] = Draft("undo", {}, done[-1].start, done[-1].end)
        done.append(draft)
    return done


def _factors(draft: Draft, lattice: Lattice, units: Units) -> dict[str, float]:
    """Return the factors of the units that were said with an act, by slot."""
    words = [t.text for t in lattice.tokens[draft.start : draft.end]]
    found: dict[str, float] = {}
    for name in ("weight_kg", "length_cm"):
        said = [one for word in words if (one := factor(units, word, (name,))) is not None]
        found |= {name: said[-1]} if said else {}
    return found


def _override(draft: Draft, slots: dict[str, Any], factors: dict[str, float]) -> None:
    measured = slots.keys() & {"weight_kg", "length_cm", "depth_m", "speed_kn", "water_c"}
    number = None if measured else slots.get("number")
    for name, value in slots.items():
        if name == "number":
            continue
        goal = slot_for(draft.act, name)
        if name == "colours" and "colours" not in TAKES[draft.act] and lone_fish_colour(slots):
            goal, value = "species", f"{value[0]} marlin"
        if goal == "length_cm" and name == "size_in":
            value = round(value * CM_PER_INCH, 1)
        if name == "positions":
            draft.slots.pop("position", None)
        if name in ("ago_min", "clock"):
            draft.slots.pop("ago_min", None)
            draft.slots.pop("clock", None)
        draft.slots[goal if name != "positions" else name] = value
    if number is not None:
        _number(draft, number, factors)


def _number(draft: Draft, number: float, factors: dict[str, float]) -> None:
    """Put a bare number where it fits, in the unit said before: a speed, a weight, a size, a count."""
    for name in ("speed_kn", "water_c", "size_in", "weight_kg", "length_cm"):
        if name in draft.slots:
            one = factors.get(name, 1.0)
            draft.slots[name] = number if one == 1.0 else round(number * one, 1)
            return
    if draft.act in ("set", "swap", "ready", "rework") or number > 5:
        draft.slots["size_in"] = number
    elif number == int(number) and number > 1:
        draft.slots["count"] = int(number)


_LOST: Final = frozenset(("pulled_hook", "break_off"))


def _was_on(draft: Draft, lattice: Lattice, lists: Lists) -> bool:
    """Return whether "had him on" only tells of a fish that is lost in the same breath."""
    return lattice.tokens[draft.start].text in lists["had"]


def join_same_acts(drafts: list[Draft], lattice: Lattice, lists: Lists) -> list[Draft]:
    """Join the calls of an act that was said twice, and tidy what goes together."""
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
        if (
            done
            and done[-1].act == "hookup"
            and draft.act in _LOST
            and _was_on(done[-1], lattice, lists)
        ):
            draft.slots = done.pop().slots | draft.slots
        done.append(draft)
    lost = any(d.act in ("pulled_hook", "break_off", "miss") for d in done)
    done = [d for d in done if not (lost and d.act == "rework" and not d.slots.keys() & set(LURE))]
    if len(done) > 1:
        done = [d for d in done if d.act not in _ALONE] or done[:1]
    return _with_water(_spread_out(_one_side(done)))


def _one_side(drafts: list[Draft]) -> list[Draft]:
    """Put all sightings of one breath on the side that was said once, at the end."""
    together: list[Draft] = []
    for draft in drafts:
        if draft.act != "sighting":
            together = []
            continue
        side = draft.slots.get("side")
        for before in together if side is not None else ():
            before.slots.setdefault("side", side)
        together = [*together, draft] if side is None else []
    return drafts


def _same_again(before: Draft, now: Draft) -> bool:
    if before.act == now.act == "sighting":
        return before.slots.get("what") == now.slots.get("what") and not (
            {"species", "count"} & (before.slots.keys() | now.slots.keys())
        )
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
