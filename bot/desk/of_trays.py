"""What a call about trays leaves open: which lure, which spare, whether the tray is there. Pure.

Which of several red lures goes into a tray is asked; a tray that is not there is neither emptied, renamed nor
copied; one that is there is not filled anew by a copy. Nothing of it is logged before it is clear.
"""

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from bot.answers.tray_talk import no_tray
from bot.answers.view import View
from bot.answers.which_fish import CHOICES
from bot.desk.settle import Act, Doubt, Remark
from bot.replies.amounts import joined_or, sentence
from bot.tackle.box import find, same_name
from bot.tackle.trays import Tray, TrayLure, lure_in_tray, named_tray
from bot.trip.acts import PLAN, SET, TRAY
from bot.trip.call import Call
from bot.trip.lures import agrees, full_label, label
from bot.trip.meant import OfSpare, OfTray, SpreadWish

SURE: Final = 0.9
"""How sure it is what was called, of which only the lure is asked."""


def about_trays(settled: Act, view: View) -> Act | Doubt | Remark:
    """Return calls about trays as they can be made, or what has to be asked or said of them first."""
    if settled.answers is not None:
        return _moved(settled, view)
    for number, call in enumerate(settled.calls):
        if call.act == PLAN and (wish := call.meaning(SpreadWish)) and wish.spare_at:
            return _with_spare(settled, number, wish, view)
        if call.act != TRAY or not call.tray:
            continue
        found = _of_whole(call, view) or _which_lure(settled, number, view)
        if not isinstance(found, Act):
            return found
        settled = found
    return _moved(settled, view)


def _moved(settled: Act, view: View) -> Act:
    """Return calls with what comes out of other trays for lures that are moved."""
    out = tuple(one for call in settled.calls for one in _out_of_others(call, view))
    return replace(settled, calls=(*out, *settled.calls)) if out else settled


def _out_of_others(call: Call, view: View) -> list[Call]:
    """Return what comes out of other trays for a lure that is moved; nothing for one that is put in."""
    of = call.meaning(OfTray)
    if of is None or not of.moves:
        return []
    out = Call(TRAY, meant=(OfTray(out=True),))
    return [_named(out.with_slots(tray=tray.name), one) for tray, one in _lying(call, view)]


def _lying(call: Call, view: View) -> list[tuple[Tray, TrayLure]]:
    """Return the lures of other trays that a call may mean, each with its tray."""
    goes_to = named_tray(view.trays, call.tray or "")
    others = [tray for tray in view.trays if tray != goes_to]
    return [(tray, one) for tray in others for one in tray.lures if agrees(call, one)]


def with_spare_of_out(settled: Act, view: View) -> Act | Doubt | Remark:
    """Return calls with "the spare" as that of the last tray to go out, or the question that is open."""
    number = next((n for n, c in enumerate(settled.calls) if c.meaning(OfSpare)), None)
    if number is None or settled.answers is not None:
        return settled
    wishes = (entry.call.meaning(SpreadWish) for entry in reversed(view.stood))
    name = next((wish.from_tray for wish in wishes if wish is not None and wish.from_tray), "")
    tray = named_tray(view.trays, name) if name else None
    out = {there.lure for there in view.trip.spread.values()}
    free = [one for one in tray.spares if one.lure not in out] if tray is not None else []
    call = settled.calls[number]
    rest = tuple(one for one in call.meant if not isinstance(one, OfSpare))
    bare = (*settled.calls[:number], call.with_slots(meant=rest), *settled.calls[number + 1 :])
    if not free:
        where = f"{tray.words} has none left" if tray is not None else "no tray is out"
        return Remark(f"Which spare? {sentence(where)} Say the lure by its name.")
    words = tray.words if tray is not None else ""
    return _the_one(replace(settled, calls=bare), number, free, f"of the spares of {words}")


def _of_whole(call: Call, view: View) -> Remark | None:
    """Return what stands against emptying, renaming or copying a tray; None where nothing does."""
    of = call.meaning(OfTray)
    name = call.tray or ""
    there = named_tray(view.trays, name)
    if of is None:
        return None
    if of.every and not view.trays:
        return Remark("No tray is filled.")
    if of.emptied and there is None and not of.every:
        return Remark(sentence(no_tray(view, name)))
    if (of.like or of.all_of_it) and any(same_name(x.name, name) for x in view.box):
        return Remark(f"A lure is called {name}: say another name, so that the two are told apart.")
    if of.like is None:
        return None
    if not of.like:
        said = Tray(name).words
        return Remark(f'Which name? Say "rename {said} to tray five", "copy {said} to tray five".')
    if named_tray(view.trays, of.like) is None:
        return Remark(sentence(no_tray(view, of.like)))
    if there is None or there == named_tray(view.trays, of.like):
        return None
    held = joined_or([one.label for one in there.lures], "and")
    return Remark(
        f"There is a {there.title} already, with {held}: empty it first, or say another name."
    )


