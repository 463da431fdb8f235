"""The bench of many groups loses nothing itself: every call is answered and kept once."""

import re

import pytest

from bot.bench.crews import main


def test_a_short_run_answers_and_keeps_every_call(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["--groups", "3", "--seconds", "4", "--no-board"]) == 0

    last = capsys.readouterr().out.splitlines()[-1]
    groups, calls, answered, kept = (int(word) for word in re.findall(r"\d+", last)[:4])
    assert (groups, calls, answered, kept) == (3, 12, 12, 12)
