"""Places of labels: free of all else, and as near as can be. Outside reference: SciPy's `milp` (HiGHS).

That knows nothing of the order of labels; of labels of one size none is better than that of their points.
"""

from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings, strategies as st
from scipy.optimize import Bounds, LinearConstraint, milp

from bot.pictures.label_places import APART_IN, OTHER_SIDE_IN, STEP_IN, Box, Label, label_places

ROOM = Box(0.0, 0.0, 4.0, 3.0)
HIGH = 8 * STEP_IN - APART_IN


def least_cost(labels: list[Label], taken: list[Box]) -> float:
    """Return the cost of the best places by integer programming, on the same steps."""
    steps = int(ROOM.bottom / STEP_IN) + 1
    found = []
    for number, one in enumerate(labels):
        for column in (-1, 1):
            left = ROOM.left if column < 0 else ROOM.right - one.wide
            for start in range(steps - 8):
                box = Box(left, start * STEP_IN, left + one.wide, start * STEP_IN + one.high)
                if not any(box.overlaps(other, APART_IN) for other in taken):
                    away = OTHER_SIDE_IN if (one.x - 2) * column < 0 else 0.0
                    cost = abs(box.top + one.high / 2 - one.y) + away
                    found.append((number, column, start, cost))
    once = np.array([[float(f[0] == n) for f in found] for n in range(len(labels))])
    apart = np.array(
        [[float(f[1] == column and f[2] <= at < f[2] + 8) for f in found]
         for column in (-1, 1) for at in range(steps)]
    )  # fmt: skip
    best = milp(
        [f[3] for f in found],
        integrality=np.ones(len(found)),
        bounds=Bounds(0, 1),
        constraints=[LinearConstraint(once, 1, 1), LinearConstraint(apart, -np.inf, 1)],
    )
    return float(best.fun)


points = st.tuples(st.sampled_from((1.2, 1.6, 2.0, 2.4, 2.8)), st.floats(0, 3))


@settings(max_examples=15, deadline=None)
@given(st.lists(points, min_size=1, max_size=7), st.booleans())
def test_labels_are_as_near_to_their_points_as_an_integer_program_puts_them(
    at: list[tuple[float, float]], blocked: bool
) -> None:
    labels = [Label(1.0, HIGH, x, y) for x, y in at]
    taken = [Box(0.5, 1.0, 1.5, 1.3)] if blocked else []

    places = label_places(labels, taken, ROOM, other_side=True)

    assert places is not None
    cost = sum(
        abs(box.top + HIGH / 2 - one.y) + (OTHER_SIDE_IN if (one.x - 2) * column < 0 else 0.0)
        for one, (column, box) in zip(labels, places, strict=True)
    )
    assert cost == pytest.approx(least_cost(labels, taken), abs=1e-6)
    boxes = [box for _, box in places]
    assert not any(a.overlaps(b, APART_IN - 1e-9) for a, b in combinations(boxes, 2))
    assert not any(a.overlaps(b) for a in boxes for b in taken)


def test_labels_stand_on_the_side_of_their_points_unless_they_may_change() -> None:
    starboard = [Label(1.0, HIGH, 3.0, 1.0)] * 7

    assert label_places(starboard, [], ROOM) is None
    own = label_places(starboard[:5], [], ROOM)
    both = label_places(starboard, [], ROOM, other_side=True)
    assert own is not None
    assert both is not None
    assert {column for column, _ in own} == {1}
    assert {column for column, _ in both} == {-1, 1}


def test_where_there_is_no_room_for_all_there_are_no_places() -> None:
    assert label_places([Label(1.0, 1.6, 2, 1)] * 3, [], ROOM) is None
    assert label_places([Label(1.0, 1.4, 2, 1)] * 4, [], ROOM) is not None
    assert label_places([Label(1.0, 1.0, 2, 1)], [Box(0, 0, 4, 3)], ROOM) is None
    assert label_places([], [], ROOM) == ()
