"""A clock time at the start of a breath is that of all it tells; common practice, no source."""

from pathlib import Path

import pytest

from bot import Desk
from tests.desk_rig import call, rows


@pytest.mark.parametrize(
    ("line", "times"),
    [
        ("at 10:20 strike on the shotgun, jumped off", {"strike": "10:20", "pulled_hook": "10:20"}),
        ("at 10:20 hooked up shotgun, lost him at 10:25", {"hookup": "10:20", "pulled_hook": "10:25"}),
        ("strike on the shotgun, jumped off", {"strike": "10:30", "pulled_hook": "10:30"}),
    ],
)  # fmt: skip
def test_a_time_at_the_start_counts_for_the_whole_breath(
    tmp_path: Path, line: str, times: dict[str, str]
) -> None:
    with Desk(tmp_path) as desk:
        call(desk, "06:30 lines in", "06:31 set blue 7 shotgun", "10:30 " + line)

    found = rows(tmp_path, "SELECT act, at, position FROM entries WHERE NOT void")
    fish = {row["act"]: row["at"][11:16] for row in found if row["act"] in times}
    assert fish == times
    assert {row["position"] for row in found if row["act"] in times} == {"shotgun"}


def test_lures_that_went_out_at_a_time_all_went_out_then(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, "06:30 lines in")
        reply = call(
            desk,
            "07:30 at seven o'clock set short corner purple 8, red ten long corner",
            "07:30 first",
        )

    found = rows(tmp_path, "SELECT at FROM entries WHERE NOT void AND act = 'set'")
    assert [row["at"][11:16] for row in found] == ["07:00", "07:00"], reply.text
