"""The answer to "plan a spread": a plan of the lures that are ready, and the offer to log it."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Final

from bot.answers.answer import NO, Answer, Offer
from bot.answers.drawing import plan_pictures, wants_picture
from bot.answers.fit import A_TRIP, caution_lines
from bot.answers.from_record import from_record
from bot.answers.put_out import exchange_for, in_and_out, tray_calls, tray_of
from bot.answers.set_aside import why_aside
from bot.answers.spacing import wave_count
from bot.answers.tray_talk import asked_trays, names, no_tray, unready_lines
from bot.answers.view import View
from bot.answers.wanted import FAST, NOTHING, SLOW, PlanInput, class_words, plan_input
from bot.findings import Finding
from bot.messages import Button
from bot.replies.amounts import count, number, sentence
from bot.spread.rules import range_words, runs_at
from bot.tackle.checks import Rig, hooks_too_heavy
from bot.tackle.line_classes import CLASS_OF_WORD
from bot.tackle.trays import Tray, named_tray, tray_key
from bot.trip.acts import PLAN
from bot.trip.call import Call
from bot.trip.entry import Advised, Asked, Entry
from bot.trip.lures import agrees, full_label, label, lure_slots
from bot.trip.meant import SpreadWish

if TYPE_CHECKING:
    from bot.spread.plan import Plan

MOST_FINDINGS: Final = 3
"""Most findings about wishes not met and about lures; `deckcall plan` gives the rest."""
FIRST: Final = ("same-lures", "must-not")
"""Codes of findings shown before all others."""
OR_ELSE: Final = '"another plan" for another, "why" for its reasons'
WHAT_COMES_FIRST: Final = (
    "First every lure fits its rod's line class; then sizes and colours as different as can be, big on the"
    " short corner; blunt heads short, slim heads long; spares kept back."
)
_SEVERITIES: Final = ("warning", "caution", "note")


def build_plan(view: View, found: PlanInput, avoid: Sequence[frozenset[str]] = ()) -> "Plan":
    """Return the plan for what is wanted; raises ValueError for an unknown tackle word or speed.

    What the record says for it is in it as far as that goes.
    """
    from bot.spread.planner import plan

    for liked in from_record(view, found).ways():
        made = plan(
            found.lures, found.boat, tackle=found.call.tackle, speed_kn=found.speed_kn, avoid=avoid,
            weights=view.weights, calibration=wave_count(view), layout=view.boat.positions,
            must=dict((*found.must, *liked)), others=[lure for lure, _ in found.left],
        )  # fmt: skip
        names = {one for one, _ in (*found.must, *liked)}
        if not liked or names <= made.lures:
            break
    return made


def asked_plan(view: View, call: Call) -> Answer:
    """Propose a spread, to go out or into a tray."""
    if not view.box:
        text = "The tackle box is empty, so there is nothing to plan with. Import it first."
        return Answer(text, "The tackle box is empty.")
    if (tray := _asked_of(view, call)) is not None:
        shown = asked_trays(view, call)
        return replace(shown, text=f'{shown.text}\nSay "run {tray.words}" to put it out.')
    unknown = _unknown_tray(view, call)
    if unknown:
        return Answer(sentence(unknown), sentence(unknown.split(";")[0]))
    if (again := shown_again(view, call)) is not None:
        return again
    offers = _offers(view) if call.asks("other") else []
    found = plan_input(view, call, offers[0].about if offers else None)
    tackle = found.call.tackle
    wish = call.meaning(SpreadWish) or NOTHING
    less = wish.without or call.asks("changed")  # "no green": the same without it
    before = [] if less else [one for one in reversed(offers) if _tackle_of(one) == tackle]
    earlier = [_lures_of(one) for one in before]
    record = from_record(view, found)
    try:
        kept = _with_the_others(found, offers[0]) if offers and call.asks("changed") else found
        plan = build_plan(view, _ready_first(view, kept), earlier)
    except ValueError as exc:
        return Answer(sentence(str(exc)), "No plan for that.")
    taken = (record.line(plan.lures) if plan.positions else "", record.refused)
    said = dict.fromkeys((*found.said, *_with_them(found, plan), *taken, *found.refused))
    told = [sentence(one) for one in said if one]
    if not plan.positions:
        refused = found.refused and not found.lures and view.ready
        lines = ["No spread can be planned.", *told, *(() if refused else _told(plan))]
        if on_offer(view) is not None:
            lines.append("The plan before is still on offer.")
        return Answer("\n".join(lines), "No spread can be planned.")
    return _proposed(view, found, plan, told)


def _ready_first(view: View, found: PlanInput) -> PlanInput:
    """Return what is wanted for a tray with what is ready: the rest only for lines that would stay empty."""
    ready = tuple(lure for lure in found.lures if lure in view.ready)
    if not found.fills or len(ready) == len(found.lures):
        return found
    only = replace(found, lures=ready)
    wished = {lure for lure, _ in found.must}
    if wished <= {lure.name for lure in ready}:
        placed = [one.lure for one in build_plan(view, only).positions] if ready else []
        if len(placed) == len(found.boat.positions):
            return only
        more = tuple((lure, "") for lure in placed if lure not in wished)
        return replace(found, must=(*found.must, *more))
    return found


def _with_the_others(found: PlanInput, offered: Asked) -> PlanInput:
    """Return what is wanted with the lures of the plan on offer where they were, but on the lines changed."""
    ready = {lure.name for lure in found.lures}
    lures, lines = {lure for lure, _ in found.must}, {line for _, line in found.must}
    others = tuple(
        (call.lure, call.position)
        for call in offered.options[0]
        if call.lure in ready - lures and call.position and call.position not in lines
    )
    return replace(found, must=(*found.must, *((lure or "", line) for lure, line in others)))


def on_offer(view: View) -> Asked | None:
    """Return the plan that was offered last, where nothing was logged or proposed since."""
    asked = view.asked
    if asked is None or not asked.options or asked.about is None or asked.about.act != PLAN:
        return None
    later = (r for r in view.records if isinstance(r, Entry | Advised) and r.id > asked.id)
    return asked if next(later, None) is None else None


def shown_again(view: View, call: Call) -> Answer | None:
    """Return the plan on offer as it is, where it is only to be seen; None where there is none."""
    offered = on_offer(view)
    wish = call.meaning(SpreadWish) or NOTHING
    more = call.with_slots(meant=()) != Call(call.act) or replace(wish, unused=()) != NOTHING
    seen = call.asks("show") or call.asks("seen") or call.asks("of_it")
    if offered is None or not seen or more or call.asks("other"):
        return None
    found = plan_input(view, offered.about or Call(PLAN))
    lures = tuple((x.lure, x.position) for x in offered.options[0] if x.lure and x.position)
    try:
        plan = build_plan(view, replace(found, must=lures))
    except ValueError as exc:
        return Answer(sentence(str(exc)), "No plan for that.")
    told = [sentence(one) for one in (*found.said, *found.refused) if one]
    return _proposed(view, found, plan, told, wants_picture(view, call) or call.asks("seen"))


def explain_plan(view: View, call: Call, offered: Asked) -> Answer:
    """Answer why a plan is as it is: what comes first, then the reason of each lure, or of the one named."""
    lures = {one.lure: one.position for one in offered.options[0] if one.lure and one.position}
    found = plan_input(view, offered.about or Call(PLAN))
    if call.names_lure and not call.lure and not call.position:
        return _why_kind(view, call, lures, found)
    if call.lure and call.lure not in lures:
        spares = {one.lure for one in offered.options[0]}
        spare = f"{call.lure} is a spare in it." if call.lure in spares else ""
        text = spare or _left_out(view, call.lure, found)
        return Answer(text, text)
    found = replace(found, must=tuple(lures.items()))
    try:
        plan = build_plan(view, found)
    except ValueError as exc:
        return Answer(sentence(str(exc)), "No plan for that.")
    named = [
        one
        for one in plan.positions
        if call.position in (None, one.position) and call.lure in (None, one.lure)
    ]
    lines = [
        sentence(f"{one.position}, {one.lure}: {' '.join(p for p in (one.rig, one.reason) if p)}")
        for one in named or plan.positions
    ]
    lead = [] if call.position or call.lure else [WHAT_COMES_FIRST]
    record = from_record(view, replace(found, must=())).line(plan.lures)
    lead += [sentence(record)] if record and not (call.position or call.lure) else []
    return Answer("\n".join([*lead, *lines, *_told(plan)]), (lead or lines)[0])


def _why_kind(view: View, call: Call, lures: Mapping[str, str], found: PlanInput) -> Answer:
    """Answer why lures of a colour, size or head are in the plan on offer or not: each by its name."""
    alike = [one for one in view.box if agrees(call, lure_slots(one))]
    lines = [
        f"{one.name} is in it, on the {lures[one.name]}."
        if one.name in lures
        else _left_out(view, one.name, found)
        for one in sorted(alike, key=lambda one: one.name not in lures)
    ]
    lines = lines[:MOST_FINDINGS] or [f"No {label(call)} is in the box."]
    return Answer("\n".join(lines), lines[0])


def _left_out(view: View, lure: str, found: PlanInput) -> str:
    """Return why a lure of the box is not in the plan on offer, which is for what was wanted."""
    stands = view.readiness.get(lure)
    if (line := view.line_of(lure)) is not None:
        where = f"it is out on the {line}"
        return f"{lure} is not in it: {where}, and the plan is of lures that are not."
    if stands is not None and stands.state != "ready":
        why = f" ({stands.reason})" if stands.reason else ""
        return f"{lure} is not in it: {stands.state}{why}."
    known = view.lure(lure)
    at_kn = found.speed_kn or view.boat.usual_kn
    if known is not None and not runs_at(known, at_kn):
        return f"{lure} is ready, but runs {range_words(*known.speed_range_kn)}, not at {number(at_kn)}."
    if aside := why_aside(view, lure):
        return aside
    asked = next((words for one, words in found.left if one.name == lure), None)
    if asked is not None:
        return f"{lure} is ready, but not for what was asked: {asked}."
    return (
        f"{lure} is ready, but the others fit their rods and spread sizes and colours as well or better."
        f' Say "plan a spread with {lure}" for one that has it.'
    )


def _proposed(
    view: View, found: PlanInput, plan: "Plan", told: list[str], drawn: bool = False
) -> Answer:
    tackle, tray = found.call.tackle, found.fills
    lines = [*_heading(view, found, plan), *told]
    for one in plan.positions:
        lines.append(
            f"{one.position}: {full_label(one)}, {view.units.distance(one.back_m)} back on wave {one.wave}."
        )
    lines += _told(plan, graver_than="note")
    lines += [sentence(line) for line in _heavy_on_own_rods(view, found, plan)]
    lines += _on_other_rods(view, plan)
    lines += caution_lines(view, plan.findings)
    spoken = "; ".join(f"{p.position}, {p.lure}" for p in plan.positions)
    if tray:
        made = tray_of(view, found, plan)
        lines += [f"Spares: {names(made.spares)}."] if made.spares else []
        lines += unready_lines(view, made)
        lines.append(f'Say "set it" to put it in {made.words}, {OR_ELSE}.')
        offer = Offer(f"Put this in {made.words}?", (tray_calls(made),), about=found.call)
        buttons = (Button("Set it", "set it"), Button("Another", "another plan"), NO)
    else:
        lines.append(f'Say "set it" to log it, {OR_ELSE}.')
        question = f"Log this spread{_for(view, tackle)}?"
        calls = plan.set_calls()
        if found.wish.to_do == "run" and view.trip.spread:
            change = exchange_for(view, plan, found.kept)
            calls = change.calls
            lines[-1:-1] = in_and_out(change)
        offer = Offer(question, (calls,), about=found.call)
        buttons = (Button("Set it", "set it"), Button("Another", "another plan"), NO)
    drawn = drawn or wants_picture(view, found.call)
    pictures = plan_pictures(view, plan) if drawn else ()
    return Answer("\n".join(lines), sentence(spoken), None, offer, buttons, pictures)


def _heavy_on_own_rods(view: View, found: PlanInput, plan: "Plan") -> list[str]:
    """Return which hooks are too heavy for the rods of the settings, where other tackle was asked for."""
    if found.call.tackle is None or found.fills:
        return []
    told = []
    for one in plan.positions:
        lure, outfit = view.lure(one.lure), view.boat.outfit(one.position)
        if lure is None or outfit is None:
            continue
        if hooks_too_heavy(Rig(lure, outfit, plan.speed_kn)) is not None:
            told.append(f"{one.lure} on the {one.position} (takes {outfit.gauge})")
    return [f"hooks too heavy for your own rods: {', '.join(told)}"] if told else []


def _on_other_rods(view: View, plan: "Plan") -> list[str]:
    """Return which lines have rods of another class in the settings than the plan is for, and which."""
    others: dict[float, list[str]] = {}
    for one in plan.positions:
        own = view.boat.outfit(one.position)
        meant = one.outfit
        if own is not None and meant is not None and own.line_class_kg != meant.line_class_kg:
            others.setdefault(own.line_class_kg, []).append(one.position)
    told = [f"{', '.join(lines)} {view.units.line(kg)}" for kg, lines in others.items()]
    return [f"Rods of that class are not on all lines here: {'; '.join(told)}."] if told else []


def _with_them(found: PlanInput, plan: "Plan") -> list[str]:
    """Return which of the lures that were to be in a plan are there; what became of others is a finding."""
    placed = {one.lure: one.position for one in plan.positions}
    return [
        f"with {name} on the {placed[name]}"
        for name, position in found.must
        if name in placed and position in ("", placed[name])
    ]


def _heading(view: View, found: PlanInput, plan: "Plan") -> list[str]:
    tackle = found.call.tackle
    head = f"Plan{_for(view, tackle)}{',' if tackle else ' for'} {number(plan.speed_kn)} kn, {_lures(plan)}:"
    limits = class_words(view, tackle)
    named = f"{tackle}: " if isinstance(tackle, str) else ""
    return [head, sentence(f"{named}{limits}")] if limits else [head]


def _asked_of(view: View, call: Call) -> Tray | None:
    """Return the tray that a question speaks of putting out; None for any other call."""
    wish = call.meaning(SpreadWish) or NOTHING
    if not call.tray or wish.to_do or wish.from_tray or call.speed_kn or call.species:
        return None
    return named_tray(view.trays, call.tray)


def _unknown_tray(view: View, call: Call) -> str:
    """Return what is wrong with the tray that a call names: none is meant or none exists; else nothing."""
    wish = call.meaning(SpreadWish)
    if not call.tray and wish is not None and wish.to_do:
        there = ", ".join(tray.name for tray in view.trays)
        return f"which tray? {f'There are: {there}' if there else 'No tray is filled yet'}"
    if not call.tray or (wish is not None and (wish.to_do == "filled" or wish.from_tray)):
        return ""
    called = wish is not None and wish.of_a_tray
    if not called and tray_key(call.tray) in (SLOW, FAST, *CLASS_OF_WORD):
        return ""
    return no_tray(view, call.tray)


def _lures(plan: "Plan") -> str:
    return count(len(plan.positions), "lure")


def _told(plan: "Plan", graver_than: str = "") -> list[str]:
    """Return the findings that matter most: whether another was to be had, then the gravest."""
    found = (f for f in plan.findings if f.severity != graver_than or f.code in FIRST)
    ranked = sorted(found, key=_rank)
    return [sentence(finding.text) for finding in ranked[:MOST_FINDINGS]]


def _rank(finding: Finding) -> tuple[bool, int]:
    return finding.code not in FIRST, _SEVERITIES.index(finding.severity)


def _for(view: View, tackle: str | float | None) -> str:
    """Write the tackle that was asked for."""
    if tackle is None:
        return ""
    return f" for {tackle} tackle" if isinstance(tackle, str) else f" for {view.units.line(tackle)}"


def _tackle_of(offered: Asked) -> str | float | None:
    """Return the tackle of an offered plan, so that another one is for the same."""
    return None if offered.about is None else offered.about.tackle


def latest_plan(view: View) -> Asked | None:
    """Return the plan that was offered last, also where it is out by now; None where there is none."""
    return next(iter(_offers(view)), None)


def _offers(view: View) -> list[Asked]:
    """Return the plans that were offered on the way to this trip or on it, the latest first."""
    late = view.now - A_TRIP
    known = (view.asked, *view.load_questions(), *reversed(view.records))
    offers = [r for r in known if isinstance(r, Asked) and r.at >= late]
    plans = [r for r in offers if r.options and r.about is not None]
    return sorted({r.id: r for r in plans}.values(), key=lambda r: r.id, reverse=True)


def _lures_of(offered: Asked) -> frozenset[str]:
    return frozenset(call.lure or "" for call in offered.options[0])
