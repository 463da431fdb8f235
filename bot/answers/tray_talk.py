"""Trays in words: their lures, what is not ready, what else is aboard, what to pack."""

from collections.abc import Iterable, Sequence
from typing import Final

from bot.answers.answer import Answer
from bot.answers.drawing import terms_of, tray_pictures, wants_picture
from bot.answers.view import View
from bot.replies.amounts import count, sentence
from bot.spread.trays import laid_out, not_ready
from bot.tackle.items import Lure
from bot.tackle.trays import STANDBY, Tray, TrayLure, tray_named
from bot.trip.acts import TRAY
from bot.trip.call import Call
from bot.trip.lures import label, same_lure
from bot.trip.meant import AsksAbout, OfTray

MOST_LURES: Final = 12
"""Most lures of one tray that are named."""


def told_of_trays(view: View, calls: Iterable[Call], before: View | None = None) -> list[str]:
    """Return what a message did to trays, a line for each of them; `before` is how they were."""
    lines = []
    by_name: dict[str, list[Call]] = {}
    for call in calls:
        if call.act == TRAY and call.tray:
            by_name.setdefault(call.tray, []).append(call)
    for name, said in by_name.items():
        tray = tray_named(view.trays, name)
        words = tray.words if tray else Tray(name).words
        taken = [one for one in said if (of := one.meaning(OfTray)) and of.out]
        went_in = [one for one in said if one.names_lure and one not in taken]
        there = [one for one in went_in if before is not None and _lies_there(before, one)]
        if there and len(there) == len(said):
            lines.append(f"{', '.join(label(one) for one in there)}: in {words} already.")
            continue
        parts = [f"Out of {words}: {', '.join(label(one) for one in taken)}"] if taken else []
        parts += [f"In {words}: {', '.join(label(one) for one in went_in)}"] if went_in else []
        if not went_in and all(one.meaning(OfTray) is None for one in said):
            lines.append(sentence(f"{words}: which lure? Say its colour and size, or its name"))
            continue
        if tray is None and taken and not went_in:
            lines.append(sentence(f"{parts[0]}. It is empty now"))
            continue
        if tray is None or not (parts or tray.lures):
            lines.append(sentence(_empty(view, words, said)))
            continue
        held = _held(view, tray)
        lines.append(
            sentence(
                ". ".join([*parts, held]) if parts else f"{words}: {held[0].lower()}{held[1:]}"
            )
        )
        lines += unready_lines(view, tray)
    return lines


def _lies_there(before: View, call: Call) -> bool:
    """Return whether a lure lay in a tray before a call that puts it there, in the same place."""
    tray = tray_named(before.trays, call.tray or "")
    of = call.meaning(OfTray) or OfTray()
    held = [one for one in tray.lures if same_lure(one, call)] if tray is not None else []
    return any(one.spare == of.spare and call.position in (None, one.position) for one in held)


def _empty(view: View, words: str, said: Sequence[Call]) -> str:
    """Return that nothing lies in a tray after these calls about it."""
    of = said[-1].meaning(OfTray)
    if of is None or of.emptied:
        return f"{words} is empty"
    if of.all_of_it:
        return f"{words}: nothing is out and no plan is on offer, so there is nothing to put in it"
    terms = terms_of(_with_terms(of), view.units)
    return f"{words}: nothing in it yet{f', {terms} when something is' if terms else ''}"


def _with_terms(of: OfTray) -> Tray:
    return Tray("named", (), of.tackle or of.line_class_kg, of.speed_kn)


def _held(view: View, tray: Tray) -> str:
    terms = terms_of(tray, view.units)
    spare = f", {count(len(tray.spares), 'spare')}" if tray.spares else ""
    return f"It holds {count(len(tray.runners), 'lure')}{spare}{f', for {terms}' if terms else ''}"


# Questions


