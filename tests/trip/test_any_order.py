"""Whatever is called in whatever order: nothing raises, the sums hold, undo leads back."""

from datetime import timedelta
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given, settings, strategies as st

from bot.trip.acts import ACTS, CONTROL, FISH_ACTS, LOGGED, TAKES
from bot.trip.call import POSITIONS, Call
from bot.trip.decide import decide
from bot.trip.decision import Context, Numbering, number
from bot.trip.entry import Entry, Record
from bot.trip.exposure import lure_hours
from bot.trip.fold import fold
from bot.trip.history import in_order, standing_entries
from bot.trip.meant import FromOtherLine, LostLure, Meaning, Weedy
from bot.trip.memory import Memory
from bot.trip.state import Trip
from bot.trip.tally import tally
from tests.builders import DAY, TRIP
from tests.trip.hours import hours_by

SLOTS: dict[str, st.SearchStrategy[Any]] = {
    "position": st.sampled_from(POSITIONS),
    "side": st.sampled_from(("port", "starboard")),
    "colours": st.sampled_from((("purple",), ("black", "red"), ("green",))),
    "size_in": st.sampled_from((6.0, 8.0, 12.5)),
    "lure": st.sampled_from(("Tin Roof", "Wet Sunday")),
    "head": st.sampled_from(("blunt", "cupped")),
    "old_colours": st.sampled_from((("purple",), ("green",))),
    "species": st.sampled_from(("wahoo", "marlin", "blue marlin")),
    "count": st.integers(2, 4),
    "weight_kg": st.floats(1, 500),
    "speed_kn": st.floats(0, 12),
    "text": st.sampled_from(("", "move it")),
    "ago_min": st.sampled_from((0.0, 3.0, 45.0)),
    "clock": st.sampled_from(("00:00", "08:10", "23:59")),
}
MEANT: dict[str, tuple[Meaning, ...]] = {
    "set": (FromOtherLine(),), "sighting": (Weedy(everywhere=True),), "rework": (LostLure(),),
}  # fmt: skip


@st.composite
def calls(draw: st.DrawFn, acts: tuple[str, ...]) -> Call:
    act = draw(st.sampled_from(acts))
    takes = TAKES.get(act, frozenset(SLOTS))
    names = [name for name in SLOTS if name in takes]
    chosen = draw(st.sets(st.sampled_from(names), max_size=4)) if names else set()
    slots = {name: draw(SLOTS[name]) for name in sorted(chosen)}
    if act in CONTROL and draw(st.booleans()):
        slots["of_act"] = draw(st.sampled_from(("strike", "set", "undo")))
    if act in MEANT and draw(st.booleans()):
        slots["meant"] = MEANT[act]
    return Call(act, **slots)  # type: ignore[arg-type]


messages = st.lists(
    st.tuples(st.integers(0, 40), st.lists(calls(ACTS), min_size=1, max_size=3)), max_size=25
)
events = st.lists(st.tuples(st.integers(0, 600), calls(tuple(sorted(LOGGED)))), max_size=40)


def played(day: list[tuple[int, list[Call]]], start: tuple[Record, ...] = ()) -> tuple[Record, ...]:
    """Play messages, minutes apart, as the desk does."""
    records, minute = start, 7 * 60
    for turn, (wait, said) in enumerate(day):
        minute += wait
        at = DAY + timedelta(minutes=minute)
        decision = decide(said, records, Context(at))
        name = f"{len(start):04d}.{turn:06d}"  # no message has the name of an earlier one
        ids = iter(f"{name}.{n:02d}" for n in range(1000))
        about = Numbering(ids.__next__, TRIP, name, "Mate", "console", "x", at)
        made = number(decision, about)
        records = made if decision.new_trip and made else (*records, *made)
    return records


def folded(day: list[tuple[int, Call]]) -> Trip:
    return fold(in_order(made(day)))


def made(day: list[tuple[int, Call]]) -> list[Entry]:
    return [
        Entry(f"{n:04d}", TRIP, DAY + timedelta(minutes=m), c, "Mate", "console", "move it")
        for n, (m, c) in enumerate(day)
    ]


@given(messages)
@settings(deadline=None)
def test_no_order_of_calls_raises(day: list[tuple[int, list[Call]]]) -> None:
    records = played(day)

    state = fold(standing_entries(records))

    now = DAY + timedelta(days=2)
    for by in ("position", "colour", "size", "lure", "species", "crew", "hour", "speed", "none"):
        tally([state], by, now)


