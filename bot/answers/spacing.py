"""Where lures run: what the crew has said of it in metres and waves, and what a new speed changes.

A spread keeps to its waves while the speed changes, or goes to those of a plan for the new speed where that
moves its lures less. Words, pictures and distances all count so.

A crew tells it once ("short corner is fourteen metres back on the second wave"); the log keeps that as a
note, and every plan, picture and distance after it counts waves from there. Speeds are through the water.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from bot.answers.view import Past, View
from bot.replies.amounts import number
from bot.spread.positions import in_order, waves
from bot.trip.call import Call
from bot.trip.exposure import speed_at
from bot.trip.meant import OnWave
from bot.trip.state import InWater, Remark, Trip
from bot.water.wake import WaveCount, crew_count, face_m

TROLLING_KN: Final = (4.0, 12.0)
"""Range of speeds at which lures are moved from wave to wave; others are a run or a drift (estimate)."""
LEAST_MOVE_M: Final = 1.0
"""Least distance in metres by which anybody moves a lure."""


@dataclass(frozen=True, slots=True)
class Runs:
    """The place where one lure runs."""

    lure: InWater
    wave: int
    back_m: float

    @property
    def where(self) -> str:
        """Return the crew's name of its line."""
        return self.lure.line or self.lure.position


def wave_count(view: View) -> WaveCount | None:
    """Return how this crew counts waves, as last said on this trip or an earlier one."""
    found = _count_of(view.trip, view.boat.usual_kn)
    if found is not None:
        return found
    return view.past.once("wave count", lambda: _count_before(view.past, view.boat.usual_kn))


def _count_before(past: Past, usual_kn: float) -> WaveCount | None:
    earlier = (_count_of(trip, usual_kn) for trip in reversed(past.trips))
    return next((count for count in earlier if count is not None), None)


def spacing_lines(before: View, after: View, calls: Iterable[Call]) -> list[str]:
    """Return the lines on what a message changed: waves counted again, lures to be moved."""
    lines = []
    for call in calls:
        if (one := call.meaning(OnWave)) is not None:
            lines.append(_counted(one, after))
        elif call.speed_kn is not None:
            lines.append(moves_line(after, before.trip.speed_kn, call.speed_kn))
    return [line for line in lines if line]


def moves_line(view: View, from_kn: float | None, to_kn: float) -> str:
    """Return how far to move every lure so that it stays on its wave; empty where nobody would move one."""
    if _trolling(to_kn) is None or view.trip.fish_on or not view.trip.is_fishing:
        return ""
    start_kn, count = _trolling(from_kn) or view.boat.usual_kn, wave_count(view)
    since = _speeds_since(view)
    before = since[:-1] if since[1:] and since[-1] == to_kn else since
    then = _at(view, start_kn, before, count)
    now = _at(view, to_kn, (*before, start_kn), count)
    moves = [
        (one.where, one.back_m - old.back_m)
        for old, one in zip(then, now, strict=True)
        if abs(one.back_m - old.back_m) >= LEAST_MOVE_M
    ]
    if not moves:
        return ""
    said = "; ".join(
        f"{words} {', '.join(f'{where} {view.units.distance(abs(by))}' for where, by in some)}"
        for words, some in (
            ("bring in", [move for move in moves if move[1] < 0]),
            ("let out", [move for move in moves if move[1] > 0]),
        )
        if some
    )
    start = f"From {number(start_kn)}" if start_kn == from_kn else f"If set for {number(start_kn)}"
    rough = "" if count else " (good to a quarter)"
    stays = [one.wave for one in then] == [one.wave for one in now]
    where = "stay on the same waves" if stays else "run on the waves of a plan for that speed"
    return f"{start}, at {number(to_kn)} kn {said}{rough}, to {where}."


def runs_line(view: View) -> str:
    """Return where the lures in the water belong at the speed called last; empty where none was called."""
    speed_kn = view.trip.speed_kn
    if speed_kn is None or _trolling(speed_kn) is None or not view.trip.is_fishing:
        return ""
    found = [f"{one.where} {view.units.distance(one.back_m)}" for one in runs(view, speed_kn)]
    return f"At {number(speed_kn)} kn, for their waves: {', '.join(found)} back." if found else ""


def runs(view: View, speed_kn: float, count: WaveCount | None = None) -> tuple[Runs, ...]:
    """Return where the lures laid out run at a speed: each on the wave to which it was set, or moved."""
    return _at(view, speed_kn, _speeds_since(view), count or wave_count(view))


