"""Where lures run: what the crew has said of it in metres and waves, and what a new speed changes.

A crew tells it once ("short corner is fourteen metres back on the second wave"); the log keeps that as a
note, and every plan, picture and distance after it counts waves from there. Speeds are through the water.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from bot.answers.view import Past, View
from bot.replies.amounts import number
from bot.spread.positions import in_order, waves
from bot.trip.call import Call
from bot.trip.exposure import speed_at
from bot.trip.meant import OnWave
from bot.trip.state import InWater, Remark, Trip
from bot.water.wake import WaveCount, calibrated, face_m

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
    then, now = runs(view, start_kn, count), runs(view, to_kn, count)
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
    before = f"From {number(start_kn)}" if start_kn == from_kn else f"If set for {number(start_kn)}"
    rough = "" if count else " (good to a quarter)"
    return f"{before}, at {number(to_kn)} kn {said}{rough}, to stay on the same waves."


def runs_line(view: View) -> str:
    """Return where the lures in the water belong at the speed called last; empty where none was called."""
    speed_kn = view.trip.speed_kn
    if speed_kn is None or _trolling(speed_kn) is None or not view.trip.is_fishing:
        return ""
    found = [f"{one.where} {view.units.distance(one.back_m)}" for one in runs(view, speed_kn)]
    return f"At {number(speed_kn)} kn, for their waves: {', '.join(found)} back." if found else ""


def runs(view: View, speed_kn: float, count: WaveCount | None = None) -> tuple[Runs, ...]:
    """Return where the lures laid out run at a speed: each on the wave on which it was set."""
    count = count or wave_count(view)
    positions = _positions(view)
    on_wave = {
        **waves(positions, _set_kn(view.trip, view.boat.usual_kn), count),
        **_told_waves(view.trip, positions),
    }
    return tuple(
        Runs(lure, on_wave[position], face_m(on_wave[position], speed_kn, count))
        for position in in_order(positions)
        for lure in view.trip.spread.values()
        if lure.position == position
    )


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


def _set_kn(trip: Trip, usual_kn: float) -> float:
    """Return the speed for which the spread was laid out: as called when most of its lures were in."""
    since = trip.fishing_since
    if since is None:
        return usual_kn
    laid = sorted(max(since, there.set_at or there.since) for there in trip.spread.values())
    most = laid[len(laid) // 2] if laid else since
    return _trolling(speed_at(trip, most)) or usual_kn


def _trolling(speed_kn: float | None) -> float | None:
    """Return a speed at which lures are moved from wave to wave, None for any other."""
    low, high = TROLLING_KN
    return speed_kn if speed_kn is not None and low <= speed_kn <= high else None


def _count_of(trip: Trip, usual_kn: float) -> WaveCount | None:
    for remark in reversed(trip.notes):
        for one in _told(remark):
            return calibrated(one.back_m, one.wave, _told_kn(trip, remark, usual_kn))
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
