"""A tray put out or filled in one call: its entries, and its words in the reply."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Final

from bot.answers.tray_but import with_exceptions
from bot.answers.tray_talk import names, unready_lines
from bot.answers.view import View
from bot.replies.amounts import count, number, sentence
from bot.spread.rules import common_speeds_kn, runs_at
from bot.spread.trays import Exchange, exchange, laid_out
from bot.tackle.items import Lure
from bot.tackle.trays import Tray, TrayLure, lure_in_tray, named_tray, tray_key
from bot.trip.acts import PLAN, READY, SET, TRAY
from bot.trip.call import Call
from bot.trip.lures import agrees, full_label
from bot.trip.meant import OfTray, SpreadWish
from bot.trip.state import InWater

if TYPE_CHECKING:
    from bot.answers.wanted import PlanInput
    from bot.spread.plan import Plan

BY_PACE: Final = ("slow", "fast")
"""What a crew calls the lures that run slower, or faster, than it usually tows."""
NEARLY_KN: Final = 1.0
"""Difference in speed below which lures that run at both need none called; common practice, no source."""
ALL_OF_THEM: Final = "all"
"""All lures of the box that are not in the water."""


@dataclass(frozen=True, slots=True)
class PutOut:
    """A tray that goes out in one call."""

    calls: tuple[Call, ...]
    """For the log."""
    lines: tuple[str, ...]
    """Its words in the reply."""
    spoken: str
    towing_kn: float | None


def put_out(view: View, call: Call, sets: Iterable[Call] = ()) -> PutOut | None:
    """Return what a call that runs a tray changes; None where it runs none that has lures.

    `sets` are lures that go out with it, each on its line.
    """
    wish = call.meaning(SpreadWish)
    tray = named_tray(view.trays, call.tray) if call.tray else _only_one(view, wish)
    if (
        tray is None
        or not tray.runners
        or (wish is not None and (wish.to_do != "run" or wish.from_tray))
    ):
        return None
    tray = replace(tray, speed_kn=call.speed_kn or tray.speed_kn or _common_kn(view, tray))
    changed = with_exceptions(view, tray, wish, sets)
    tray, kept = changed.tray, _as_laid(changed.kept)
    free = tuple(p for p in view.boat.positions if p not in changed.closed)
    outfits = tuple(one for one in view.boat.outfits if one.position in free)
    boat = replace(view.boat, positions=free, outfits=outfits)
    laid, left = laid_out(tray, view.box, boat, view.weights)
    change = exchange([*laid, *kept], view.trip, view.boat)
    lines = [_opening(view, tray), *map(sentence, changed.lines)]
    lines += in_and_out(change, {one.position for one in changed.kept})
    if left:
        lines.append(f"Stays in the tray, no place for it: {names(left)}.")
    lines += _empty_lines(view, tray, laid, {*change.held, *changed.closed})
    lines += unready_lines(view, replace(tray, lures=laid), said="out unchecked")
    if not view.trip.is_fishing:
        lines.append('Say "lines in" when they fish.')
    many = count(len(change.goes_out), "lure")
    spoken = f"{tray.words}: {len(change.comes_in)} in, {many} out."
    calls = tuple(_out_of(tray, one) for one in change.calls)
    return PutOut(calls, tuple(lines), spoken[0].upper() + spoken[1:], tray.speed_kn)


def _empty_lines(
    view: View, tray: Tray, laid: Iterable[TrayLure], stays: Collection[str]
) -> list[str]:
    """Return which lines have nothing now, and which spares of the tray could go there; none for none.

    `stays` are those that stay as they are.
    """
    filled = {*(one.position for one in laid), *stays}
    empty = [position for position in view.boat.positions if position not in filled]
    if not empty:
        return []
    out = {one.lure for one in view.trip.in_water.values()} | {one.lure for one in laid}
    spares = [one for one in tray.spares if one.lure not in out]
    which = (
        f"{', '.join(empty[:-1])} and {empty[-1]}, so they stay"
        if empty[1:]
        else f"the {empty[0]}, so it stays"
    )
    text = f"Nothing in it for {which} empty."
    return [f"{text} Spare in the tray: {names(spares)}." if spares else text]


def _out_of(tray: Tray, call: Call) -> Call:
    """Return a call for the log that keeps the name of the tray."""
    return replace(call, meant=(SpreadWish(to_do="run", from_tray=tray.name),))


def _only_one(view: View, wish: SpreadWish | None) -> Tray | None:
    """Return the tray that is meant by "the tray"."""
    named = wish is not None and wish.to_do == "run" and not wish.slow
    return view.trays[0] if named and len(view.trays) == 1 else None


def _opening(view: View, tray: Tray, words: str = "") -> str:
    speed = f" at {number(tray.speed_kn)} kn" if tray.speed_kn else ""
    words = words or tray.words
    text = f"{words[0].upper()}{words[1:]} goes out{speed}."
    if tray.speed_kn is None or view.speed_kn == tray.speed_kn or _runs_now(view, tray):
        return text
    slower = "Slow down" if view.speed_kn > tray.speed_kn else "Speed up"
    source = "what is out runs at it"
    if view.speed_kn == view.trip.speed_kn:
        source = "the speed that was called"
    elif view.speed_kn == view.boat.usual_kn:
        source = "the usual speed"
    return f"{text} {slower} to it: now {number(view.speed_kn)} kn, {source}."


def _runs_now(view: View, tray: Tray) -> bool:
    """Return whether all of a tray runs at the speed of now, which is nearly that of the tray."""
    lures = [view.lure(one.lure) for one in tray.runners]
    near = abs(view.speed_kn - (tray.speed_kn or view.speed_kn)) < NEARLY_KN
    return near and all(x is not None and runs_at(x, view.speed_kn) for x in lures)


def in_and_out(change: Exchange, kept: Collection[str] = ()) -> list[str]:
    """Return what comes in and what goes out, in order, and what stays; `kept` was said to stay."""
    lines = []
    if change.comes_in:
        came = "; ".join(f"{one.line or one.position} {full_label(one)}" for one in change.comes_in)
        lines.append(f"Comes in, nearest first: {came}.")
    if change.goes_out:
        went = "; ".join(f"{one.position} {full_label(one)}" for one in change.goes_out)
        lines.append(f"Goes out, farthest first: {went}.")
    same = [line for line in change.same if line not in kept]
    if same:
        lines.append(f"Stays, it is in the tray too: {', '.join(same)}.")
    if change.held:
        lines.append(f"A fish is on: {', '.join(change.held)} stays as it is.")
    return lines


def _common_kn(view: View, tray: Tray) -> float | None:
    """Return the speed at which most of a tray runs, where that is not the usual one."""
    lures = [lure for one in tray.runners if (lure := view.lure(one.lure)) is not None]
    common = common_speeds_kn(lures)
    if not lures or common is None or all(runs_at(lure, view.boat.usual_kn) for lure in lures):
        return None
    return min(max(view.boat.usual_kn, common[0]), common[1])


def in_full(
    view: View, calls: Iterable[Call], about: Call | None = None
) -> tuple[tuple[Call, ...], PutOut | None]:
    """Return calls with those about whole trays written out, and the tray that goes out.

    `about` is what a plan was asked for with, where the calls are those of one that is taken up.
    """
    calls = in_their_places(view, tuple(_by_its_name(view, call) for call in calls))
    found: list[Call] = []
    out = _planned(view, calls, about)
    runs = next((n for n, call in enumerate(calls) if call.act == PLAN and out is None), None)
    sets = [call for call in calls[runs + 1 :] if call.act == SET] if runs is not None else []
    for number_, call in enumerate(calls):
        run = put_out(view, call, sets) if number_ == runs else None
        out = out or run
        if run is not None:
            found += run.calls
        elif out is None or call not in sets:
            found += all_of_it(view, call)
    return tuple(found), out


def _planned(view: View, calls: tuple[Call, ...], about: Call | None) -> PutOut | None:
    """Return a plan that goes out in place of what is out; None for any other call."""
    wish = about.meaning(SpreadWish) if about is not None and about.act == PLAN else None
    sets = [call for call in calls if call.act == SET]
    if wish is None or wish.to_do != "run" or not view.trip.spread or not sets:
        return None
    laid = tuple(TrayLure(x.lure, x.size_in, x.colours, x.head, x.position) for x in sets)
    changed = {call.position for call in calls}
    stays = _as_laid(one for one in view.trip.spread.values() if one.position not in changed)
    spread = Tray("planned spread", (*laid, *stays))
    towing_kn = (about.speed_kn if about else None) or _common_kn(view, spread)
    change = exchange([*laid, *stays], view.trip, view.boat)
    lines = [
        _opening(view, replace(spread, speed_kn=towing_kn), "the planned spread"),
        *in_and_out(change),
    ]
    spoken = (
        f"The planned spread: {len(change.comes_in)} in, {count(len(change.goes_out), 'lure')} out."
    )
    return PutOut(calls, tuple(lines), spoken, towing_kn)


# Into a tray


def _by_its_name(view: View, call: Call) -> Call:
    """Return a call with its tray as it was named first: "tray 2" is tray two."""
    known = named_tray(view.trays, call.tray) if call.act == TRAY and call.tray else None
    return call.with_slots(tray=known.name) if known is not None else call


def in_their_places(view: View, calls: tuple[Call, ...]) -> tuple[Call, ...]:
    """Return calls with a lure that goes into a tray for another on the position of that one."""
    found: list[Call] = []
    for call in calls:
        came = found[-1] if found else None
        of = call.meaning(OfTray)
        tray = named_tray(view.trays, call.tray or "") if of and of.in_its_place else None
        if came is not None and came.act == TRAY and tray is not None and call.position is None:
            gone = next((one for one in tray.lures if agrees(came, one)), None)
            meant = (
                tuple(replace(x, spare=gone.spare) if x is of else x for x in call.meant)
                if gone
                else call.meant
            )
            call = call.with_slots(position=gone.position if gone else None, meant=meant)
        found.append(call)
    return tuple(found)


def all_of_it(view: View, call: Call) -> tuple[Call, ...]:
    """Return the calls that put the latest plan, or what is out, into a named tray."""
    if call.act == TRAY and call.position and not call.names_lure:
        return (_with_lure_of_line(view, call),)
    if call.act == READY and not call.names_lure:
        return _each_ready(view, call) or (call,)
    of = call.meaning(OfTray)
    if call.act == TRAY and of is not None and of.every:
        return tuple(one for tray in view.trays for one in tray_calls(Tray(tray.name)))
    if call.act == TRAY and of is not None and of.like:
        return _like(view, call, of)
    if call.act != TRAY or of is None or not of.all_of_it or call.names_lure or not call.tray:
        return (call,)
    asked = view.asked
    planned = asked.options[0] if asked is not None and asked.options else ()
    sets = [one for one in planned if one.act == SET and one.names_lure]
    lures = [
        TrayLure(one.lure, one.size_in, one.colours, one.head, one.position) for one in sets
    ] or [
        TrayLure(one.lure, one.size_in, one.colours, one.head, one.position)
        for one in view.trip.spread.values()
    ]
    about = asked.about if asked is not None and sets else None
    speed = about.speed_kn if about is not None else view.trip.speed_kn
    made = Tray(call.tray, tuple(lures), about.tackle if about else None, speed)
    return tray_calls(made) if lures else (call,)


def _like(view: View, call: Call, of: OfTray) -> tuple[Call, ...]:
    """Return the calls that put what lies in one tray into another; one that is renamed is then given up."""
    like = named_tray(view.trays, of.like or "")
    if like is None or not call.tray:
        return (call,)
    made = tray_calls(replace(like, name=call.tray))
    gone = of.renames and tray_key(like.name) != tray_key(call.tray)
    return (*made, *tray_calls(Tray(like.name))) if gone else made


def _each_ready(view: View, call: Call) -> tuple[Call, ...]:
    """Return that each lure of a tray is ready, or each slow or fast one of the box, where that was said."""
    wish = call.meaning(SpreadWish)
    tray = named_tray(view.trays, wish.from_tray) if wish is not None else None
    usual_kn = view.boat.usual_kn
    if wish is not None and wish.from_tray == ALL_OF_THEM:
        here = (lure.name for lure in view.box)
        away = ("lost", "in water")
        return tuple(
            Call(READY, lure=name) for name in here if view.readiness[name].state not in away
        )
    if wish is None or (tray is None and wish.from_tray not in BY_PACE):
        return ()
    slow = wish.from_tray == BY_PACE[0]
    names = {one.lure for one in tray.lures} if tray is not None else set()
    lures = [
        lure
        for lure in view.box
        if lure.name in names
        or (
            not names
            and (lure.speed_range_kn[1] < usual_kn if slow else lure.speed_range_kn[0] > usual_kn)
        )
    ]
    return tuple(Call(READY, lure=x.name) for x in lures if view.readiness[x.name].state != "lost")


def _with_lure_of_line(view: View, call: Call) -> Call:
    """Return a call that puts a line's lure into a tray, with that lure: as it is out, or was last."""
    lines = (*view.trip.spread.values(), *view.trip.previous.values())
    sides = (None, call.side)
    there = next((x for x in lines if x.position == call.position and x.side in sides), None)
    if there is None:
        return call
    slots = {"lure": there.lure, "size_in": there.size_in, "colours": there.colours}
    return call.with_slots(**slots, head=there.head)


