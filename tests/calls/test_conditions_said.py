"""Questions about month, light, water and place are understood; talk that only sounds like them is not."""

import pytest

from bot.calls.language import Language
from bot.calls.understand import understand
from bot.transcript import typed_transcript


@pytest.mark.parametrize(
    ("line", "slots"),
    [
        ("what works here in october", {}), ("what worked in june at dawn", {}),
        ("what works in the dark", {}), ("what works in 24 degrees", {}),
        ("which colours in october", {"about": "colour"}),
        ("which lure works at dusk", {"about": "lure"}),
        ("how does purple do at dawn", {"colours": ["purple"]}),
        ("strikes by water temperature this season", {}), ("tally by place", {}),
        ("which month is best", {}), ("best month for wahoo", {"species": "wahoo"}),
        ("strikes by light and colour", {}), ("best colour around here", {"about": "colour"}),
    ],
)  # fmt: skip
def test_a_question_about_conditions_is_a_tally(
    words: Language, line: str, slots: dict[str, object]
) -> None:
    found = understand(typed_transcript(line), words)

    assert [call.to_json() for call in found.calls] == [{"act": "ask_tally"} | slots]
    assert found.ask is None


@pytest.mark.parametrize(
    "line",
    ["the radio works here", "we did well in october", "best spot for lunch", "what month is it",
     "which light is on", "what water is that", "best place on the boat", "dinner at sunset",
     "best month of my life", "what place is that over there", "nothing works here"],
)  # fmt: skip
def test_talk_of_months_light_and_places_is_talk(words: Language, line: str) -> None:
    assert understand(typed_transcript(line), words).calls == ()
