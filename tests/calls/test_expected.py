"""After "Which position?" a position is likely. What ears write for one here is invented."""

from datetime import timedelta
from pathlib import Path

import pytest

from bot import Desk
from bot.calls.expected import as_position
from bot.calls.heard import OPEN
from bot.calls.language import Language
from bot.messages import Message
from bot.transcript import Alternative, Transcript
from tests.builders import at


@pytest.mark.parametrize(
    ("heard", "position"),
    [
        ("log rigor", "long rigger"),
        ("long trigger", "long rigger"),
        ("sure corner", "short corner"),
        ("shot corner", "short corner"),
        ("shore trigger", "short rigger"),
        ("shot gone", "shotgun"),
        ("lawn corner", "long corner"),
    ],
)
def test_a_line_that_sounds_like_one_position_is_that_one(
    words: Language, heard: str, position: str
) -> None:
    assert as_position(heard, words) == position


@pytest.mark.parametrize(
    "heard",
    ["yes", "no", "birds", "hooked up", "missed him", "shut up", "rigger", "corner", "what next",
     "the second", "long day", "yellow gin", "strike short corner and long rigger", ""],
)  # fmt: skip
def test_other_lines_stay_what_they_are(words: Language, heard: str) -> None:
    assert as_position(heard, words) is None


@pytest.mark.parametrize(("after_s", "known"), [(8, True), (1200, False)])
def test_the_answer_to_the_question_for_a_position_belongs_to_the_bite(
    tmp_path: Path, after_s: float, known: bool
) -> None:
    heard = Transcript((Alternative("sure corner", 0.55),), OPEN, 1.0, {"snr_db": 12.0})
    with Desk(tmp_path) as desk:
        desk.say("lines in", "Ana", at("07:00"))
        asked = desk.say("strike", "Ana", at("07:30"))
        said = Message("Ana", at("07:30") + timedelta(seconds=after_s), "microphone", sound=b"x")
        reply = desk.answer(said, heard)

    assert "Which position?" in asked.text
    assert known == ([c.get("position") for c in reply.calls] == ["short corner"] and not reply.ask)
    assert bool(reply.logged) is known


def test_another_call_is_taken_in_the_place_of_the_position(tmp_path: Path) -> None:
    heard = Transcript((Alternative("birds off the port bow", 0.9),), OPEN, 1.5, {"snr_db": 12.0})
    with Desk(tmp_path) as desk:
        desk.say("lines in", "Ana", at("07:00"))
        desk.say("strike", "Ana", at("07:30"))
        said = Message("Ana", at("07:30:08"), "microphone", sound=b"x")
        reply = desk.answer(said, heard)

    assert [call["act"] for call in reply.calls] == ["sighting"]
