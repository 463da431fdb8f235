"""The answer to "plan a spread": a plan of the lures that are ready, and the offer to log it."""

import re
from collections.abc import Iterator
from typing import TYPE_CHECKING, Final

from bot.answers.answer import NO, Answer, Offer
from bot.answers.drawing import plan_pictures, wants_picture
from bot.answers.fit import caution_lines
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
_OTHER: Final = frozenset({"another", "other", "different", "else"})
_SEVERITIES: Final = ("warning", "caution", "note")
_QUESTION: Final = re.compile(r"Log this spread(?: for (?P<word>\w+)(?P<kg> kg)?(?: tackle)?)?\?")
"""What an offered plan asks; it keeps the tackle, so that another one is for the same."""


def make_plan(
    view: View, tackle: str | float | None = None, speed_kn: float | None = None,
    avoid: "Plan | None" = None,
) -> "Plan":  # fmt: skip
    """Give the spread to start with; raises ValueError for an unknown tackle word or speed."""
    from bot.spread.planner import plan

    return plan(
        view.ready, view.boat, tackle=tackle, speed_kn=speed_kn, avoid=avoid,
        calibration=wave_count(view),
    )  # fmt: skip


def asked_plan(view: View, call: Call) -> Answer:
    """Propose a spread."""
    if not view.box:
        text = "The tackle box is empty, so there is nothing to plan with. Import it first."
        return Answer(text, "The tackle box is empty.")
    before = _offered(view) if _OTHER & set(view.heard.casefold().split()) else None
    tackle = _tackle_of(before) if before and call.tackle is None else call.tackle
    try:
        plan = make_plan(view, tackle, avoid=_as_plan(before) if before else None)
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
    offer = Offer(f"Log this spread{_for(tackle)}?", (plan.set_calls(),))
    spoken = "; ".join(f"{p.position}, {p.lure}" for p in plan.positions)
    buttons = (Button("Set it", "set it"), Button("Another", "another plan"), NO)
    pictures = plan_pictures(view, plan) if wants_picture(view) else ()
    return Answer("\n".join(lines), sentence(spoken), None, offer, buttons, pictures)


def _lures(plan: "Plan") -> str:
    return count(len(plan.positions), "lure")


def _told(plan: "Plan") -> list[str]:
    """Give the findings that matter most: whether another was to be had, then the gravest."""
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
    """Give the tackle of a plan that was offered."""
    found = _QUESTION.fullmatch(offered.question)
    if found is None or found["word"] is None:
        return None
    return float(found["word"]) if found["kg"] else found["word"]


def _offered(view: View) -> Asked | None:
    """Give the last plan that was offered, whatever was asked or logged since."""
    return next(_offers(view), None)


def _offers(view: View) -> Iterator[Asked]:
    for record in (view.asked, *reversed(view.records)):
        if isinstance(record, Asked) and _QUESTION.fullmatch(record.question):
            yield record


def _as_plan(offered: Asked) -> "Plan":
    """Give the lures of an offered plan in the form that a plan differs from."""
    from bot.spread.plan import Plan, Planned

    return Plan(
        tuple(
            Planned(
                c.position or "",
                c.lure or "",
                c.size_in or 0.0,
                c.colours,
                c.head,
                "",
                None,
                0.0,
                0,
            )
            for c in offered.options[0]
        ),
        0.0,
        (),
    )
