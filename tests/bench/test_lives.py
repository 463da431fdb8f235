"""Conversations that are read right end right, nearly all of them, and nothing is counted that was not."""

import json
from collections import Counter
from pathlib import Path

import pytest

from bot.bench.corpus import CORPORA
from bot.bench.lives import begin_log, main, say_lines, score

CREWS = CORPORA.parent / "crews"
LATER = CREWS / "o" / "conversations.jsonl"


@pytest.fixture(scope="module")
def start(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return begin_log(tmp_path_factory.mktemp("lives") / "start")


@pytest.mark.parametrize("crew", ["c", "o"])
def test_what_is_read_right_ends_right(crew: str, start: Path) -> None:
    kinds = Counter[str]()
    for line in (CREWS / crew / "conversations.jsonl").read_text("utf-8").splitlines():
        talk = json.loads(line)
        kinds[score(talk, say_lines(talk, start, true=True)).kind] += 1

    assert kinds["right"] >= 0.9 * kinds.total()
    assert not kinds["wrong log"]


def test_the_bench_counts_what_the_reader_makes_of_it_too(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    few = tmp_path / "conversations.jsonl"
    few.write_text("\n".join(LATER.read_text("utf-8").splitlines()[:3]))

    assert main([str(few), "--show"]) == 0
    assert capsys.readouterr().out.rstrip().endswith("of 3")