def tray_calls(tray: Tray) -> tuple[Call, ...]:
    """Return the calls that put a whole tray into the log: first it is emptied, then filled."""
    word = tray.tackle if isinstance(tray.tackle, str) else None
    kg = tray.tackle if isinstance(tray.tackle, float) else None
    terms = OfTray(tackle=word, line_class_kg=kg, speed_kn=tray.speed_kn)
    calls = [Call(TRAY, tray=tray.name, meant=(OfTray(emptied=True),))]
    for one in tray.lures:
        calls.append(
            Call(
                TRAY, tray=tray.name, position=one.position, lure=one.lure, size_in=one.size_in,
                colours=one.colours, head=one.head, meant=(replace(terms, spare=one.spare),),
            )
        )  # fmt: skip
    return tuple(calls)


def exchange_for(view: View, plan: "Plan", kept: Iterable[InWater] = ()) -> Exchange:
    """Return the changes that put a plan out in place of what is out, but for what is kept."""
    laid = [TrayLure(p.lure, p.size_in, p.colours, p.head, p.position) for p in plan.positions]
    return exchange([*laid, *_as_laid(kept)], view.trip, view.boat)


def _as_laid(there: Iterable[InWater]) -> list[TrayLure]:
    return [TrayLure(x.lure, x.size_in, x.colours, x.head, x.position) for x in there]


def tray_of(view: View, found: "PlanInput", plan: "Plan") -> Tray:
    """Return a plan as the tray that it was asked for."""
    return tray_from(view, found.fills, plan, found.call.tackle)


def tray_from(view: View, name: str, plan: "Plan", tackle: str | float | None) -> Tray:
    """Return a plan as a tray: a lure for each position, and their spares."""
    runners = [TrayLure(p.lure, p.size_in, p.colours, p.head, p.position) for p in plan.positions]
    taken = {one.lure for one in runners}
    spares = [view.lure(p.spare) for p in plan.positions if p.spare and p.spare not in taken]
    may_go = (
        lure for lure in dict.fromkeys(spares) if lure is not None and _is_checked(view, lure)
    )
    others = [lure_in_tray(lure, spare=True) for lure in may_go]
    return Tray(name, (*runners, *others), tackle, plan.speed_kn)


def _is_checked(view: View, lure: Lure) -> bool:
    """Return whether a lure is ready, or fishing now."""
    return view.readiness[lure.name].state in ("ready", "in water")
