"""Questions for what lures are aboard, in the words of a crew: no source but practice, the words are ours."""

import pytest

from bot.bench.corpus import corpus_language
from bot.calls.meant.wishes import spread_calls
from bot.calls.understand import understand
from bot.transcript import typed_transcript
from bot.trip.call import Call
from bot.trip.meant import AsksAbout
from tests.meanings import as_said, reader

SHOWN = {"act": "ask_ready"}
RED = SHOWN | {"colours": ["red"]}


@pytest.mark.parametrize(
    ("said", "call"),
    [
        ("any other reds", RED),
        ("another red one", RED),
        ("any more red ones", RED),
        ("one more red one please", RED),
        ("what reds have we got", RED),
        ("have we got any reds", RED),
        ("which reds are ready", RED),
        ("what do we have in red", RED),
        ("how many reds do we have", RED),
        ("list the reds", RED),
        ("any other eight inch ones", SHOWN | {"size_in": 8}),
        ("another eight inch one", SHOWN | {"size_in": 8}),
        ("what purple tens have we got", SHOWN | {"colours": ["purple"], "size_in": 10}),
        ("what other jets have we got", SHOWN | {"head": "jet"}),
        ("any cupped ones left", SHOWN | {"head": "cupped"}),
        ("any blue ones", SHOWN | {"colours": ["blue"]}),
        ("what have we got for wahoo", SHOWN | {"species": "wahoo"}),
        ("what do we have for white marlin then", SHOWN | {"species": "white marlin"}),
        ("got anything for the mahi", SHOWN | {"species": "mahi-mahi"}),
        ("which lures are good for wahoo", SHOWN | {"species": "wahoo"}),
        ("what's aboard for wahoo", SHOWN | {"species": "wahoo"}),
        ("what have we got for them", SHOWN),
        ("what lures have we got for these", SHOWN),
    ],
)
def test_a_question_for_what_is_aboard_is_what_the_crew_means(
    said: str, call: dict[str, object]
) -> None:
    found = understand(typed_transcript(said), corpus_language())

    assert [one.to_json() for one in found.calls] == [call]
    assert found.ask is None


@pytest.mark.parametrize(
    "said",
    [
        "any blues", "another blue", "how many blues have we got", "any red weed", "any red bait",
        "what have we got for lunch", "what have we got for ice", "another red one on the shotgun",
        "another one", "another eight", "any other boats", "what have we got for wahoo recipes",
    ],
)  # fmt: skip
def test_fish_food_and_other_talk_asks_for_no_lure(said: str) -> None:
    assert spread_calls(reader().line(said)) == ()


def about(said: str) -> str:
    found = as_said(Call("ask_ready"), said).meaning(AsksAbout)
    return found.what if found is not None else ""


def test_others_a_kind_and_what_goes_for_a_fish_are_three_questions() -> None:
    assert about("any other reds") == "another"
    assert about("another red one") == "another"
    assert about("what reds have we got") == "kind"
    assert about("what have we got for wahoo") == "for_fish"
    assert about("what is ready") == ""
