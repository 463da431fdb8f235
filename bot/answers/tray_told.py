"""What a message did to trays, in words: what went in where, what came out, a new name, a copy."""

from collections.abc import Iterable, Sequence

from bot.answers.drawing import terms_of
from bot.answers.tray_talk import unready_lines
from bot.answers.view import View
from bot.replies.amounts import count, joined_or, sentence
from bot.tackle.trays import Tray, TrayLure, named_tray
from bot.trip.acts import TRAY
from bot.trip.call import Call
from bot.trip.lures import full_label, label, same_lure
from bot.trip.meant import OfTray


def told_of_trays(view: View, calls: Iterable[Call], before: View | None = None) -> list[str]:
    """Return what a message did to trays, a line for each of them; `before` is how they were."""
    by_name: dict[str, list[Call]] = {}
    for call in calls:
        if call.act == TRAY and call.tray:
            by_name.setdefault(call.tray, []).append(call)
    if before is not None and by_name and (whole := _whole(view, before, by_name)):
        return whole
    return [line for name, said in by_name.items() for line in _told(view, name, said, before)]


def _whole(view: View, before: View, by_name: dict[str, list[Call]]) -> list[str]:
    """Return the words for a tray that got another name, or is a copy; empty for any other change."""
    name, *others = by_name
    made, was = named_tray(view.trays, name), named_tray(before.trays, name)
    if made is None or not _is_emptied(by_name[name][0]):
        return []
    same = [one for one in before.trays if one.lures == made.lures and one != was]
    gone = next((one for one in same if one.name in others), None)
    holds = f"{count(len(made.runners), 'lure')}{_spares(made)}"
    if gone is not None and named_tray(view.trays, gone.name) is None:
        return [sentence(f"{gone.words} is {made.words} now: {holds}"), *unready_lines(view, made)]
    if same and not others:
        text = f"{made.words} holds what {same[0].words} holds: {holds}"
        return [sentence(text), *_placed_lines(made), *unready_lines(view, made)]
    return []


def _placed_lines(tray: Tray) -> list[str]:
    return [sentence("; ".join(_with_place(one) for one in tray.lures))]


def _told(view: View, name: str, said: Sequence[Call], before: View | None) -> list[str]:
    tray = named_tray(view.trays, name)
    was = named_tray(before.trays, name) if before is not None else None
    words = tray.words if tray else Tray(name).words
    taken = [one for one in said if (of := one.meaning(OfTray)) and of.out]
    went_in = [one for one in said if one.names_lure and one not in taken]
    there = [one for one in went_in if was is not None and _lies_there(was, one)]
    if there and len(there) == len(said):
        return [f"{', '.join(label(one) for one in there)}: in {words} already."]
    parts = [f"Out of {words}: {'; '.join(map(full_label, taken))}"] if taken else []
    parts += [f"In {words}: {'; '.join(_call_words(one) for one in went_in)}"] if went_in else []
    if not went_in and all(one.meaning(OfTray) is None for one in said):
        return [sentence(f"{words}: which lure? Say its colour and size, or its name")]
    if tray is None and taken and not went_in:
        return [sentence(f"{parts[0]}. It is empty now")]
    if tray is None or not (parts or tray.lures):
        return [sentence(_empty(view, words, said, was))]
    parts += _displaced(was, tray, said)
    parts += _elsewhere(view, tray, went_in)
    held = _held(view, tray)
    text = ". ".join([*parts, held]) if parts else f"{words}: {held[0].lower()}{held[1:]}"
    return [sentence(text), *unready_lines(view, tray)]


def _call_words(call: Call) -> str:
    of = call.meaning(OfTray)
    return _words(full_label(call), call.position, of is not None and of.spare)


def _with_place(one: TrayLure) -> str:
    return _words(full_label(one), one.position, one.spare)


def _words(lure: str, position: str | None, spare: bool) -> str:
    return lure + (", spare" if spare else "") + (f", {position}" if position else "")


