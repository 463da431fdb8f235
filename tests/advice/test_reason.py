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
