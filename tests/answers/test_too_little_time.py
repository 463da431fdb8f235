"""A minute of fishing has no rate, in words or in the table; the numbers for programs stay."""

import json
from datetime import timedelta
from pathlib import Path

import pytest

from bot import Desk
from bot.cli import main
from tests.desk_rig import at, call

DAY = ("06:30 lines in", "06:30 set short corner red ten", "06:32 strike short corner")


@pytest.mark.parametrize(("minutes", "is_known"), [(1, False), (27, False), (30, True), (90, True)])
def test_a_rate_needs_half_a_lure_hour(tmp_path: Path, minutes: int, is_known: bool) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *DAY)
        reply = desk.say("tally", crew="Mate", at=at("06:30") + timedelta(minutes=minutes + 1))

    assert ("strikes per 10 lure-hours" in reply.text) == is_known
    assert ("Too little time for a rate." in reply.text) == (not is_known)


def test_the_table_has_no_rate_where_json_keeps_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *DAY, "06:33 end of trip")

    assert main(["tally", "--home", str(tmp_path)]) == 0
    assert "too little time" in capsys.readouterr().out
    assert main(["tally", "--json", "--home", str(tmp_path)]) == 0
    assert json.loads(capsys.readouterr().out)["total"]["rate_per_10h"] > 100
