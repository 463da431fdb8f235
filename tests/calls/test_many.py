"""A message in parts that each begin with a clock time, as a log is typed; common practice, no source."""

import pytest

from bot.calls.many import read_with_times, timed_parts
from bot.trip.call import Call

SURE = {
    "strike shotgun": (Call("strike", position="shotgun"),),
    "missed": (Call("miss"),),
    "tally": (Call("ask_tally"),),
}


def read(part: str) -> tuple[tuple[Call, ...], float]:
    return SURE.get(part, ()), 0.9 if part in SURE else 0.0


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("06:11 strike shotgun", (("06:11", "strike shotgun"),)),
        ("strike shotgun, 6:11 missed", ((None, "strike shotgun"), ("06:11", "missed"))),
        ("06:11 strike shotgun; 06:12 missed.", (("06:11", "strike shotgun"), ("06:12", "missed"))),
        ("the strike at 06:11 was shotgun", ()),
        ("99:11 strike shotgun", ()),
        ("strike shotgun", ()),
    ],
)
def test_a_time_begins_a_part_only_where_one_can_begin(
    text: str, parts: tuple[tuple[str | None, str], ...]
) -> None:
    assert timed_parts(text) == parts


def test_each_part_has_its_own_time() -> None:
    calls, sure = read_with_times(timed_parts("strike shotgun, 06:11 missed"), read)

    assert calls == (Call("strike", position="shotgun"), Call("miss", clock="06:11"))
    assert sure == 0.9


@pytest.mark.parametrize(
    "text", ["06:11 strike shotgun, 06:12 what a day", "06:11 tally", "06:11 "]
)
def test_one_part_that_is_no_sure_call_leaves_it_at_that(text: str) -> None:
    assert read_with_times(timed_parts(text), read) == ((), 0.0)
