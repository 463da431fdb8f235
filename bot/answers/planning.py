"""The answer to "plan a spread": a plan of the lures that are ready, and the offer to log it."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Final

from bot.answers.answer import NO, Answer, Offer
from bot.answers.drawing import plan_pictures, wants_picture
from bot.answers.fit import A_TRIP, caution_lines
from bot.answers.spacing import wave_count
from bot.answers.view import View
from bot.findings import Finding
from bot.messages import Button
from bot.replies.amounts import count, number, sentence
from bot.trip.call import Call
from bot.trip.entry import Asked

if TYPE_CHECKING:
    from bot.spread.plan import Plan

MOST_FINDINGS: Final = 3
"""What could not be met, and what speaks against a lure; `deckcall plan` tells the rest."""
_SEVERITIES: Final = ("warning", "caution", "note")


def make_plan(
    view: View, tackle: str | float | None = None, speed_kn: float | None = None,
    avoid: Sequence[frozenset[str]] = (),
) -> "Plan":  # fmt: skip
    """Return the spread to start with; raises ValueError for an unknown tackle word or speed."""
    from bot.spread.planner import plan

    return plan(
        view.ready, view.boat, tackle=tackle, speed_kn=speed_kn, avoid=avoid,
        weights=view.weights, calibration=wave_count(view),
    )  # fmt: skip


def asked_plan(view: View, call: Call) -> Answer:
    """Propose a spread."""
    if not view.box:
        text = "The tackle box is empty, so there is nothing to plan with. Import it first."
        return Answer(text, "The tackle box is empty.")
    offers = _offers(view) if call.asks("other") else []
    tackle = _tackle_of(offers[0]) if offers and call.tackle is None else call.tackle
    question = f"Log this spread{_for(tackle)}?"
    earlier = [_lures_of(one) for one in reversed(offers) if _tackle_of(one) == tackle]
    try:
        plan = make_plan(view, tackle, avoid=earlier)
    except ValueError as exc:
        return Answer(sentence(str(exc)), "No plan for that.")
    told = _told(plan)
    if not plan.positions:
        return Answer("\n".join(["No spread can be planned.", *told]), "No spread can be planned.")
    lines = [
        f"Plan{_for(tackle)}{',' if tackle else ' for'} {number(plan.speed_kn)} kn, {_lures(plan)}:"
    ]
    lines += [
        f"{one.position}: {one.lure}, {one.back_m:.0f} m back on wave {one.wave}. {one.reason}"
        for one in plan.positions
    ]
    lines += told
    lines += caution_lines(view, plan.findings)
    lines.append('Say "set it" to log it, "another plan" for another.')
    offer = Offer(question, (plan.set_calls(),), about=call.with_slots(tackle=tackle))
    spoken = "; ".join(f"{p.position}, {p.lure}" for p in plan.positions)
    buttons = (Button("Set it", "set it"), Button("Another", "another plan"), NO)
    pictures = plan_pictures(view, plan) if wants_picture(view, call) else ()
    return Answer("\n".join(lines), sentence(spoken), None, offer, buttons, pictures)


def _lures(plan: "Plan") -> str:
    return count(len(plan.positions), "lure")


def _told(plan: "Plan") -> list[str]:
    """Return the findings that matter most: whether another was to be had, then the gravest."""
    ranked = sorted(plan.findings, key=_rank)
    return [sentence(finding.text) for finding in ranked[:MOST_FINDINGS]]


def _rank(finding: Finding) -> tuple[bool, int]:
    return finding.code != "same-lures", _SEVERITIES.index(finding.severity)


def _for(tackle: str | float | None) -> str:
    """Write the tackle that was asked for."""
    if tackle is None:
        return ""
    return f" for {tackle} tackle" if isinstance(tackle, str) else f" for {number(tackle)} kg"


def _tackle_of(offered: Asked) -> str | float | None:
    """Return the tackle of a plan that was offered, so that another one is for the same."""
    return None if offered.about is None else offered.about.tackle


def _offers(view: View) -> list[Asked]:
    """Return the plans that were offered on the way to this trip or on it, the latest first."""
    late = view.now - A_TRIP
    known = (view.asked, *view.load_questions(), *reversed(view.records))
    offers = [r for r in known if isinstance(r, Asked) and r.at >= late]
    plans = [r for r in offers if r.options and r.about is not None]
    return sorted({r.id: r for r in plans}.values(), key=lambda r: r.id, reverse=True)


def _lures_of(offered: Asked) -> frozenset[str]:
    return frozenset(call.lure or "" for call in offered.options[0])