def _which_lure(settled: Act, number: int, view: View) -> Act | Doubt | Remark:
    """Return calls with the lure that goes into a tray or comes out, or the question which of several."""
    call = settled.calls[number]
    of = call.meaning(OfTray) or OfTray()
    tray = named_tray(view.trays, call.tray or "") or Tray(call.tray or "")
    if not call.names_lure or (call.lure and not of.out):
        return settled
    if of.out:
        held = [one for one in tray.lures if agrees(call, one)]
        if not held:
            holds = ", ".join(one.label for one in tray.lures) or "nothing"
            return Remark(sentence(f"no {label(call)} is in {tray.words}; it holds {holds}"))
        return _the_one(settled, number, held, f"comes out of {tray.words}")
    if of.moves and (lying := {one.label: one for _, one in _lying(call, view)}):
        return _the_one(settled, number, [*lying.values()], f"goes to {tray.words}")
    fits = _fits(call, view)
    inside = {one.lure for one in tray.lures}
    free = [one for one in fits if one.lure not in inside]
    if fits and not free and not (call.position or of.spare):
        names = joined_or([full_label(one) for one in fits], "and")
        return Remark(
            sentence(f"in {tray.words} already: {names}; no other {label(call)} is aboard")
        )
    return _the_one(settled, number, free or fits, f"for {tray.words}")


def _fits(call: Call, view: View) -> list[TrayLure]:
    """Return the lures that may be the one described, those first that are not in the water.

    Where no more than colours were said every lure that has them may be meant.
    """
    bare = call.size_in is None and call.head is None
    box = [lure for lure in view.box if view.readiness[lure.name].state != "lost"]
    if bare:
        found = [lure for lure in box if {*call.colours} <= {*lure.colours}]
    else:
        found = [*find(box, colours=call.colours, size_in=call.size_in, head=call.head)]
    aboard = [lure for lure in found if view.line_of(lure.name) is None]
    return [lure_in_tray(lure) for lure in aboard or found]


def _the_one(settled: Act, number: int, fits: Sequence[TrayLure], why: str) -> Act | Doubt:
    """Return calls with the only lure that fits, or the question which one; as they are where none does."""
    if len(fits) != 1:
        return _asked(why, settled.calls, number, fits) or settled
    before, after = settled.calls[:number], settled.calls[number + 1 :]
    return replace(settled, calls=(*before, _named(settled.calls[number], fits[0]), *after))


def _asked(why: str, calls: Sequence[Call], number: int, fits: Sequence[TrayLure]) -> Doubt | None:
    if len(fits) < 2:
        return None
    shown = fits[: len(CHOICES)]
    more = "" if len(fits) == len(shown) else " For another, say the call again with its name."
    names = joined_or([full_label(one) for one in shown])
    options = tuple(
        (*calls[:number], _named(calls[number], one), *calls[number + 1 :]) for one in shown
    )
    return Doubt(f"Which one {why}: {names}?{more}", options, SURE)


def _named(call: Call, one: TrayLure) -> Call:
    if one.lure is None:
        return call.with_slots(size_in=one.size_in, colours=one.colours, head=one.head)
    return call.with_slots(lure=one.lure, colours=(), size_in=None, head=None)


# The spare of a tray that goes out


def _with_spare(settled: Act, number: int, wish: SpreadWish, view: View) -> Act | Doubt | Remark:
    """Return a tray that goes out with the spare on its line, or the question which spare that is."""
    call = settled.calls[number]
    tray = named_tray(view.trays, call.tray) if call.tray else None
    if tray is None:
        return Remark(sentence(no_tray(view, call.tray or "")))
    if not tray.spares:
        held = ", ".join(one.label for one in tray.runners)
        return Remark(sentence(f"{tray.words} has no spare; it holds {held}"))
    if "" in wish.spare_at and not wish.without:
        return Remark(
            f'On which line does the spare go? Say "run {tray.words} with the spare on the'
            f' {view.boat.positions[-1]}".'
        )
    meant = tuple(replace(wish, spare_at=()) if one is wish else one for one in call.meant)
    before, after = settled.calls[:number], settled.calls[number + 1 :]
    run = (*before, call.with_slots(meant=meant))
    first, *rest = wish.spare_at
    more = [Call(SET, position=place or None) for place in rest]
    if len(tray.spares) < len(wish.spare_at):
        names = ", ".join(one.label for one in tray.spares)
        return Remark(sentence(f"{tray.words} has fewer spares than that: {names}"))
    if rest:
        pairs = zip((Call(SET, position=first or None), *more), tray.spares, strict=False)
        return replace(settled, calls=(*run, *(_named(c, one) for c, one in pairs), *after))
    goes = (*run, Call(SET, position=first or None), *after)
    doubt = _asked(f"of the spares of {tray.words}", goes, len(run), tray.spares)
    return doubt or replace(settled, calls=(*run, _named(goes[len(run)], tray.spares[0]), *after))
