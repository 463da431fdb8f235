"""Trays in words: their lures, what is not ready, what else is aboard, what to pack."""

from collections.abc import Iterable
from typing import Final

from bot.answers.answer import Answer
from bot.answers.drawing import terms_of, tray_pictures, wants_picture
from bot.answers.view import View
from bot.replies.amounts import count, first_few, sentence
from bot.spread.trays import laid_out, not_ready
from bot.tackle.items import Lure
from bot.tackle.trays import STANDBY, Tray, TrayLure, named_tray
from bot.trip.call import Call
from bot.trip.lures import full_label
from bot.trip.meant import AsksAbout

MOST_LURES: Final = 12
"""Most lures of one tray that are named."""
MOST_LOOSE: Final = 20
"""Most lures in no tray that are named."""


# Questions


def asked_trays(view: View, call: Call) -> Answer:
    """Answer with the trays, or with what lies in one."""
    if call.tray:
        tray = named_tray(view.trays, call.tray)
        if tray is None:
            text = sentence(no_tray(view, call.tray))
            return Answer(text, text)
        asks = call.meaning(AsksAbout)
        card = asks is not None and asks.what == "card"
        drawn = tray_pictures(view, tray) if card or wants_picture(view, call) else ()
        lines = tray_lines(view, tray)
        if card:
            lines.append(f"For the lid: deckcall tray card {tray.name} --out {tray.name}.pdf")
        return Answer("\n".join(lines), sentence(in_short(view, tray)), pictures=drawn)
    if not view.trays:
        text = 'No tray is filled yet: "put the purple eight in tray two", or "plan the slow tray".'
        return Answer(text, "No tray is filled yet.")
    lines = [sentence(in_short(view, tray)) for tray in view.trays]
    return Answer("\n".join(lines), f"{count(len(view.trays), 'tray')}.")


def in_short(view: View, tray: Tray) -> str:
    """Return a tray in one line: how many lures, for what, and how much of it is not ready."""
    due = not_ready(tray, view.readiness)
    ready = f"{len(due)} not ready" if due else "all ready"
    terms = terms_of(tray, view.units)
    spare = f", {count(len(tray.spares), 'spare')}" if tray.spares else ""
    return f"{tray.words}: {count(len(tray.runners), 'lure')}{spare}{f', {terms}' if terms else ''}, {ready}"


def tray_lines(view: View, tray: Tray) -> list[str]:
    """Return a tray line by line: what goes where, spares, what is not ready."""
    laid, left = laid_out(tray, view.box, view.boat, view.weights)
    order = {position: number for number, position in enumerate(view.boat.positions)}
    lines = [sentence(in_short(view, tray))]
    for one in sorted(laid, key=lambda one: order.get(one.position or "", len(order))):
        lines.append(f"{one.position}: {full_label(one)}")
    lines += [f"no position: {full_label(one)}" for one in left[:MOST_LURES]]
    if tray.spares:
        lines.append(f"spares: {_in_full(tray.spares)}")
    return [*lines, *unready_lines(view, tray)]


def unready_lines(view: View, tray: Tray, said: str = "not ready") -> list[str]:
    """Return the line about what is not ready in a tray, or none."""
    due = not_ready(tray, view.readiness)
    words = "; ".join(f"{one.label} ({why})" for one, why in due[:MOST_LURES])
    return [sentence(f"{said}: {words}")] if due else []


def _in_full(lures: Iterable[TrayLure]) -> str:
    return first_few([full_label(one) for one in lures], MOST_LURES)


def asked_loose(view: View) -> Answer:
    """Answer with the lures of the box that lie in no tray, those first that are ready."""
    loose = [
        x for x in view.box if not _in_a_tray(view, x) and view.readiness[x.name].state != "lost"
    ]
    if not loose:
        text = "Every lure of the box is in a tray."
        return Answer(text, text)
    lines = []
    for state in dict.fromkeys(("ready", *(view.readiness[x.name].state for x in loose))):
        of_it = [x for x in loose if view.readiness[x.name].state == state]
        named = [f"{x.name} ({x.looks})" for x in sorted(of_it, key=lambda x: (-x.size_in, x.name))]
        if named:
            lines.append(
                sentence(f"in no tray, {state} ({len(named)}): {first_few(named, MOST_LOOSE)}")
            )
    return Answer("\n".join(lines), f"{count(len(loose), 'lure')} in no tray.")


def names(lures: Iterable[TrayLure]) -> str:
    """Return the names of lures, shortened where there are many."""
    found = [one.label for one in lures]
    more = f" and {len(found) - MOST_LURES} more" if len(found) > MOST_LURES else ""
    return ", ".join(found[:MOST_LURES]) + more


def answer_packing(view: View) -> Answer:
    """Answer with what to pack: trays, outfits that stand by, rods, and what of it is not ready."""
    lines = [] if view.trays else ["No tray is filled yet."]
    for tray in view.trays:
        lines += [sentence(in_short(view, tray)), *unready_lines(view, tray)]
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
