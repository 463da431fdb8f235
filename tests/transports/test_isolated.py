"""A Desk in a process of its own: crashes, hangs and greed stay over there."""

import os
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime

import pytest

from bot.errors import AudioError, LogbookError
from bot.messages import Message, Reply
from bot.transcript import HearingResult
from bot.transports.isolated import IsolatedDesk, Limits, ProcessBroken


class _Desk:
    def answer(self, message: Message, _heard: HearingResult | None = None) -> Reply:
        match message.text:
            case "crash":
                os._exit(9)
            case "hang":
                time.sleep(60)
            case "greed":
                return Reply(str(len(bytearray(8 << 30))))
            case "bad sound":
                raise AudioError("that recording is empty")
        return Reply(f"{os.getpid()}", logged=("1",))


@contextmanager
def _open(problem: str = "") -> Iterator[_Desk]:
    if problem:
        raise LogbookError(problem)
    yield _Desk()


def _said(text: str) -> Message:
    return Message("Ana", datetime(2026, 3, 1, tzinfo=UTC), "telegram", text=text)


def test_an_answer_comes_from_another_process_that_stays() -> None:
    with IsolatedDesk(_open) as desk:
        first, second = desk.answer(_said("strike")), desk.answer(_said("strike"))

    assert first == second
    assert first.text != str(os.getpid())
    assert first.logged == ("1",)


def test_errors_of_the_program_cross_as_they_are() -> None:
    with IsolatedDesk(_open) as desk, pytest.raises(AudioError, match="is empty"):
        desk.answer(_said("bad sound"))


@pytest.mark.parametrize("text", ["crash", "hang"])
def test_after_a_crash_or_a_hang_the_next_message_finds_a_new_process(text: str) -> None:
    with IsolatedDesk(_open) as desk:
        before = desk.answer(_said("strike")).text
        with pytest.raises(ProcessBroken):
            desk.call("answer", _said(text), seconds=0.5 if text == "hang" else None)
        after = desk.answer(_said("strike")).text

    assert before != after


def test_memory_is_limited() -> None:
    with IsolatedDesk(_open, limits=Limits(memory_mb=2000)) as desk:
        with pytest.raises(MemoryError):
            desk.answer(_said("greed"))

        assert desk.answer(_said("strike")).text


def test_a_log_that_cannot_be_opened_says_so_and_is_tried_again() -> None:
    with IsolatedDesk(_open, "the disk is full") as desk:
        for _ in range(2):
            with pytest.raises(LogbookError, match="the disk is full"):
                desk.answer(_said("strike"))
