"""What is read of the corpora that the networks learnt from: a change must not lose what was known.

These shares say nothing about crews that nobody has heard; those figures are in bench/results.
"""

import json

import pytest

from bot.bench.corpus import CORPORA
from bot.calls.language import Language
from bot.calls.understand import understand
from bot.transcript import typed_transcript
from bot.trip.acts import QUESTIONS
from tests.calls.reader.judging import shares

CREWS = sorted(path.name for path in CORPORA.glob("*.jsonl"))
CREWS_LEARNT = frozenset(name for name in CREWS if name.startswith("crew_"))
"""Of these every third line is read here; `tests/calls/test_understand.py` reads them whole."""


@pytest.mark.parametrize("name", CREWS)
def test_a_corpus_is_read_right_and_hardly_ever_logged_wrong(name: str, read: Language) -> None:
    step = 3 if name in CREWS_LEARNT else 1
    lines = (CORPORA / name).read_text("utf-8").splitlines()[::step]
    right, wrong = shares([json.loads(line) for line in lines], read)

    assert right >= 0.95
    assert wrong <= 0.02


def test_with_a_question_mark_nothing_is_ever_logged(read: Language) -> None:
    rows = [
        json.loads(line)
        for name in ("crew_p.jsonl", "crew_q.jsonl")
        for line in (CORPORA / name).read_text("utf-8").splitlines()
    ]
    logged = [
        row["text"]
        for row in rows
        if any(
            c.act not in QUESTIONS
            for c in understand(typed_transcript(row["text"].rstrip(" .!") + "?"), read).calls
        )
    ]

    assert logged == []


@pytest.mark.parametrize(
    "said",
    [
        "gaff him",
        "are we hooked up",
        "who lost the long rigger",
        "did he come off",
        "not a strike, just weed",
        "he caught two yesterday",
        "is the short corner going off",
    ],
)
def test_questions_and_orders_of_the_crew_are_not_logged(said: str, read: Language) -> None:
    found = understand(typed_transcript(said), read)

    assert not found.calls or found.ask is not None or found.calls[0].act in QUESTIONS


@pytest.mark.parametrize(
    ("said", "act", "slots"),
    [
        ("strike long rigger, Ben's rod", "strike", {"position": "long rigger", "angler": "Ben"}),
        ("tagged and released, Ana's fish", "release", {"angler": "Ana"}),
        ("hook pulled right at the boat", "pulled_hook", {}),
        ("man overboard man overboard", "emergency", {"what": "man overboard"}),
        ("fifteen knots from the south west", "conditions", {"wind_kn": 15, "wind_from": "sw"}),
    ],
)
def test_a_tail_does_not_hide_a_call(
    said: str, act: str, slots: dict[str, object], read: Language
) -> None:
    [call] = understand(typed_transcript(said), read).calls

    assert call.act == act
    assert slots.items() <= call.to_json().items()


@pytest.mark.parametrize("text", ["zzzz", "aaaa", "ksjdh ksjdh ksjdh", "mmmm", "tghj", "pfft"])
def test_a_line_without_a_known_word_is_not_asked_about(text: str, read: Language) -> None:
    found = understand(typed_transcript(text), read)

    assert (found.calls, found.ask) == ((), None)


@pytest.mark.parametrize("text", ["srtike", "hooookup"])
def test_a_known_word_mistyped_is_still_one(text: str, read: Language) -> None:
    assert understand(typed_transcript(text), read).calls
