"""What a speaker is used to saying is likelier to be heard, and nobody else's words are the less likely."""

from math import exp

from hypothesis import given, strategies as st

from bot.calls.familiar import GAIN, PAIRS_GAIN, raise_usual, with_wordings
from bot.calls.language import Language
from bot.calls.usual import HALF_LIFE, NOTHING_USUAL, Utterance, usual_of
from bot.transcript import Alternative, Transcript

WORDS = st.lists(
    st.sampled_from("strike hooked long short rigger corner purple gun".split()), max_size=6
)
LINES = WORDS.map(" ".join)


def transcript(*lines: tuple[str, float]) -> Transcript:
    return Transcript(tuple(Alternative(*line) for line in lines), "whisper", 1.0)


def scores(found: Transcript) -> dict[str, float]:
    return {line.text: line.score for line in found.alternatives}


@given(st.lists(st.builds(Utterance, LINES, st.sampled_from(["Ana", "Ben"])), max_size=30), LINES)
def test_only_a_line_that_was_said_before_is_the_surer_and_within_bounds(
    words: Language, said: list[Utterance], line: str
) -> None:
    used = usual_of(said, "Ana")
    before = 0.5

    after = scores(raise_usual(transcript((line, before)), used, words))[line]

    assert after <= before * exp(GAIN) + 1e-9
    assert after >= before * exp(-PAIRS_GAIN) - 1e-9
    assert used.knows(line) or after <= before


def test_own_words_count_more_than_those_of_others() -> None:
    said = [Utterance("strike long gun", "Ana")] * 5

    assert usual_of(said, "ana").gain("strike long gun") > 0.8
    assert 0.3 < usual_of(said, "Ben").gain("strike long gun") < 0.65
    assert usual_of(said, "Ana").gain("gun long strike") < 0.1


def test_what_was_said_long_ago_counts_less() -> None:
    old = [Utterance("red one out", "Ana"), *[Utterance("tally", "Ana")] * (2 * HALF_LIFE)]

    assert usual_of(old, "Ana").wordings["red one out"] == 0.25
    assert list(usual_of(old, "Ana").wordings) == ["tally", "red one out"]


def test_of_two_lines_that_sound_as_likely_the_usual_one_is_taken(words: Language) -> None:
    heard = transcript(("set long rigger black ten", 0.60), ("set long rigger pink ten", 0.59))
    used = usual_of([Utterance("set long rigger pink ten", "Ana")] * 3, "Ana")

    found = scores(raise_usual(heard, used, words))

    assert found["set long rigger pink ten"] > 0.60 >= found["set long rigger black ten"]
    assert raise_usual(heard, NOTHING_USUAL, words) == heard


def test_a_name_of_the_crew_is_weighed_where_a_word_sounds_like_it(words: Language) -> None:
    heard = transcript(("honor takes the rod", 0.7))
    used = usual_of([], "Ben", ("Ana", "Ben"))

    found = scores(raise_usual(heard, used, words))

    assert found["ana takes the rod"] > found["honor takes the rod"]
    assert set(found) == {"ana takes the rod", "honor takes the rod"}


def test_a_usual_wording_that_the_line_sounds_like_is_weighed_and_a_far_one_is_not(
    words: Language,
) -> None:
    heard = transcript(("gamble on the gun", 0.5))
    used = usual_of([Utterance("scramble on the gun", "Ana"), Utterance("lines in", "Ana")], "Ana")

    found = scores(with_wordings(heard, used, words))

    assert set(found) == {"gamble on the gun", "scramble on the gun"}
    assert found["scramble on the gun"] < 0.5
