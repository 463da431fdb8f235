"""Small questions: until when to hold, which head, raises, what a fish ate; common practice, no source."""

from pathlib import Path

import pytest

from bot.messages import Reply
from tests.desk_rig import call, rigged, rows

BOX = "name,head,size_in,colours,ready\nPlum Jam,slim,8,purple,yes\nTin Lid,jet,6,red,yes\n"
DAY = (
    "07:00 raised one long rigger", "07:01 strike long rigger", "07:02 on", "07:10 boated a wahoo",
    "08:00 raised one short rigger",
)  # fmt: skip


def asked(home: Path, said: str) -> Reply:
    with rigged(home, BOX, *DAY) as desk:
        before = len(rows(home))
        reply = call(desk, f"09:30 {said}")
    assert len(rows(home)) == before
    return reply


@pytest.mark.parametrize("said", ["hold till when", "until when do we hold", "how long do we wait"])
def test_until_when_to_hold_is_the_question_for_the_next_change(tmp_path: Path, said: str) -> None:
    assert asked(tmp_path, said).text.startswith(("Hold until", "Next: "))


@pytest.mark.parametrize("said", ["what head", "and which head shape"])
def test_what_head_is_a_tally_by_heads(tmp_path: Path, said: str) -> None:
    assert "All: 1 strike" in asked(tmp_path, said).text


@pytest.mark.parametrize(
    "said",
    ["are raises worth anything", "do raises turn into strikes", "do the raises ever become bites"],
)
def test_what_raises_are_worth_is_counted(tmp_path: Path, said: str) -> None:
    lines = asked(tmp_path, said).text.splitlines()

    assert lines[0] == "2 fish raised today, 1 of them struck afterwards."
    assert lines[-1].startswith("What raises fish also makes them bite, by this record:")


@pytest.mark.parametrize(
    "said",
    [
        "did wahoo eat the purple",
        "did a wahoo take the purple one",
        "did any wahoo bite the purple",
    ],
)
def test_whether_a_fish_ate_a_lure_is_its_tally(tmp_path: Path, said: str) -> None:
    text = asked(tmp_path, said).text

    assert text.startswith("Purple")
    assert "wahoo: 1 strike, 1 raise, 1 hook-up, 1 caught" in text


@pytest.mark.parametrize(
    "said", ["hold it", "hold on a minute", "the wahoo ate the purple yesterday", "raise the flag"]
)
def test_what_only_looks_like_it_answers_none_of_it(tmp_path: Path, said: str) -> None:
    with rigged(tmp_path, BOX) as desk:
        text = call(desk, f"09:30 {said}").text

    assert not text.startswith(("Hold until", "Next: ", "No fish raised", "Purple"))
