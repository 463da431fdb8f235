"""Trips of any calls, with proposals that quote the log of their time, and with undone entries."""

from collections.abc import Sequence
from typing import Any

from hypothesis import strategies as st

from bot.messages import Advice
from bot.trip.call import POSITIONS
from bot.trip.entry import Advised, Entry, Record, Voided
from bot.trip.fold import fold
from bot.trip.history import in_order, standing_entries
from bot.trip.tally import tally
from tests.builders import at, entry

ACTS = (
    "trip_start", "trip_end", "lines_in", "lines_out", "set", "swap", "clear", "raise", "strike",
    "hookup", "miss", "pulled_hook", "break_off", "boat", "release", "sighting", "mark", "note",
    "speed", "ready", "rework",
)  # fmt: skip
LURES = ("", "purple 8", "@Tea Cosy", "@Milk Jug", "red 6", "purple black 12")
_LURED = frozenset({"set", "swap", "raise", "strike", "hookup", "ready", "rework"})
_FISH = frozenset({"boat", "release", "raise", "strike", "hookup"})
_PLACED = frozenset(ACTS[4:15])


@st.composite
def records(draw: st.DrawFn) -> tuple[Record, ...]:
    """Return the records of a trip in the order in which they were made."""
    made: list[Entry] = []
    for _ in range(draw(st.integers(0, 25))):
        act = draw(st.sampled_from(ACTS))
        minute = draw(st.integers(0, 12 * 60))
        position = draw(st.sampled_from((None, *POSITIONS[:3]))) if act in _PLACED else None
        lure = draw(st.sampled_from(LURES)) if act in _LURED else ""
        slots: dict[str, Any] = {}
        if act in _FISH and draw(st.booleans()):
            slots |= {"species": draw(st.sampled_from(("wahoo", "blue marlin"))), "count": 2}
        if draw(st.booleans()):
            slots |= {"latitude": draw(st.floats(-90, 90)), "longitude": draw(st.floats(-180, 180))}
        if act in ("strike", "hookup", "boat") and draw(st.integers(0, 3)) == 0:
            slots["angler"] = "Ann"
        if act == "speed":
            slots["speed_kn"] = 8.0
        made.append(
            entry(f"{6 + minute // 60:02d}:{minute % 60:02d}", act, position, lure, **slots)
        )
    held: list[Record] = list(in_order(made))
    for number, minute in enumerate(sorted(draw(st.lists(st.integers(0, 12 * 60), max_size=5)))):
        clock = f"{6 + minute // 60:02d}:{minute % 60:02d}"
        place = sum(one.at <= at(clock) for one in held)
        position, lure = draw(st.sampled_from(POSITIONS[:2])), draw(st.sampled_from(LURES[2:4]))
        advice = Advice(position, lure[1:], quoted(held[:place], clock), 0.8, 0.1)
        held.insert(place, Advised(f"a{number:07x}", advice, at(clock)))
    undone = [one.id for one in made if draw(st.integers(0, 7)) == 0]
    return (*held, Voided("b0000000", tuple(undone), at("18:30"))) if undone else tuple(held)


def quoted(held: Sequence[Record], clock: str) -> str:
    """Return a reason as it is said: what one position had brought by a time, as the log stood."""
    trip = fold(standing_entries(held), until=at(clock))
    rows = tally((trip,), "position", at(clock)).rows
    return "; ".join(f"{r.key} {r.strikes} strikes in {r.hours:.1f} lure-hours" for r in rows[:1])
