"""What is read of crews that the networks have not learnt from: above a floor, in all of them.

The crews are invented by writers who had not seen the program (fixtures/crews/README.md). Their first
runs are figures, in bench/results/crews.md; this is the floor under later changes.
"""

import json
from collections.abc import Iterator
from typing import Any

import pytest

from bot.bench.corpus import CORPORA, same_calls
from bot.calls.language import Language
from bot.calls.understand import understand
from bot.transcript import typed
from bot.trip.acts import QUESTIONS, TAKES

CREWS = CORPORA.parent / "crews"
NOT_LEARNT = ("h", "j", "l", "s2")
SLOTS = frozenset[str]().union(*TAKES.values())
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
    rows = list(_rows(crew, "calls", "talk"))
    right = wrong = 0
    for row in rows:
        found = understand(typed(row["text"]), read)
        good = same_calls(row["calls"], [c.to_json() for c in found.calls])
        right += good
        logs = any(c.act not in QUESTIONS for c in found.calls)
        wrong += logs and not good and found.ask is None

    assert right / len(rows) >= 0.80
    assert wrong / len(rows) <= 0.05


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
    for call in said:
        assert call["act"] in TAKES
        assert set(call) - {"act"} <= SLOTS
