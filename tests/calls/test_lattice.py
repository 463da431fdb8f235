"""A line as a lattice: the words heard, and repairs beside them."""

from bot.calls.lattice import plain, with_repairs
from bot.calls.tokens import tokenise


def test_a_plain_lattice_has_one_way_that_costs_nothing() -> None:
    lattice = plain(tokenise("strike long rigger", {}))

    assert lattice.size == 3
    assert list(lattice.follow(0, ("strike", "long", "rigger"))) == [(3, 0.0)]
    assert list(lattice.follow(1, ("strike",))) == []


def test_a_repair_stands_beside_the_words_heard_and_costs() -> None:
    lattice = with_repairs(
        plain(tokenise("hiccup on the gun", {})),
        [(0, 1, ("hook", "up"), 0.3), (2, 4, ("it",), 0.1)],
    )

    assert list(lattice.follow(0, ("hook", "up", "on"))) == [(2, 0.3)]
    assert list(lattice.follow(0, ("hiccup", "on"))) == [(2, 0.0)]
    assert list(lattice.follow(2, ("it",))) == [(4, 0.1)]
    assert lattice.size == 4
