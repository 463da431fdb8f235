"""The ways in which slots can be filled from the largest item to the smallest.

A way goes from no slot filled to all filled, one slot a step. On a boat whose outfits are alike there is one:
along the slots. Where a light outfit stands nearer than a heavy one there are more; every slot that is
passed over then costs one inversion, for it will hold a smaller item. A slot need not be passed over where
changing places with a farther one could never cost a caution: such steps are left out, nothing is lost.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from bot.spread.choice import Ints


@dataclass(frozen=True, slots=True)
class Level:
    """All steps that can be taken when so many slots are filled, in order of the state they start from."""

    slot: Ints
    """The slot that a step fills."""
    state: Ints
    """The state it starts from, by number within this level."""
    after: Ints
    """The state it leads to, by number within the next level."""
    passed: Ints
    """Nearer slots that it leaves unfilled."""
    first: Ints
    """For each state of this level its first step."""


def levels(cost: Ints) -> tuple[Level, ...]:
    """Return the steps level by level, from all slots open to one open."""
    slots = cost.shape[1]
    before = _must_precede(cost)
    states = [0]
    found = []
    for _ in range(slots):
        steps = [
            (number, slot)
            for number, state in enumerate(states)
            for slot in range(slots)
            if not state >> slot & 1 and before[slot] & ~state == 0
        ]
        following = sorted({states[number] | 1 << slot for number, slot in steps})
        number_of = {state: number for number, state in enumerate(following)}
        starts = np.array([number for number, _ in steps])
        found.append(
            Level(
                slot=np.array([slot for _, slot in steps]),
                state=starts,
                after=np.array([number_of[states[number] | 1 << slot] for number, slot in steps]),
                passed=np.array([_open_before(states[number], slot) for number, slot in steps]),
                first=np.searchsorted(starts, np.arange(len(states))),
            )
        )
        states = following
    return tuple(found)


def _must_precede(cost: Ints) -> list[int]:
    """Return for each slot the nearer slots, one bit for each, that never need to hold a smaller item.

    Near slot p with a small item, far slot q with a large one: changing places is free if what p takes more
    than q never falls from the small item to the large. Rows of `cost` are in falling order of size.
    """
    before = []
    for far in range(cost.shape[1]):
        bits = 0
        for near in range(far):
            more = cost[:, near] - cost[:, far]
            if _never_falls(more):
                bits |= 1 << near
        before.append(bits)
    return before


def _never_falls(values: npt.NDArray[np.int64]) -> bool:
    return bool((np.diff(values) >= 0).all())


def _open_before(state: int, slot: int) -> int:
    return slot - (state & ((1 << slot) - 1)).bit_count()
