"""What is remembered between messages is what folding all anew gives."""

from bot.trip.decide import decide
from bot.trip.decision import Context
from bot.trip.entry import Asked, Record, Voided
from bot.trip.fold import fold
from bot.trip.history import standing_entries
from bot.trip.memory import Memory, Now
from tests.builders import at, call, entry, log_of

DAY: tuple[Record, ...] = (
    *log_of(
        ("07:00", call("lines_in")),
        ("07:00", call("set", "shotgun", "red 6")),
        ("08:00", call("strike", "shotgun"), call("hookup")),
        ("08:10", call("raise", "shotgun", ago_min=30)),
        ("08:20", call("release")),
        ("08:30", call("swap", "shotgun", "green 9")),
        ("08:31", call("undo")),
        ("08:40", call("amend", of_act="set", size_in=7.0)),
        ("09:00", call("strike", "shotgun")),
    ),
    Asked("q", "Which?", (), at("09:01")),
    entry("09:02", "miss"),
)


def test_a_log_that_grows_is_remembered_right_at_every_length() -> None:
    memory = Memory()

    for length in range(len(DAY) + 1):
        records = DAY[:length]
        assert memory.now(records).trip == fold(standing_entries(records))
        assert memory.now(records).stood == standing_entries(records)


def test_another_log_is_not_taken_for_the_one_before() -> None:
    memory = Memory()
    memory.now(DAY)

    other = DAY[:3]

    assert memory.now(other).trip == fold(standing_entries(other))


def test_what_is_tried_on_a_copy_does_not_reach_the_memory() -> None:
    memory = Memory()
    before = memory.now(DAY).trip
    tried = memory.now(DAY).copy()

    assert tried.take(entry("10:00", "lines_out"))

    assert tried.trip.stints[-1].end == at("10:00")
    assert memory.now(DAY).trip == before == Now.after(DAY).trip


def test_a_decision_is_the_same_with_and_without_a_memory() -> None:
    memory = Memory()

    for length in range(len(DAY)):
        for one in (
            call("strike", "shotgun"),
            call("miss"),
            call("undo"),
            call("amend", size_in=9.0),
        ):
            fresh = decide([one], DAY[:length], Context(at("10:00")))
            assert decide([one], DAY[:length], Context(at("10:00"), memory=memory)) == fresh


def test_a_void_entry_makes_it_all_anew() -> None:
    now = Now.after(DAY)

    assert not now.take(Voided("v", (), at("10:00")))
