"""What hands and fish come to harm by has its caution where it is spoken of, in one line, deferring.

The cautions are common practice of seamanship; no source.
"""

from datetime import timedelta
from pathlib import Path

import pytest

from bot import Desk
from bot.answers.fish_care import BILLFISH_KEPT, CARE
from bot.messages import Message
from tests.desk_rig import DAY, call

ASKED = {
    "lock": (
        "should I lock the drag up", "ok to lock it up", "can I thumb the spool",
        "should I push it to sunset",
    ),
    "wraps": ("can I take a wrap", "two wraps or one", "how many wraps", "should he wrap the leader"),
    "harness": ("should we put the harness on him", "can I clip in", "is it safe to clip the harness"),
    "backing": ("can we back down on him", "should we back up hard on him"),
    "gaff": ("how do we gaff him", "should I gaff him"),
    "billfish": ("can we keep this marlin", "is it ok to keep this marlin"),
    "keep": ("can we keep him", "are we allowed to keep it"),
    "drag": ("how much drag do we give him", "should we back off the drag"),
}  # fmt: skip
SAID = ("back down on him", "lock it up", "clip him in the harness", "get the gaff")
TALK = ("wrap the sandwich", "that's a wrap for lunch", "lock the cabin", "where's the lunch")


def said(home: Path, *lines: str) -> list[str]:
    """Return the replies among the crew, half a minute apart."""
    times = (DAY + timedelta(seconds=30 * n) for n in range(len(lines)))
    told = [
        Message("Ana", at, "telegram", text=text, in_group=True)
        for at, text in zip(times, lines, strict=True)
    ]
    with Desk(home) as desk:
        return [desk.answer(one).text for one in told]


def test_every_topic_is_asked_about_here() -> None:
    assert set(ASKED) == set(CARE)


@pytest.mark.parametrize("topic", [one for one in ASKED if one != "drag"])
def test_a_question_brings_its_caution(tmp_path: Path, topic: str) -> None:
    found = said(tmp_path, "lines in", "fish on long rigger", *ASKED[topic])

    assert found[2:] == [CARE[topic]] * len(ASKED[topic])


@pytest.mark.parametrize("line", ASKED["drag"])
def test_a_question_about_drag_speaks_of_the_scale(tmp_path: Path, line: str) -> None:
    *_, found = said(tmp_path, "lines in", "fish on long rigger", line)

    assert "scale" in found


def test_every_caution_is_one_line_and_leaves_it_to_others() -> None:
    assert all("\n" not in line for line in CARE.values())
    deferring = ("skipper", "word", "law", "yours to check", "Check yours")
    assert all(any(one in line for one in deferring) for line in CARE.values())


def test_what_is_only_said_brings_it_once_with_a_fish_on(tmp_path: Path) -> None:
    found = said(tmp_path, "lines in", "fish on long rigger", *SAID, *SAID)

    assert all(found[2 : 2 + len(SAID)])
    assert not any(found[2 + len(SAID) :])


def test_without_a_fish_it_is_talk(tmp_path: Path) -> None:
    assert not any(said(tmp_path, "lines in", *SAID)[1:])


def test_talk_brings_none(tmp_path: Path) -> None:
    assert not any(said(tmp_path, "lines in", *TALK)[1:])


def test_a_billfish_on_is_meant_by_him(tmp_path: Path) -> None:
    *_, found = said(tmp_path, "lines in", "fish on long rigger, blue marlin", "can we keep him")

    assert found == BILLFISH_KEPT


def test_two_rods_that_are_asked_about_have_one_caution(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, "06:00 lines in")
        reply = call(desk, "06:01 what's the drag on the corners")

    assert reply.text.count("No drag was read off a scale") == 2
    assert reply.text.count("Never lock a reel") == 1
    assert "Never lock a reel" in reply.text.splitlines()[-1]
