"""Which lures are aboard: of a colour, a size or a head, others than that spoken of, what goes for a fish."""

from collections.abc import Sequence
from typing import Final

from bot.answers.answer import Answer
from bot.answers.view import View
from bot.replies.amounts import number, sentence
from bot.spread.fish_rules import FOR_FISH, FishTaste, like_words, nearest, sized_for
from bot.spread.rules import range_words, runs_at
from bot.tackle.items import Lure
from bot.trip.acts import ASK_READY, BAIT
from bot.trip.call import Call
from bot.trip.lures import from_water, is_known, label

MOST_LURES: Final = 12
"""Most lures of one line that are named."""
MOST_OF_A_ROW: Final = 6
"""Most lures named of those that stand alike."""
NEAREST: Final = 3
"""Number of lures named where none has the size that goes for a fish."""


def asked_kind(view: View, call: Call) -> Answer:
    """Answer with what is aboard of colours, a size or a head, ready ones first."""
    found = [x for x in _aboard(view) if _fits(x, call)]
    words = label(call)
    text = f"Of {words}: {_stand(view, found)}" if found else f"No {words} is aboard."
    return Answer(text, sentence(text) if not found else f"{len(found)} of {words}.")


def asked_for_fish(view: View, call: Call) -> Answer:
    """Answer with what is aboard for a fish, by common practice, ready ones first; or that none is known."""
    species = call.species or _last_fish(view)
    if species is None:
        text = "For which fish? Say its name."
        return Answer(text, text)
    liking = FOR_FISH.get(species)
    if liking is None:
        text = f"No practice for {species} is known here, so no lure is picked for it."
        return Answer(f'{text} "What is ready" lists what is.', text)
    lines = [sentence(like_words(species, liking)), *_for(view, liking)]
    lines.append(f'Say "plan a spread for {species}" for a plan with them.')
    return Answer("\n".join(lines), lines[1])


def _for(view: View, liking: FishTaste) -> list[str]:
    """Return the lures of the sizes that go for a fish by how they stand, those with its heads first."""
    aboard = _aboard(view)
    found = sized_for(aboard, liking)
    lead = [] if found else ["None aboard is of that size; the nearest:"]
    found = found or nearest(aboard, liking, NEAREST)
    found = sorted(found, key=lambda x: (x.head not in liking.heads, x.name))
    rows: dict[str, list[str]] = {}
    for lure in found:
        state, more = _where(view, lure)
        looks = f"{lure.looks} {lure.head or ''}".strip() if liking.heads else lure.looks
        words = ", ".join(part for part in (looks, more) if part)
        rows.setdefault(state, []).append(f"{lure.name} ({words})")
    order = ("ready", _too_fast(view), "out", "not ready")
    lead += [
        f"{state[0].upper()}{state[1:]}: {_some(rows[state])}." for state in order if state in rows
    ]
    return lead


def _where(view: View, lure: Lure) -> tuple[str, str]:
    """Return how a lure stands for now, and what there is to know besides."""
    state = view.readiness[lure.name].state
    if state == "in water":
        return "out", view.line_of(lure.name) or ""
    if state != "ready":
        return "not ready", state
    if runs_at(lure, view.speed_kn):
        return "ready", ""
    return _too_fast(view), range_words(*lure.speed_range_kn).removeprefix("at ")


def _too_fast(view: View) -> str:
    """Return how a lure stands that is ready and does not run at the speed of now."""
    return f"ready, but not at {number(view.speed_kn)} knots"


def _some(words: Sequence[str]) -> str:
    more = f" and {len(words) - MOST_OF_A_ROW} more" if len(words) > MOST_OF_A_ROW else ""
    return "; ".join(words[:MOST_OF_A_ROW]) + more


def _last_fish(view: View) -> str | None:
    """Return the fish spoken of last on this trip, of those for which a practice is known if any is."""
    said = [e.call.species for e in reversed(view.stood) if e.call.species and e.call.act != BAIT]
    return next((name for name in said if name in FOR_FISH), said[0] if said else None)


def _aboard(view: View) -> list[Lure]:
    return [x for x in view.box if view.readiness[x.name].state != "lost"]


def asked_another(view: View, call: Call) -> Answer:
    """Answer with what else is aboard of a size or colour: as said, or of the lure mentioned last."""
    said = _of_last(view, call)
    if said is None:
        text = "Another of what? Say a size or a colour."
        if call.position is not None:
            text = f"Nothing is out on the {call.position}. Say a size or a colour."
        return Answer(text, text)
    out = {one.lure for one in view.trip.spread.values()}
    out.add(said.lure)
    there = [x for x in _aboard(view) if x.name not in out]
    both = [x for x in there if _fits(x, said)]
    words = label(said.with_slots(lure=None))
    if both:
        lines = [f"Of {words}: {_stand(view, both)}"]
    else:
        laid = [
            f"{one.label}, {one.position}"
            for one in view.trip.spread.values()
            if (x := view.lure(one.lure)) is not None and _fits(x, said)
        ]
        but = f" but what is out: {'; '.join(laid)}" if laid else ""
        lines = [f"No other {words} is aboard{but}."]
    if said.size_in is not None and said.colours:
        sized = [x for x in there if _sized(x, said) and x not in both]
        coloured = [x for x in there if _coloured(x, said) and x not in both]
        lines += [f"Of that size: {_stand(view, sized)}"] if sized else []
        lines += [f"Of that colour: {_stand(view, coloured)}"] if coloured else []
    return Answer("\n".join(lines), sentence(lines[0]))


def _of_last(view: View, call: Call) -> Call | None:
    """Return the size and colours that are asked for: as said, or those of the lure spoken of last."""
    if call.names_lure:
        lure = view.lure(call.lure)
        if lure is None:
            return call
        return Call(ASK_READY, lure=lure.name, size_in=lure.size_in, colours=lure.colours)
    spoken = [e.call for e in view.stood if e.call.names_lure]
    if call.position is not None:
        out = view.trip.spread.values()
        spoken = [from_water(call, x) for x in out if x.position == call.position and is_known(x)]
    if not spoken:
        return None
    size_in = None if call.asks("same_colour") else spoken[-1].size_in
    colours = () if call.asks("same_size") else spoken[-1].colours
    return Call(ASK_READY, lure=spoken[-1].lure, size_in=size_in, colours=colours)


def _fits(lure: Lure, said: Call) -> bool:
    return _sized(lure, said) and _coloured(lure, said) and said.head in (None, lure.head)


def _sized(lure: Lure, said: Call) -> bool:
    return said.size_in is None or abs(lure.size_in - said.size_in) < 0.13


def _coloured(lure: Lure, said: Call) -> bool:
    return not said.colours or set(said.colours) <= set(lure.colours)


def _stand(view: View, lures: Sequence[Lure]) -> str:
    ranked = sorted(lures, key=lambda x: (view.readiness[x.name].state != "ready", x.name))
    words = [f"{x.name} ({x.looks}, {_state(view, x)})" for x in ranked[:MOST_LURES]]
    more = f" and {len(lures) - MOST_LURES} more" if len(lures) > MOST_LURES else ""
    return "; ".join(words) + more + "."


def _state(view: View, lure: Lure) -> str:
    """Return how a lure stands: `ready`, `to check`, `out on the shotgun`."""
    place, state = view.line_of(lure.name), view.readiness[lure.name].state
    return f"out on the {place}" if place is not None and state == "in water" else state
