"""Corrections as people make them, several calls in a breath, times that are past, and every unit.

What must come out is the conventions of the call language; "mistake ... correction ...", figures one by one,
"niner" and "decimal" are IMO's Standard Marine Communication Phrases, resolution A.918(22), General.
"""

import pytest

from bot.bench.corpus import CORPORA
from bot.calls.language import Language
from bot.calls.understand import understand
from bot.transcript import typed_transcript
from bot.trip.call import Call

SAID = (CORPORA / "as_people_say_it.txt").read_text("utf-8")


def _told(call: Call) -> str:
    """Write a call as the lines of the file have it."""
    parts = [str(call.act)]
    for name, value in sorted(call.to_json().items()):
        if name == "act":
            continue
        if isinstance(value, dict):
            value = value["line_class_kg"]
        said = ",".join(value) if isinstance(value, list | tuple) else value
        parts.append(f"{name}={said:g}" if isinstance(said, float) else f"{name}={said}")
    return " ".join(parts)


def _sorted(told: str) -> str:
    """Put the slots of a line in order; names of lures and fish have spaces in them."""
    done = []
    for call in told.split(" | "):
        act, *words = call.split(" ")
        slots: list[str] = []
        for word in words:
            if "=" in word:
                slots.append(word)
            else:
                slots[-1] += f" {word}"
        done.append(" ".join([act, *sorted(slots)]))
    return " | ".join(done)


@pytest.mark.parametrize("line", SAID.splitlines())
def test_a_line_is_taken_as_a_person_would(line: str, words: Language) -> None:
    said, _, want = line.partition(" => ")

    found = understand(typed_transcript(said), words)

    assert " | ".join(map(_told, found.calls)) == _sorted(want)
    assert found.ask is None


@pytest.mark.parametrize(
    ("said", "act", "clock", "position"),
    [
        ("the strike at nine forty was the shotgun", "strike", "09:40", None),
        ("the release at eleven was ninety kilos", "release", "11:00", None),
        ("the wahoo we boated at ten was fifteen kilos", "boat", "10:00", None),
        ("the strike on the shotgun was a wahoo", "strike", None, "shotgun"),
        ("delete the strike at nine forty", "strike", "09:40", None),
        ("undo the undo", "undo", None, None),
        ("undo that", None, None, None),
    ],
)
def test_an_entry_that_is_not_the_last_is_named(
    said: str, act: str | None, clock: str | None, position: str | None, words: Language
) -> None:
    (call,) = understand(typed_transcript(said), words).calls

    assert (call.of_act, call.of_clock, call.of_position) == (act, clock, position)
