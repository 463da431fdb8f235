"""Complete a call with what was not said: the line of "missed him", the lure that was in the water.

"He's back in the boat" is told apart: somebody who fell in, or a fish. What was said is
never changed, only completed. Pure; the trip is the one at the time of the call.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final, assert_never

from bot.tackle.items import Lure
from bot.trip.acts import TABLE, TAKES
from bot.trip.call import Call
from bot.trip.encounters import (
    FishClue,
    find_fish,
    fish_clue,
    on_together,
    recent_miss,
    struck_together,
)
from bot.trip.fish import Fish
from bot.trip.lines import line_for, line_with, moved_from
from bot.trip.lures import LureSlots, agrees, from_box, from_water, is_known, lure_slots
from bot.trip.meant import AnyOne, Bearing, CameBack, LostLure
from bot.trip.state import Trip

IN_HAND: Final = timedelta(minutes=5)
"""How long "the hook is bent" means the lure that came in last; common practice, no source."""
READY_FOR: Final = timedelta(minutes=2)
"""How long "put it on the long corner" means the lure that was called ready; common practice, no source."""
RECOVERED_WITHIN: Final = timedelta(minutes=30)
"""How long "in the boat" means the man who was overboard, unless a fish is named."""


@dataclass(frozen=True, slots=True)
class FilledCall:
    """A completed call, and the slots that nobody said."""

    call: Call
    inferred: tuple[str, ...] = ()


def fill(call: Call, trip: Trip, at: datetime, box: Sequence[Lure] = ()) -> FilledCall:
    """Return a call completed, and which of its slots nobody said."""
    match TABLE[call.act].stage:
        case "raised" | "struck":
            full = _bite(call, trip, at, box)
        case "on":
            full = _with_its_angler(_bite(call, trip, at, box), trip, at)
        case "leader" | "missed" | "lost" | "caught":
            full = _ending(call, trip, at)
        case None:
            full = _no_fish(call, trip, at, box)
        case stage:
            assert_never(stage)
    said = call.said()
    return FilledCall(full, tuple(sorted(slot for slot in full.said() if slot not in said)))


def _no_fish(call: Call, trip: Trip, at: datetime, box: Sequence[Lure]) -> Call:
    row = TABLE[call.act]
    if row.lays:
        return _lay(call, trip, at, box)
    if (seen := call.meaning(Bearing)) is not None and call.side is None:
        return call.with_slots(side=_side_of(seen.hour))
    if row.act == "angler":
        on = trip.fish_on
        return _at_fish(call, on[0]) if call.position is None and len(on) == 1 else call
    if row.act == "rework" and call.names_lure and call.lure is None:
        return _worked_on(call, trip, box)
    if row.act == "rework" and not call.names_lure and (in_hand := _in_hand(trip, at)):
        return from_water(call, in_hand)
    return from_box(call, box) if row.kind == "lure" else call


def _side_of(hour: int) -> str | None:
    """Return the side of a bearing by the clock; none straight ahead and straight astern."""
    ahead, astern = 12, 6
    return None if hour in (ahead, astern) else "starboard" if hour < astern else "port"


def _worked_on(call: Call, trip: Trip, box: Sequence[Lure]) -> Call:
    """Return a lure that needs work or is lost: one in the water rather than one like it in the box."""
    there = [lure for lure in (*trip.spread.values(), *trip.lost[-1:]) if agrees(call, lure)]
    if len(there) == 1 and is_known(there[0]):
        return from_water(call, there[0])
    return from_box(call, box)


def lost_lures(call: Call, trip: Trip, box: Sequence[Lure]) -> tuple[str, ...]:
    """Return the lures aboard that may be the one that is lost; empty where one is named, or just went."""
    lost = call.meaning(LostLure) is not None and call.lure is None and call.names_lure
    if not lost or any(agrees(call, last) for last in trip.lost[-1:]):
        return ()
    out = [there.lure for there in trip.spread.values() if there.lure and agrees(call, there)]
    boxed = [item.name for item in box if agrees(call, lure_slots(item))]
    gone = {one.lure for one in trip.lost} | {one.lure for one in trip.rigging if one.lost}
    found = tuple(name for name in dict.fromkeys((*out, *boxed)) if name not in gone)
    return found if len(found) > 1 else ()


def _brought_in(trip: Trip, at: datetime) -> LureSlots | None:
    """Return the lure that just came in off a line that is now empty; None where there are several."""
    ends = [s for s in trip.stints if s.line not in trip.spread and s.end is not None]
    lately = [s for s in ends if s.end is not None and timedelta() <= at - s.end <= IN_HAND]
    return lately[0] if len({s.line for s in lately}) == 1 else None


def _in_hand(trip: Trip, at: datetime) -> LureSlots | None:
    """Return the lure that just came in, else that of the last bite of late: "its skirt is shredded"."""
    if (brought_in := _brought_in(trip, at)) or trip.fish_on or not trip.fish:
        return brought_in
    last = trip.fish[-1]
    lately = last.struck_at is not None and timedelta() <= at - last.struck_at <= IN_HAND
    return last if lately and is_known(last) else None


def _made_ready(trip: Trip, at: datetime) -> LureSlots | None:
    """Return the lure that was called ready just now and is not in the water: "put it on the corner"."""
    last = trip.rigging[-1] if trip.rigging else None
    if last is None or not last.ready or not timedelta() <= at - last.at <= READY_FOR:
        return None
    out = any(is_known(there) and agrees(last, there) for there in trip.spread.values())
    return last if is_known(last) and not out else None


def fish_of_call(call: Call, trip: Trip, at: datetime) -> Fish | None:
    """Return the fish that a call goes on with."""
    return find_fish(trip.fish, _wants(call, trip, at))


def _wants(call: Call, trip: Trip, at: datetime) -> FishClue:
    line = line_for(trip.spread, call.position, call.side) if call.position else None
    return fish_clue(call, at, line)


def _bite(call: Call, trip: Trip, at: datetime, box: Sequence[Lure]) -> Call:
    placed = call if call.position else _placed(call, trip, at, box)
    if placed.position is None:
        return from_box(placed, box)
    bitten = _bitten(placed, trip, at)
    if bitten is not None:
        return from_water(placed, bitten)
    there = trip.spread.get(line_for(trip.spread, placed.position, placed.side))
    boxed = from_box(placed, box)
    if there is not None and agrees(boxed if placed.lure else placed, there):
        return from_water(placed, there)
    return boxed


def _bitten(call: Call, trip: Trip, at: datetime) -> Fish | None:
    """Return the fish that is hooked up, where its strike already says which lure it took; else None."""
    if call.act != "hookup" or call.names_lure:
        return None
    fish = fish_of_call(call, trip, at)
    return fish if fish is not None and fish.struck_at and is_known(fish) else None


def line_of_lure(call: Call, trip: Trip, box: Sequence[Lure]) -> str | None:
    """Return the only line that tows the lure which a bite names; None where several may."""
    return line_with(trip.spread, from_box(call, box) if call.lure else call)


def _placed(call: Call, trip: Trip, at: datetime, box: Sequence[Lure]) -> Call:
    """Return a bite with its line: that of the lure said, else that of the fish that it continues."""
    wants = _wants(from_box(call, box) if call.lure else call, trip, at)
    count = call.count or 1
    if call.act == "hookup" and count > 1 and len(struck_together(trip.fish, wants, count)) > 1:
        return call
    line = line_of_lure(call, trip, box)
    if line is not None:
        there = trip.spread[line]
        return call.with_slots(position=there.position, side=call.side or there.side)
    fish = find_fish(trip.fish, wants)
    if fish is None and (TABLE[call.act].stage != "raised" or call.meaning(CameBack)):
        fish = recent_miss(trip.fish, at)
    return call if fish is None else _at_fish(call, fish)


def _with_its_angler(call: Call, trip: Trip, at: datetime) -> Call:
    """Return a hook-up with who has the rod by what was said: of its fish, the next one or its line."""
    if call.angler is not None or (call.count or 1) > 1:
        return call
    fish = fish_of_call(call, trip, at)
    if fish is not None and fish.count > 1:
        return call
    line = line_for(trip.spread, call.position, call.side) if call.position else None
    waiting = trip.next_angler or trip.rods.get(line or "")
    return call.with_slots(angler=(fish.angler if fish is not None else None) or waiting)


def _ending(call: Call, trip: Trip, at: datetime) -> Call:
    fish = fish_of_call(call, trip, at)
    if fish is None:
        return call
    count = call.count or 1
    if call.position is None and len(on_together(trip.fish, _wants(call, trip, at), count)) > 1:
        return call  # several at once are on no one line
    placed = call if call.position else _at_fish(call, fish)
    if count == 1 == fish.count and call.angler is None and "angler" in TAKES[call.act]:
        placed = placed.with_slots(angler=fish.angler)
    takes_species = "species" in TAKES[call.act] and call.species is None
    return placed.with_slots(species=fish.species) if takes_species else placed


def _at_fish(call: Call, fish: Fish) -> Call:
    return call.with_slots(position=fish.position, side=call.side or fish.side)


def _lay(call: Call, trip: Trip, at: datetime, box: Sequence[Lure]) -> Call:
    if call.position is None and call.act == "swap":
        line = line_with(trip.spread, old_lure(call))
        if line is not None:
            call = call.with_slots(position=trip.spread[line].position)
    if call.position is None:
        return from_box(call, box)
    line = line_for(trip.spread, call.position, call.side, new=call.act == "set")
    if call.names_lure:
        moved = moved_from(call, (), trip.spread, line) if call.act == "set" else None
        return from_water(call, trip.spread[moved]) if moved else _changed(call, line, trip, box)
    there = trip.spread.get(line)
    if call.act == "set" and there is not None and (ready := _made_ready(trip, at)):
        return from_water(call, ready)
    before = there or trip.previous.get(line)
    return from_water(call, before) if call.act == "set" and before is not None else call


def _changed(call: Call, line: str, trip: Trip, box: Sequence[Lure]) -> Call:
    """Return a lure with its name from the box, unless that hangs there: "the blue" is then another one."""
    if call.lure is None and call.meaning(AnyOne) is not None:
        return call  # which of several it is was not said
    boxed, there = from_box(call, box), trip.spread.get(line)
    partly = call.lure is None and (call.size_in is None or call.colours != boxed.colours)
    same = there is not None and boxed.lure is not None and there.lure == boxed.lure
    swaps = "old_lure" in TAKES[call.act]
    return call if swaps and partly and same else boxed


def old_lure(call: Call) -> Call:
    """Return the lure that a swap takes off, as a call that names it."""
    return Call("set", lure=call.old_lure, size_in=call.old_size_in, colours=call.old_colours)


def is_the_man(trip: Trip, call: Call, at: datetime) -> bool:
    """Return whether "he's back in the boat" is about somebody who fell in, and not about a fish."""
    fell = next((one for one in reversed(trip.open_trouble) if one.what == "man overboard"), None)
    if fell is not None and any(fish.first_at > fell.at for fish in trip.fish_on):
        return False  # they fish again
    said = call.said().keys() - {"ago_min", "clock", "side"}
    return (
        TABLE[call.act].stage == "caught"
        and not said
        and fell is not None
        and timedelta() <= at - fell.at <= RECOVERED_WITHIN
    )