def _is_emptied(call: Call) -> bool:
    of = call.meaning(OfTray)
    return of is not None and of.emptied


def _displaced(was: Tray | None, tray: Tray, said: Sequence[Call]) -> list[str]:
    """Return what came out of a tray because another lure has its line now; empty for nothing."""
    if was is None or any(_is_emptied(one) for one in said):
        return []
    gone = [
        one
        for one in was.lures
        if not any(same_lure(one, held) for held in tray.lures)
        and not any(same_lure(one, call) for call in said)
        and one.position in {call.position for call in said if call.position}
    ]
    names = joined_or([full_label(one) for one in gone], "and")
    return [f"Out of it for that: {names}"] if gone else []


def _elsewhere(view: View, tray: Tray, went_in: Sequence[Call]) -> list[str]:
    """Return which lures that went in lie in another tray as well; empty for none, and for a whole tray."""
    if any(_is_emptied(one) for one in went_in):
        return []
    found = ((one, _others_with(view, tray, one)) for one in went_in)
    told = [(one, joined_or(others, "and")) for one, others in found if others]
    if len(went_in) == 1:
        return [f"It is in {others} too" for _, others in told]
    return [f"{label(one)} is in {others} too" for one, others in told]


def _others_with(view: View, tray: Tray, call: Call) -> list[str]:
    """Return the other trays in which a lure lies, in words."""
    others = [one for one in view.trays if one.name != tray.name]
    return [one.words for one in others if any(same_lure(held, call) for held in one.lures)]


def _lies_there(tray: Tray, call: Call) -> bool:
    """Return whether a lure lay in a tray before a call that puts it there, in the same place."""
    of = call.meaning(OfTray) or OfTray()
    held = [one for one in tray.lures if same_lure(one, call)]
    return any(one.spare == of.spare and call.position in (None, one.position) for one in held)


def _empty(view: View, words: str, said: Sequence[Call], was: Tray | None) -> str:
    """Return that nothing lies in a tray after these calls about it."""
    of = said[-1].meaning(OfTray)
    if of is None or of.emptied:
        held = [one.label for one in was.lures] if was is not None else []
        back = f". It held {joined_or(held, 'and')}" if held else ""
        return f"{words} is emptied and off the list{back}"
    if of.all_of_it:
        return f"{words}: nothing is out and no plan is on offer, so there is nothing to put in it"
    terms = terms_of(_with_terms(of), view.units)
    return f"{words}: nothing in it yet{f', {terms} when something is' if terms else ''}"


def _with_terms(of: OfTray) -> Tray:
    return Tray("named", (), of.tackle or of.line_class_kg, of.speed_kn)


def _spares(tray: Tray) -> str:
    return f", {count(len(tray.spares), 'spare')}" if tray.spares else ""


def _held(view: View, tray: Tray) -> str:
    terms = terms_of(tray, view.units)
    holds = f"It holds {count(len(tray.runners), 'lure')}{_spares(tray)}"
    return f"{holds}{f', for {terms}' if terms else ''}"


# What was undone


def undone_words(calls: Iterable[Call]) -> list[str]:
    """Name what calls did to trays, for an undo: `Oil Lamp in the red tray`, `the red tray emptied`."""
    by_name: dict[str, list[Call]] = {}
    for call in calls:
        by_name.setdefault(call.tray or "", []).append(call)
    return [_undone(Tray(name or "named").words, said) for name, said in by_name.items()]


def _undone(words: str, said: Sequence[Call]) -> str:
    lures = [one for one in said if one.names_lure]
    if len(said) > 1 and lures and _is_emptied(said[0]):
        return f"{words} filled with {count(len(lures), 'lure')}"
    if not lures:
        return f"{words} emptied" if _is_emptied(said[-1]) else f"what was said of {words}"
    of = lures[0].meaning(OfTray)
    where = "out of" if of is not None and of.out else "in"
    return f"{joined_or([label(one) for one in lures], 'and')} {where} {words}"