def _at(
    view: View, speed_kn: float, since: Sequence[float], count: WaveCount | None
) -> tuple[Runs, ...]:
    """Return where the lures run at a speed; `since` are the speeds of the spread up to it, first to last."""
    positions = _positions(view)
    told = _told_waves(view.trip, positions)
    speeds_kn = (*since, speed_kn)[: 1 if told else None]  # a crew that counts waves keeps to them
    on_wave = {**_on_waves(view.trip, positions, speeds_kn, count), **told}
    return tuple(
        Runs(lure, on_wave[position], face_m(on_wave[position], speed_kn, count))
        for position in in_order(positions)
        for lure in view.trip.spread.values()
        if lure.position == position
    )


def _on_waves(
    trip: Trip, positions: Sequence[str], speeds_kn: Sequence[float], count: WaveCount | None
) -> Mapping[str, int]:
    """Return the wave of every position for a spread that was set at the first speed and then changed."""
    on = waves(positions, speeds_kn[0], count)
    laid = {lure.position for lure in trip.spread.values()} or set(positions)
    for from_kn, to_kn in pairwise(speeds_kn):
        there_m = {p: face_m(on[p], from_kn, count) for p in laid}
        planned = waves(positions, to_kn, count)
        stays, goes = (
            sum(abs(face_m(waves_to[p], to_kn, count) - there_m[p]) for p in laid)
            for waves_to in (on, planned)
        )
        on = planned if goes < stays else on
    return on


def _positions(view: View) -> tuple[str, ...]:
    """Return the positions of the boat, and those that were called besides."""
    called = (lure.position for lure in view.trip.spread.values())
    return tuple(dict.fromkeys((*view.boat.positions, *called)))


def _told_waves(trip: Trip, positions: Iterable[str]) -> Mapping[str, int]:
    """Return the wave of every position for which the crew has said it on this trip."""
    found: dict[str, int] = {}
    for remark in trip.notes:
        for one in _told(remark):
            found |= {p: one.wave for p in positions if p in one.positions}
    return found


def _speeds_since(view: View) -> tuple[float, ...]:
    """Return the speed for which the spread was laid out, and the ones at which it was towed after that.

    It is laid out at the speed that was called when most of its lures were in.
    """
    trip, usual_kn = view.trip, view.boat.usual_kn
    since = trip.fishing_since or next((start for start, _ in reversed(trip.intervals)), None)
    if since is None:
        return (usual_kn,)
    laid = sorted(max(since, there.set_at or there.since) for there in trip.spread.values())
    most = laid[len(laid) // 2] if laid else since
    after = (_trolling(r.speed_kn) for r in trip.readings if r.at > most)
    first = _trolling(speed_at(trip, most)) or usual_kn
    return (first, *(kn for kn in after if kn is not None))


def _trolling(speed_kn: float | None) -> float | None:
    """Return a speed at which lures are moved from wave to wave, None for any other."""
    low, high = TROLLING_KN
    return speed_kn if speed_kn is not None and low <= speed_kn <= high else None


def _count_of(trip: Trip, usual_kn: float) -> WaveCount | None:
    for remark in reversed(trip.notes):
        for one in _told(remark):
            return crew_count(one.back_m, one.wave, _told_kn(trip, remark, usual_kn))
    return None


def _told(remark: Remark) -> Iterator[OnWave]:
    """Yield the distance that a note tells, if it tells one."""
    yield from (one for one in remark.meant if isinstance(one, OnWave))


def _told_kn(trip: Trip, remark: Remark, usual_kn: float) -> float:
    """Return the speed for which a distance was said: as called before it or in the same second."""
    told = (remark.at, remark.entry)
    spoken = [r.speed_kn for r in trip.readings if r.speed_kn and (r.at, r.entry) < told]
    return _trolling(spoken[-1] if spoken else None) or usual_kn


def _counted(one: OnWave, view: View) -> str:
    """Return the sentence that a distance was understood, with its speed."""
    known = _trolling(view.trip.speed_kn)
    at = f"at {number(known or view.boat.usual_kn)} kn"
    if known is None:
        at += ", the usual speed: none was called"
    return f"Wave {one.wave} is {view.units.length(one.back_m)} back {at}. Plans and pictures count from it."
