"""The answer to "plan a spread": a plan of the lures that are ready, and the offer to log it."""

from typing import TYPE_CHECKING

from bot.answers.answer import NO, Answer, Offer
from bot.answers.drawing import plan_pictures
from bot.answers.view import View
from bot.messages import Button
from bot.replies.amounts import count, number, sentence
from bot.trip.call import Call
from bot.trip.entry import Asked

if TYPE_CHECKING:
    from bot.spread.plan import Plan

_OTHER = frozenset({"another", "other", "different", "else"})
MOST_FINDINGS = 2


def make_plan(
    view: View, tackle: str | float | None = None, speed_kn: float | None = None,
    avoid: "Plan | None" = None,
) -> "Plan":  # fmt: skip
    """Give the spread to start with; raises ValueError for an unknown tackle word or speed."""
    from bot.spread.planner import plan

    return plan(view.ready, view.boat, tackle=tackle, speed_kn=speed_kn, avoid=avoid)


def asked_plan(view: View, call: Call) -> Answer:
    """Propose a spread."""
    if not view.box:
        text = "The tackle box is empty, so there is nothing to plan with. Import it first."
        return Answer(text, "The tackle box is empty.")
    try:
        plan = make_plan(view, call.tackle, avoid=_shown_before(view))
    except ValueError as exc:
        return Answer(sentence(str(exc)), "No plan for that.")
    if not plan.positions:
        found = [sentence(finding.text) for finding in plan.findings[:MOST_FINDINGS]]
        return Answer("\n".join(["No spread can be planned.", *found]), "No spread can be planned.")
    lines = [f"Plan for {number(plan.speed_kn)} kn, {count(len(plan.positions), 'lure')}:"]
    for one in plan.positions:
        lines.append(
            f"{one.position}: {one.lure} ({' '.join(one.colours)} {one.size_in:g} in),"
            f" {one.back_m:.0f} m back, wave {one.wave}"
        )
    worst = sorted(plan.findings, key=lambda f: ("warning", "caution", "note").index(f.severity))
    lines += [sentence(finding.text) for finding in worst[:MOST_FINDINGS]]
    lines.append('Say "set it" to log it, "another plan" for another.')
    offer = Offer("Log this spread?", (plan.set_calls(),))
    spoken = "; ".join(f"{p.position}, {p.lure}" for p in plan.positions)
    buttons = (Button("Set it", "set it"), Button("Another", "another plan"), NO)
    pictures = plan_pictures(view, plan)
    return Answer("\n".join(lines), sentence(spoken), None, offer, buttons, pictures)


def _shown_before(view: View) -> "Plan | None":
    """Give the plan that was offered last, where another one is asked for."""
    if not _OTHER & set(view.heard.casefold().split()):
        return None
    from bot.spread.plan import Plan, Planned

    for record in (view.asked, *reversed(view.records)):
        if isinstance(record, Asked) and record.options and not record.text:
            calls = record.options[0]
            if all(call.act == "set" and call.lure for call in calls):
                return Plan(
                    tuple(
                        Planned(
                            c.position or "", c.lure or "", c.size_in or 0.0, c.colours, c.head,
                            "", None, 0.0, 0,
                        )
                        for c in calls
                    ),
                    0.0,
                    (),
                )  # fmt: skip
    return None
