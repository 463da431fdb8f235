"""The bench of what works runs, and counts every statement once."""

import re

import pytest

from bot.bench.works import KEYS, SEAS, main


def test_every_statement_stands_in_one_column(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["--seas", "3"]) == 0
    rows = capsys.readouterr().out.splitlines()[2:]

    assert len(rows) == len(SEAS)
    for row in rows:
        assert sum(int(number) for number in re.findall(r"\((\d+)\)", row)) == 3 * KEYS
