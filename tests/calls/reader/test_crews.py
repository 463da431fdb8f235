"""What is read of crews that the networks have not learnt from: above a floor, in all of them.

The crews are invented by writers who had not seen the program (fixtures/crews/README.md). Their first
runs are figures, in bench/results/crews.md; this is the floor under later changes.
"""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from bot.bench.corpus import CORPORA
from bot.bench.reader_data import lines_of
from bot.calls.language import Language
from bot.calls.reader.situation import FLAGS
from bot.trip.acts import TAKES
from tests.calls.reader.judging import shares

CREWS = CORPORA.parent / "crews"
NOT_LEARNT = ("s52", "s71", "s72", "s73")
SLOTS = frozenset[str]().union(*TAKES.values())
LINES = sorted((CORPORA.parent / "lines").glob("*.txt"))
EVERY = sorted(path.name for path in CREWS.iterdir() if path.is_dir())


def _rows(crew: str, *names: str) -> Iterator[dict[str, Any]]:
    for name in names:
        path = CREWS / crew / f"{name}.jsonl"
        if path.exists():
            yield from map(json.loads, path.read_text("utf-8").splitlines())


@pytest.mark.parametrize("crew", NOT_LEARNT)
def test_most_of_an_unheard_crew_is_read_right_and_little_of_it_logged_wrong(
    crew: str, read: Language
) -> None:
    rows = list(_rows(crew, "calls", "talk", "spoken"))
    right, wrong = shares(rows, read)

    assert right >= 0.9
    assert wrong <= 0.05


@pytest.mark.parametrize("crew", EVERY)
def test_labels_name_acts_and_slots_of_the_table(crew: str) -> None:
    said = [
        call
        for row in _rows(crew, "calls", "spoken", "misc", "trouble", "ordinary")
        for call in row["calls"]
    ]
    said += [
        call
        for row in _rows(crew, "conversations", "lives")
        for line in row["line_calls"]
        for call in line
    ]

    assert said
    _are_of_the_table(said)


def _are_of_the_table(said: list[dict[str, Any]]) -> None:
    for call in said:
        assert call["act"] in TAKES
        assert set(call) - {"act"} <= SLOTS


@pytest.mark.parametrize("path", LINES, ids=lambda path: path.stem)
def test_lines_to_learn_from_name_acts_slots_and_situations(path: Path) -> None:
    rows = list(lines_of(path))

    assert rows
    _are_of_the_table([call for row in rows for call in row["calls"]])
    assert {name for row in rows for name in row.get("situation", ())} <= set(FLAGS)