def asked_trays(view: View, call: Call) -> Answer:
    """Answer with the trays, or with what lies in one."""
    if call.tray:
        tray = tray_named(view.trays, call.tray)
        if tray is None:
            text = sentence(no_tray(view, call.tray))
            return Answer(text, text)
        asks = call.meaning(AsksAbout)
        card = asks is not None and asks.what == "card"
        drawn = tray_pictures(view, tray) if card or wants_picture(view, call) else ()
        lines = tray_lines(view, tray)
        if card:
            lines.append(f"For the lid: deckcall tray card {tray.name} --out {tray.name}.pdf")
        return Answer("\n".join(lines), sentence(_in_short(view, tray)), pictures=drawn)
    if not view.trays:
        text = 'No tray is filled yet: "put the purple eight in tray two", or "plan the slow tray".'
        return Answer(text, "No tray is filled yet.")
    lines = [sentence(_in_short(view, tray)) for tray in view.trays]
    return Answer("\n".join(lines), f"{count(len(view.trays), 'tray')}.")


def _in_short(view: View, tray: Tray) -> str:
    due = not_ready(tray, view.readiness)
    ready = f"{len(due)} not ready" if due else "all ready"
    terms = terms_of(tray, view.units)
    spare = f", {count(len(tray.spares), 'spare')}" if tray.spares else ""
    return f"{tray.words}: {count(len(tray.runners), 'lure')}{spare}{f', {terms}' if terms else ''}, {ready}"


def tray_lines(view: View, tray: Tray) -> list[str]:
    """Return a tray line by line: what goes where, spares, what is not ready."""
    laid, left = laid_out(tray, view.box, view.boat, view.weights)
    order = {position: number for number, position in enumerate(view.boat.positions)}
    lines = [sentence(_in_short(view, tray))]
    for one in sorted(laid, key=lambda one: order.get(one.position or "", len(order))):
        lines.append(f"{one.position}: {_looks(one)}")
    lines += [f"no position: {_looks(one)}" for one in left[:MOST_LURES]]
    if tray.spares:
        lines.append(f"spares: {names(tray.spares)}")
    return [*lines, *unready_lines(view, tray)]


def _looks(one: TrayLure) -> str:
    if not one.lure or one.size_in is None:
        return one.label
    return f"{one.lure}, {one.size_in:g}-inch {' '.join(one.colours)}"


def unready_lines(view: View, tray: Tray, said: str = "not ready") -> list[str]:
    """Return the line about what is not ready in a tray, or none."""
    due = not_ready(tray, view.readiness)
    words = "; ".join(f"{one.label} ({why})" for one, why in due[:MOST_LURES])
    return [sentence(f"{said}: {words}")] if due else []


def names(lures: Iterable[TrayLure]) -> str:
    """Return the names of lures, shortened where there are many."""
    found = [one.label for one in lures]
    more = f" and {len(found) - MOST_LURES} more" if len(found) > MOST_LURES else ""
    return ", ".join(found[:MOST_LURES]) + more


def asked_packing(view: View) -> Answer:
    """Answer with what to pack: trays, outfits that stand by, rods, and what of it is not ready."""
    lines = [] if view.trays else ["No tray is filled yet."]
    for tray in view.trays:
        lines += [sentence(_in_short(view, tray)), *unready_lines(view, tray)]
    for what, purpose in STANDBY.items():
        ready = view.standing_by(what).ready
        lines.append(sentence(f"{what} ({purpose}): {'ready' if ready else 'not called ready'}"))
    rods = [f"{o.position} {view.units.line(o.line_class_kg)}" for o in view.boat.outfits]
    lines += [sentence(f"rods: {', '.join(rods)}")] if rods else []
    loose = [lure for lure in view.ready if not _in_a_tray(view, lure)]
    if loose:
        lines.append(f"Ready in the box and in no tray: {count(len(loose), 'lure')}.")
    return Answer("\n".join(lines), sentence(lines[0]))


def lies_in(view: View, lure: Lure) -> str:
    """Return the trays that a lure lies in, as the end of a line; empty for none."""
    words = [tray.words for tray in view.trays if any(x.lure == lure.name for x in tray.lures)]
    return f", in {' and '.join(words)}" if words else ""


def _in_a_tray(view: View, lure: Lure) -> bool:
    return any(one.lure == lure.name for tray in view.trays for one in tray.lures)


def no_tray(view: View, name: str) -> str:
    """Return the sentence that there is no tray of a name, and which there are."""
    there = ", ".join(tray.name for tray in view.trays)
    words = Tray(name).title if name else "such tray"
    others = f"trays: {there}" if there else "no tray is filled yet"
    return f"there is no {words}; {others}"
