"""Advice on made-up days: what it says now it does not take back ten minutes later, whatever bites."""

from collections.abc import Iterator
from datetime import timedelta

import pytest

from bot.advice.data import Exposure, InWater, LureChange, Spare
from bot.advice.next_change import next_change
from bot.bench.advice_policies import Direct
from bot.bench.advice_sea import POSITIONS, Sea, Swap, fish, sea
from bot.messages import Advice

SOON = timedelta(minutes=10)


class Watched(Direct):
    """Makes the changes that are advised, and looks ten minutes ahead after each."""

    def __init__(self, world: Sea, seed: int) -> None:
        super().__init__(world, seed)
        self.taken_back: list[tuple[LureChange, Advice]] = []
        self.made = 0

    def changes(self, at_h: float, spread: tuple[int, ...]) -> Iterator[Swap]:
        """Look ahead after every change."""
        held = list(spread)
        for swap in super().changes(at_h, spread):
            held[swap.line] = swap.lure
            self.made += 1
            self._look_ahead(at_h, held)
            yield swap

    def _look_ahead(self, at_h: float, held: list[int]) -> None:
        change, lures = self.swaps[-1], self.sea.lures
        spares = tuple(Spare(o.kind, o.name) for n, o in enumerate(lures) if n not in held)
        for struck, bites in ((-1, 0), *((line, n) for line in range(len(held)) for n in (1, 3))):
            water = tuple(
                InWater(place, lures[n].kind, lures[n].name, strikes=bites * (line == struck))
                for line, (place, n) in enumerate(zip(POSITIONS, held, strict=True))
            )
            cells = [
                Exposure(one.position, one.kind, 1 / 6, one.strikes, hour=8 + int(at_h))
                for one in water
            ]
            found = next_change(
                (*self.cells_today(), *cells),
                water,
                spares,
                now=change.at + SOON,
                previous=tuple(self.swaps),
                earlier=self.earlier,
            )
            if isinstance(found, Advice) and change.position == found.position:
                self.taken_back.append((change, found))


@pytest.mark.parametrize("number", [71, 72, 73])
def test_what_was_advised_is_not_taken_back_ten_minutes_later(number: int) -> None:
    world = sea(number)
    policy = Watched(world, number)

    fish(world, policy, 1, number)

    assert policy.made > 0
    assert policy.taken_back == []


@pytest.mark.parametrize("number", [81, 82])
def test_no_lure_goes_in_and_out_at_a_place_within_the_hour(number: int) -> None:
    world = sea(number)
    policy = Watched(world, number)

    fish(world, policy, 1, number)

    for place, change in enumerate(policy.swaps):
        for later in policy.swaps[place + 1 :]:
            if later.position == change.position and later.at - change.at < timedelta(hours=1):
                assert later.put_in != change.taken_out
