import pytest

from bot.speech.compact import compact
from bot.speech.jsgf_reader import word_graph
from bot.speech.phone_search import Chart, best_sentence, spell_out
from bot.speech.pronunciations import pronunciations, sounded_out
from bot.speech.spelling import spelt_out

JSGF = (
    "#JSGF V1.0;\ngrammar deck;\npublic <call> = strike (long | short) rigger | strike shotgun"
    " | raised a (wahoo | marlin) | lines in | lines out;\n"
)


@pytest.fixture(scope="module")
def chart() -> Chart:
    def ways(word: str) -> list[list[str]]:
        known = pronunciations()
        said = known[word] if word in known else (sounded_out(word, known),)
        return [one.split() for one in said]

    return spell_out(compact(word_graph(JSGF)), ways)


@pytest.mark.parametrize(
    ("line", "sentence"),
    [
        ("strike shotgun", "strike shotgun"),
        ("strike long rear", "strike long rigger"),
        ("raised a wall hoo", "raised a wahoo"),
        ("raise the marlin", "raised a marlin"),
        ("line's in", "lines in"),
    ],
)
def test_the_sentence_that_sounds_most_like_a_line_is_found(
    chart: Chart, line: str, sentence: str
) -> None:
    scores = spelt_out(line, pronunciations())

    assert scores is not None
    assert best_sentence(chart, scores) == sentence


def test_no_words_have_no_sound() -> None:
    assert spelt_out("", pronunciations()) is None
