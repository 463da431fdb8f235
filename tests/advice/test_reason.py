"""How the record is put into a sentence."""

from bot.advice.reason import Contrast
from bot.advice.tally import StrikeTally


def _contrast(push: float, strikes: int = 0) -> Contrast:
    return Contrast(
        "size", "10-inch", "8-inch", push, StrikeTally(strikes, 3.4), StrikeTally(0, 5.4), True
    )


def test_a_size_without_a_bite_speaks_for_itself_only_by_its_neighbours() -> None:
    assert _contrast(0.2).sentence.endswith(
        "8-inch: 0 in 5.4; 10-inch is nearer to what was bitten."
    )
    assert "nearer" not in _contrast(-0.2).sentence
    assert "nearer" not in _contrast(0.2, strikes=1).sentence


def test_raises_are_told_where_there_were_any() -> None:
    found = Contrast(
        "size", "10-inch", "8-inch", 0.2, StrikeTally(0, 1.5, 4), StrikeTally(0, 3.0), True
    )
    both = Contrast(
        "size", "10-inch", "8-inch", 0.2, StrikeTally(1, 1.5), StrikeTally(1, 3.0, 1), True
    )

    assert found.sentence == "10-inch: 0 strikes and 4 raises in 1.5 lure-hours, 8-inch: 0 in 3.0."
    assert both.sentence == "10-inch: 1 strike in 1.5 lure-hours, 8-inch: 1 and 1 raise in 3.0."


def _what(what: str, new: StrikeTally, old: StrikeTally, push: float = 0.2) -> Contrast:
    return Contrast(what, "new", "old", push, new, old, True, StrikeTally(6, 12.0))


def test_what_the_counts_deny_is_not_said_for_a_change() -> None:
    assert not _what("colour", StrikeTally(0, 0.2), StrikeTally(1, 2.8)).speaks_for
    assert not _what("size", StrikeTally(1, 3.0), StrikeTally(3, 3.0)).speaks_for
    assert not _what("head", StrikeTally(3, 3.0), StrikeTally(1, 3.0), push=-0.1).speaks_for
    assert _what("head", StrikeTally(13, 5.8), StrikeTally(2, 5.5)).speaks_for


def test_an_untried_lure_speaks_for_itself_only_where_the_old_one_is_below_the_usual() -> None:
    assert _what("head", StrikeTally(), StrikeTally(0, 5.0)).weight > 2.0  # 2.5 were to be expected
    assert not _what("head", StrikeTally(), StrikeTally(5, 5.0)).speaks_for
    assert (
        _what("head", StrikeTally(), StrikeTally(0, 5.0)).weight
        > _what("head", StrikeTally(), StrikeTally(0, 0.5)).weight
    )


def test_a_ground_is_known_again_whatever_its_numbers() -> None:
    one = Contrast("colour", "pink", "black", 0.2, StrikeTally(2, 3.0), StrikeTally(0, 3.0), True)

    assert one.is_said_by("Pink: 1 strike in 2.0 lure-hours, black: 0 in 2.0.")
    assert one.is_said_by("Pink has not been tried, black: 0 strikes in 2.0 lure-hours.")
    assert not one.is_said_by("Plug has not been tried, slanted: 0 strikes in 2.0 lure-hours.")
