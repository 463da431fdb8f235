"""New names and copies of trays in the words of a crew: no source but practice."""

import pytest

from bot.bench.corpus import corpus_language
from bot.calls.meant.tray_names import asks_loose, tray_copy
from bot.calls.meant.trays import mentions
from bot.calls.understand import understand
from bot.transcript import typed_transcript
from tests.meanings import reader


@pytest.mark.parametrize(
    ("said", "name", "like", "renames"),
    [
        ("rename the red tray to night tray", "night", "red", True),
        ("call the red tray night tray", "night", "red", True),
        ("call the red tray the night tray from now on", "night", "red", True),
        ("rename the red tray night", "night", "red", True),
        ("rename tray two tray five", "five", "two", True),
        ("the red tray is now called the night tray", "night", "red", True),
        ("change the name of the red tray to night please", "night", "red", True),
        ("copy the red tray to tray three", "three", "red", False),
        ("make a copy of tray two called night", "night", "two", False),
        ("make tray three the same as the red tray", "three", "red", False),
        ("copy everything in tray two to tray five", "five", "two", False),
        ("duplicate tray two as the slow tray", "slow", "two", False),
    ],
)
def test_a_tray_gets_a_name_or_what_another_holds(
    said: str, name: str, like: str, renames: bool
) -> None:
    line = reader().line(said)
    found = tray_copy(line, tuple(mentions(line)))
    calls = understand(typed_transcript(said), corpus_language()).calls

    assert found is not None
    assert (found.name, found.like, found.renames) == (name, like, renames)
    assert [call.to_json() for call in calls] == [{"act": "tray", "tray": name}]


@pytest.mark.parametrize(
    "said",
    ["call tray two", "call this the red tray", "call the red tray ready", "name tray two for me",
     "put church hat in the red tray", "run tray two", "is the red tray called night?",
     "call the red tray full of rubbish", "swap tray two for tray three"],
)  # fmt: skip
def test_other_lines_give_no_tray_a_name(said: str) -> None:
    line = reader().line(said)

    assert tray_copy(line, tuple(mentions(line))) is None


@pytest.mark.parametrize(
    ("said", "asks"),
    [
        ("which lures are in no tray", True),
        ("what's not in any tray", True),
        ("which lures haven't got a tray yet", True),
        ("what is in the red tray", False),
        ("which lures are in the red tray", False),
    ],
)
def test_lures_in_no_tray_are_asked_for(said: str, asks: bool) -> None:
    assert asks_loose(reader().line(said)) is asks
