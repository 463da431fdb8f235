"""What is denied is not meant: a fish that it was not, a tag that it has not. Plain English."""

import pytest

from bot.bench.corpus import corpus_language
from bot.calls.understand import understand
from bot.transcript import typed_transcript


@pytest.mark.parametrize(
    ("text", "species"),
    [
        ("Not a yellowfin. That's a bigeye.", "bigeye tuna"),
        ("no it's not a yellowfin it's a bigeye", "bigeye tuna"),
        ("boated. it is a bigeye, not a yellowfin", "bigeye tuna"),
        ("that was a wahoo not a mackerel", "wahoo"),
    ],
)
def test_the_fish_that_it_is_not_is_not_logged(text: str, species: str) -> None:
    assert understand(typed_transcript(text), corpus_language()).calls[0].species == species


def test_a_fish_let_go_without_a_tag_has_none() -> None:
    (call,) = understand(
        typed_transcript("let him go without a tag, 150 cm"), corpus_language()
    ).calls

    assert (call.act, call.tagged, call.tag, call.length_cm) == ("release", False, None, 150)


@pytest.mark.parametrize("text", ["hooked up short rigger, lukes rod", "strike shotgun lukes fish"])
def test_lukes_rod_is_lukes(text: str) -> None:
    assert understand(typed_transcript(text), corpus_language()).calls[0].angler == "Luke"
