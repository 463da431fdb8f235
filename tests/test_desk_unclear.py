"""What is refused is refused with the true reason: not heard well enough, or no call at all."""

from pathlib import Path

import pytest

from bot import Desk
from bot.calls.heard import OPEN
from bot.messages import Message
from bot.transcript import Alternative, Transcript
from tests.builders import at


def told(home: Path, text: str, sure: float, overheard: bool) -> str:
    """Return what the desk says to a recording of which the ear wrote one line, so surely."""
    heard = Transcript((Alternative(text, sure),), OPEN, 1.0, {"snr_db": 3.0})
    said = Message("Ana", at("07:31"), "microphone", sound=b"x", private=True, overheard=overheard)
    with Desk(home) as desk:
        desk.say("lines in", "Ana", at("07:00"))
        reply = desk.answer(said, heard)
    assert not reply.logged
    assert not reply.calls
    return reply.text


@pytest.mark.parametrize("overheard", [True, False])
def test_a_call_that_was_not_made_out_well_enough_is_said_to_be_unclear(
    tmp_path: Path, overheard: bool
) -> None:
    text = told(tmp_path, "what next", 0.12, overheard)

    assert text.startswith('Not done: I may have heard "what next", but not clearly.')


def test_what_is_no_call_at_the_helm_is_called_no_call(tmp_path: Path) -> None:
    assert 'no call in "pass me the sandwich please"' in told(
        tmp_path, "pass me the sandwich please", 0.97, True
    )
