"""How the record is put into a sentence."""

from bot.advice.reason import Contrast
from bot.advice.tally import Seen


def _contrast(push: float, strikes: int = 0) -> Contrast:
    return Contrast("size", "10-inch", "8-inch", push, Seen(strikes, 3.4), Seen(0, 5.4), True)


def test_a_size_without_a_bite_speaks_for_itself_only_by_its_neighbours() -> None:
    assert _contrast(0.2).sentence.endswith(
        "8-inch: 0 in 5.4; 10-inch is nearer to what was bitten."
    )
    assert "nearer" not in _contrast(-0.2).sentence
    assert "nearer" not in _contrast(0.2, strikes=1).sentence


def test_raises_are_told_where_there_were_any() -> None:
    found = Contrast("size", "10-inch", "8-inch", 0.2, Seen(0, 1.5, 4), Seen(0, 3.0), True)
    both = Contrast("size", "10-inch", "8-inch", 0.2, Seen(1, 1.5), Seen(1, 3.0, 1), True)

    assert found.sentence == "10-inch: 0 strikes and 4 raises in 1.5 lure-hours, 8-inch: 0 in 3.0."
    assert both.sentence == "10-inch: 1 strike in 1.5 lure-hours, 8-inch: 1 and 1 raise in 3.0."