@given(messages)
@settings(deadline=None)
def test_what_is_remembered_is_what_folding_anew_gives(day: list[tuple[int, list[Call]]]) -> None:
    memory, records = Memory(), played(day)

    for length in range(len(records) + 1):
        assert memory.now(records[:length]).trip == fold(standing_entries(records[:length]))


@given(messages)
@settings(deadline=None)
def test_what_is_remembered_with_marks_is_what_folding_anew_gives(
    day: list[tuple[int, list[Call]]],
) -> None:
    records = played(day)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("bot.trip.memory.MARK_EVERY", 2)
        memory = Memory()
        for length in range(len(records) + 1):
            now = memory.now(records[:length])
            stood = standing_entries(records[:length])
            assert now.trip == fold(stood)
            for entry in stood[-3:]:
                others = [one for one in stood if one is not entry]
                assert now.until(entry.at, but=entry.id) == fold(others, until=entry.at)
                folding, rest = now.before(entry.at)
                for one in rest:
                    folding.add(one)
                assert folding.trip() == now.trip


@given(messages)
@settings(deadline=None)
def test_undo_of_everything_returns_to_the_start(day: list[tuple[int, list[Call]]]) -> None:
    records = played(day)
    undo = [Call("undo")]

    while not decide(undo, records, Context(DAY + timedelta(days=2))).refused:
        before = records
        records = played([(0, undo)], records)
        assert len(records) > len(before)

    assert standing_entries(records) == ()
    assert fold(standing_entries(records)) == Trip()


@given(events)
@settings(deadline=None)
def test_lure_hours_are_positions_in_the_water_times_time(day: list[tuple[int, Call]]) -> None:
    """Walk the day minute by minute, asking the trip as it was then, and count.

    Fights are left out: they are taken off only once the fish is known to have been on.
    """
    calm = [
        (m, c)
        for m, c in day
        if c.act not in ("hookup", "leader", "boat", "release", "pulled_hook", "break_off")
    ]
    entries = in_order(made(calm))
    end = DAY + timedelta(minutes=601)

    minutes = 0
    for minute in range(601):
        minutes += len(fold(entries, until=DAY + timedelta(minutes=minute)).in_water)

    state = fold(entries)
    assert abs(lure_hours([state], end) * 60 - minutes) < 1e-6
    assert abs(sum(hours_by([state], "position", end).values()) * 60 - minutes) < 1e-6
    assert abs(sum(hours_by([state], "hour", end).values()) * 60 - minutes) < 1e-6


@given(events)
@settings(deadline=None)
def test_no_two_stints_of_a_line_overlap_and_no_fish_is_on_in_one(
    day: list[tuple[int, Call]],
) -> None:
    state = folded(day)
    far = DAY + timedelta(days=1)

    for line in {s.line for s in state.stints}:
        spans = sorted((s.start, s.end or far) for s in state.stints if s.line == line)
        assert all(start < end for start, end in spans)
        assert all(a[1] <= b[0] for a, b in pairwise(spans))
        for fish in state.fish:
            if fish.line == line and fish.off_water is not None:
                off, back = fish.off_water[0], fish.off_water[1] or far
                assert all(end <= off or start >= back for start, end in spans)


@given(events)
@settings(deadline=None)
def test_the_log_replayed_gives_the_same_trip(day: list[tuple[int, Call]]) -> None:
    entries = made(day)

    assert fold(in_order(entries)) == fold(in_order(reversed(entries)))


@given(events)
@settings(deadline=None)
def test_every_entry_about_a_fish_is_in_one_fish_or_in_those_hooked_together(
    day: list[tuple[int, Call]],
) -> None:
    state = folded(day)
    ids = [e.id for e in made(day) if e.call.act in FISH_ACTS]
    held = [i for f in state.fish for i in f.entries]

    assert set(held) == set(ids)
    assert sum(f.caught for f in state.fish) == sum(
        c.count or 1 for _, c in day if c.act in ("boat", "release")
    )


def test_a_name_that_changes_an_older_entry_changes_those_of_the_same_breath_too() -> None:
    day = [
        (0, [Call("leader", position="short corner", species="marlin")]),
        (4, [Call("leader"), Call("amend", species="wahoo")]),
    ]
    fish = fold(standing_entries(played(day))).fish
    assert [one.species for one in fish] == ["wahoo"]
