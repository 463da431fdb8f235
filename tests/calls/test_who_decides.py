"""Who decides between the grammar and the networks, and which readings cannot be meant.

What is right stands beside each line; common practice, no source. The lines of talk are those of crews who
had not seen the program.
"""

from pathlib import Path

import pytest

from bot.bench.corpus import corpus_language
from bot.bench.reader_lines import question_lines
from bot.calls.bounds import with_numbers_that_can_be
from bot.calls.reader.situation import bits_of
from bot.calls.understand import Understanding, understand
from bot.calls.weigh import Hints
from bot.calls.weighed import WeighedReading
from bot.transcript import typed_transcript
from bot.trip.acts import QUESTIONS
from bot.trip.call import Call
from tests.desk_rig import call, rigged, standing, told

BOX = "name,size_in,colours,head\nBroom Handle,6,blue,slim\n"
ROOT = Path(__file__).parents[2]


def read(line: str, *flags: str) -> Understanding:
    return understand(typed_transcript(line), corpus_language(), Hints(flags=bits_of(flags)))


@pytest.mark.parametrize(
    "line",
    ["what do you advise to drink with this", "lou what'd he say", "count them mum",
     "how many eats a man, honestly", "that a bite?"],
)  # fmt: skip
def test_what_only_sounds_like_a_question_to_the_program_is_talk(line: str) -> None:
    assert read(line).calls == ()


@pytest.mark.parametrize(
    ("line", "act"),
    [("what do you advise", "ask_next"), ("is he still on", "ask_fish"), ("yesterday's tally", "ask_tally"),
     ("how many fish have we got", "ask_fish"), ("which lure has the most bites", "ask_tally")],
)  # fmt: skip
def test_a_wording_of_the_grammar_is_answered(line: str, act: str) -> None:
    found = read(line)

    assert [one.act for one in found.calls] == [act]
    assert found.ask is None


@pytest.mark.parametrize("line", ["released, call it three fifty"])
def test_no_lure_is_three_hundred_and_fifty_inches_long(line: str) -> None:
    found = read(line, "fish on")

    assert all(one.size_in is None for way in found.options for one in way.calls)


@pytest.mark.parametrize(
    ("line", "length_cm"),
    [("boated a wahoo on the purple eight", None), ("released a marlin on the black twelve", None),
     ("boated a wahoo, 140 cm", 140)],
)  # fmt: skip
def test_the_length_of_a_lure_is_none_of_the_fish(line: str, length_cm: float | None) -> None:
    assert [one.length_cm for one in read(line, "fish on").calls] == [length_cm]


def test_the_rest_is_believed_more_when_an_impossible_reading_goes() -> None:
    can, cannot = (Call("release", weight_kg=20.0),), (Call("release", size_in=350.0),)
    ways = (WeighedReading(can, 0.4, "network"), WeighedReading(cannot, 0.3, "grammar"))

    left = with_numbers_that_can_be(ways)

    assert [way.calls for way in left] == [can]
    assert 0.4 < left[0].probability < 0.6


def test_a_reading_that_stands_alone_is_kept_and_refused_later() -> None:
    ways = (
        WeighedReading((Call("boat", weight_kg=9000.0),), 0.9, "both"),
        WeighedReading((), 0.1, "network"),
    )

    assert with_numbers_that_can_be(ways) == ways


@pytest.mark.parametrize(
    ("said", "weight_kg"), [("put it down as seventy kilos", 70), ("put it down as 12.5 kg", 12.5)]
)
def test_what_is_put_down_as_a_weight_is_one_and_no_note(
    tmp_path: Path, said: str, weight_kg: float
) -> None:
    with rigged(tmp_path, BOX, "07:00 hooked up shotgun", "07:09 boated a wahoo") as desk:
        call(desk, f"07:10 {said}")

    assert told(standing(tmp_path, "boat"), "weight_kg") == [weight_kg]
    assert standing(tmp_path, "note") == []


def test_questions_for_the_networks_are_those_of_the_grammar(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("bot.bench.reader_lines._OFTEN", 1)
    lines = list(question_lines(corpus_language(networks=False), ROOT))

    acts = {one["act"] for line in lines for one in line["calls"]}
    assert acts > {"ask_tally", "ask_fish", "ask_why", "undo"}
    assert sum(one["act"] in QUESTIONS for line in lines for one in line["calls"]) > len(lines) / 2
