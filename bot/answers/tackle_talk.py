"""Questions about tackle that are no calls: will it pull the drag, will I be spooled, what is allowed.

Nothing of it is logged. The skipper decides; what
decides about record claims is the rule book of the day.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Final

from bot.answers.answer import Answer
from bot.answers.fit import caution_once
from bot.answers.lure_speeds import out_of_speed, running_at, runs_it_at, slow_runners, speed_of
from bot.answers.plan_speed import planned_speed
from bot.answers.spacing import runs, runs_line, wave_count
from bot.answers.view import View
from bot.replies.amounts import count, first_few, number, sentence
from bot.spread.positions import distances_m, in_order
from bot.spread.rules import RUN_M, findings
from bot.tackle.box import find
from bot.tackle.cautions import Topic
from bot.tackle.checks import (
    ANGLING_RULES,
    EYES_APART_CM,
    LONG_LIMITS_M,
    MOST_HOOKS,
    SHORT_GROUP_KG,
    SHORT_LIMITS_M,
    Rig,
    hook_count,
    leader_and_double,
    leader_length,
)
from bot.tackle.crew_units import CrewUnits
from bot.tackle.items import Lure, Outfit
from bot.tackle.line_classes import GAUGES
from bot.trip.meant import TackleQuestion
from bot.water.drag import towing_load
from bot.water.line import after_run, seconds_to_empty
from bot.water.wake import face_m

FISH_MS: Final = 8.0
"""Speed of a big fish on its first run, in m/s (estimate)."""
_SPEEDS: Final = frozenset(
    {"slow_runners", "runs_at", "fine_at", "speed_of", "too_slow", "planned_speed"}
)
_GAUGES: Final = frozenset(f"{gauge} hooks" for gauge in GAUGES)
MOST: Final = 5
"""Most lines of one answer."""


@dataclass(frozen=True, slots=True)
class Mentions:
    """What a question names of this boat and its box; None or empty otherwise."""

    position: str | None = None
    lures: tuple[Lure, ...] = ()
    """Those of the box that fit, or one that is only described."""
    class_kg: float | None = None
    metres: float | None = None
    wave: int | None = None
    speed_kn: float | None = None
    pull: bool = False
    """True where the pull of a lure is asked for."""


def asked_tackle(view: View, asked: TackleQuestion) -> Answer | None:
    """Answer a question about tackle; return None where nothing is known of what it asks."""
    about = _named(view, asked)
    for kind in asked.kinds:
        answer = _ANSWERS.get(kind)
        found = answer(view, about) if answer is not None else None
        if found is not None:
            return found
    return None


def _named(view: View, asked: TackleQuestion) -> Mentions:
    position = asked.position if asked.position in view.boat.positions else None
    pull = "drag" in asked.kinds
    lures, kn = _lures(view, asked), asked.speed_kn
    return Mentions(position, lures, asked.class_kg, asked.metres, asked.wave, kn, pull)


def _lures(view: View, asked: TackleQuestion) -> tuple[Lure, ...]:
    own = view.lure(asked.lure)
    if own is not None:
        return (own,)
    found = find(view.box, colours=asked.colours, size_in=asked.size_in)
    if found or asked.size_in is None:
        return found
    return (Lure("this lure", asked.size_in, asked.colours or ("black",)),)


def _spooled(view: View, about: Mentions) -> Answer | None:
    run_m = about.metres or RUN_M
    rods, units, far = _rods(view, about), view.units, view.units.distance
    lines, known = [], False
    for outfit in rods[:MOST]:
        out_m = _back_m(view, outfit.position)
        after = after_run(outfit, out_m, run_m)
        if after is None:
            lines.append(f"{outfit.position}: the settings do not say how much line is on the reel")
            continue
        known = True
        head = f"{outfit.position}, {units.line(outfit.line_class_kg)}, {far(out_m)} out now"
        if after.left_m <= 0:
            lines.append(f"{head}: a run of {far(run_m)} empties the reel")
            continue
        seconds = seconds_to_empty(after.left_m + run_m, FISH_MS)
        lines.append(
            f"{head}: a run of {far(run_m)} leaves {far(after.left_m)}, the pull goes from"
            f" {units.bare_weight(outfit.drag_kg, 1)} to {units.weight(after.drag_kg, 1)}"
            f" ({100 * after.share:.0f} % of the class); empty in {seconds:.0f} s"
        )
    if not rods:
        lines.append("no outfit is in the settings: give line_class_kg and line_m under [[outfit]]")
    if known:
        lines.append(
            f"times are for a fish at {FISH_MS:g} m/s with the boat stopped; pulls are geometry of the spool,"
            " and the line in the water pulls besides"
        )
    return _told(view, lines, "drag" if known else None)


def _rods(view: View, about: Mentions) -> list[Outfit]:
    """Return the outfits that are meant: those named, those with a fish on, or all."""
    on = {fish.position for fish in view.trip.fish_on}
    wanted = {about.position} if about.position else on & {o.position for o in view.boat.outfits}
    ordered = (view.boat.outfit(position) for position in in_order(view.boat.positions))
    rods = [outfit for outfit in ordered if outfit is not None]
    return [o for o in rods if o.position in wanted] if wanted else rods


def _lengths(view: View, about: Mentions) -> Answer | None:
    outfit = view.boat.outfit(about.position) if about.position else None
    class_kg = about.class_kg or (outfit.line_class_kg if outfit else None)
    group = view.units.line(SHORT_GROUP_KG)
    short = f"to {group}: {_limits(SHORT_LIMITS_M, view.units)}"
    long = f"over {group}: {_limits(LONG_LIMITS_M, view.units)}"
    both = [short, long] if class_kg is None else [short if class_kg <= SHORT_GROUP_KG else long]
    lines = [
        f"for a record claim, line class {'; '.join(both)}, lure and hooks counted in the leader"
    ]
    if outfit is not None:
        lines += _record(outfit, about.lures)
    return _told(view, [*lines, ANGLING_RULES], "leader")


def _limits(limits_m: tuple[float, float, float], units: CrewUnits) -> str:
    double, leader, both = (units.length(m, 2) for m in limits_m)
    return f"leader {leader}, double {double}, both together {both}"


def _record(outfit: Outfit, lures: Iterable[Lure]) -> list[str]:
    checks = (leader_length, leader_and_double, hook_count)
    found = (check(Rig(lure, outfit)) for lure in lures for check in checks)
    return [one.text for one in found if one is not None]


def _hooks(view: View, about: Mentions) -> Answer | None:
    lines = [
        f"for a record claim a skirted lure has {MOST_HOOKS} single hooks at most, their eyes a hook's length"
        f" apart at least and {EYES_APART_CM} cm at most (or the point of one through the eye of the other),"
        " the rear one no more than its own length behind the skirt"
    ]
    for lure in about.lures[:MOST]:
        if lure.hooks is not None:
            verdict = (
                "too many for a record claim" if lure.hooks > MOST_HOOKS else "as many as may be"
            )
            verdict = "within that" if lure.hooks < MOST_HOOKS else verdict
            lines.append(f"{lure.name} has {lure.hooks}, {verdict}; measure the rest")
    return _told(view, [*lines, ANGLING_RULES], "hooks")


def asks_gauge(asked: TackleQuestion, planned: bool = False) -> bool:
    """Return whether a question is about hooks of one gauge or speeds of lures, whatever it was taken for.

    What is to run at a speed may be a plan that is asked for.
    """
    return not (_GAUGES | _SPEEDS - ({"runs_at"} if planned else set())).isdisjoint(asked.kinds)


def _gauge(gauge: str) -> Callable[[View, Mentions], Answer | None]:
    """Return what answers which lures have hooks of a gauge, out and aboard, and which rods take them."""

    def answer(view: View, about: Mentions) -> Answer | None:
        del about
        fits = {lure.name for lure in view.box if lure.hook_gauge == gauge}
        laid = [there for there in view.trip.spread.values() if there.lure in fits]
        out = "; ".join(f"{there.position} {there.label}" for there in laid)
        aboard = sorted(fits - {there.lure for there in laid})
        rods = [rod.position for rod in view.boat.outfits if rod.gauge == gauge]
        lines = [f"{gauge} hooks out: {out}" if out else f"no lure that is out has {gauge} hooks"]
        lines += [f"aboard: {first_few(aboard, MOST)}"] if aboard else []
        lines += [f"rods that take them: {', '.join(rods)}"] if rods else []
        unknown = sum(lure.hook_gauge is None for lure in view.box)
        lines += [f"not known of {count(unknown, 'lure')}"] if unknown else []
        return _told(view, lines, None)

    return answer


def _fits(view: View, about: Mentions) -> Answer | None:
    """Return whether a lure goes with an outfit, and how hard it pulls."""
    rods = _fit_rods(view, about)
    pairs = [(lure, rod) for lure in about.lures for rod in rods]
    if not pairs and (about.lures or about.pull):
        pairs = _in_water(view, about)
    if not pairs:
        return None
    speed_kn = view.trip.speed_kn or view.speed_kn
    lines, units, bare = [], view.units, view.units.bare_weight
    for lure, outfit in pairs[:MOST]:
        load = towing_load(lure, speed_kn)
        found = [f for f in findings(Rig(lure, outfit, speed_kn)) if f.severity != "note"]
        grave = any(f.severity == "warning" for f in found)
        verdict = "too much" if grave else "with care" if found else "fits"
        name = lure.name if view.lure(lure.name) else f"a {lure.size_in:g}-inch lure"
        lines.append(
            f"{verdict}: {name} on {units.line(outfit.line_class_kg)} pulls {bare(load.low_kg, 1)} to"
            f" {units.weight(load.high_kg, 1)} at {number(speed_kn)} kn (about {bare(load.nominal_kg, 1)},"
            f" good to a factor of two), strike drag {units.weight(outfit.drag_kg, 1)}"
        )
        lines += [f.text for f in found if f.code != "towing-load"]
    return _told(view, lines[: MOST + 2], "drag")


def _fit_rods(view: View, about: Mentions) -> list[Outfit]:
    own = view.boat.outfit(about.position) if about.position else None
    if about.class_kg is not None:
        fits = own is not None and own.line_class_kg == about.class_kg
        return [own if own and fits else Outfit(about.position or "rod", about.class_kg)]
    return [own] if own else []


def _in_water(view: View, about: Mentions) -> list[tuple[Lure, Outfit]]:
    """Return the lures that are laid out with their outfits, where no lure was named."""
    if about.lures and about.position is None and about.class_kg is None:
        laid = {x.lure: x.position for x in view.trip.spread.values()}
        rods = ((lure, view.boat.outfit(laid.get(lure.name, ""))) for lure in about.lures)
        return [(lure, rod) for lure, rod in rods if rod is not None]
    found = []
    for there in view.trip.spread.values():
        lure, rod = view.lure(there.lure), view.boat.outfit(there.position)
        if lure and rod and not about.lures and about.position in (None, there.position):
            found.append((lure, rod))
    return found


def _back(view: View, about: Mentions) -> Answer | None:
    speed_kn, count = view.trip.speed_kn or view.speed_kn, wave_count(view)
    rough = "as you counted" if count else "the first full wave counted as one, good to a quarter"
    if about.wave is not None and 1 <= about.wave <= 30:
        back_m = face_m(about.wave, speed_kn, count)
        words = f"wave {about.wave} at {number(speed_kn)} kn: {view.units.distance(back_m)} back, {rough}"
        return _told(view, [words], None)
    line = runs_line(view) if view.trip.is_fishing and about.position is None else ""
    if line:
        return Answer(line, line)
    far = _runs_back_m(view)
    wanted = [about.position] if about.position else list(in_order(view.boat.positions))
    words = ", ".join(f"{position} {view.units.distance(far[position])}" for position in wanted)
    return _told(view, [f"at {number(speed_kn)} kn: {words} back, {rough}"], None)


def _back_m(view: View, position: str) -> float:
    return _runs_back_m(view).get(position, 0.0)


def _runs_back_m(view: View) -> dict[str, float]:
    """Return how far back each line runs: as its lure is towed, else as a plan has it."""
    speed_kn = view.trip.speed_kn or view.speed_kn
    planned = distances_m(view.boat.positions, speed_kn, wave_count(view))
    towed = runs(view, speed_kn) if view.trip.is_fishing else ()
    return {**planned, **{one.lure.position: one.back_m for one in towed}}


def _told(view: View, lines: Iterable[str], topic: Topic | None) -> Answer:
    written = [sentence(line) for line in lines]
    text = "\n".join([*written, *(caution_once(view, topic) if topic else [])])
    return Answer(text, written[0])


_ANSWERS: Final[Mapping[str, Callable[[View, Mentions], Answer | None]]] = {
    "spooled": _spooled, "lengths": _lengths, "hooks": _hooks, "back": _back, "fits": _fits,
    **{f"{gauge} hooks": _gauge(gauge) for gauge in GAUGES},
    "planned_speed": lambda view, _: planned_speed(view),
    "slow_runners": lambda view, _: slow_runners(view), "too_slow": lambda view, _: out_of_speed(view),
    "speed_of": lambda _, about: speed_of(about.lures),
    "runs_at": lambda view, about: running_at(view, about.speed_kn),
    "fine_at": lambda _, about: runs_it_at(about.speed_kn, about.lures),
}  # fmt: skip
