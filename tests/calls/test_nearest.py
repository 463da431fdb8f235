"""Many coded sounds compared at once give what the plain way gives, pair by pair."""

import pytest
from hypothesis import given, strategies as st
from rapidfuzz.distance import Levenshtein

from bot.calls.nearest import MOST_DIFFERENCES, SHORTEST, Bank
from bot.calls.sounds import LETTERS, distance, phone_letters

_CODES = st.lists(st.sampled_from(sorted(LETTERS)[:9]), min_size=2, max_size=9).map("".join)


@given(
    st.lists(_CODES, max_size=12),
    st.lists(st.tuples(_CODES, st.integers(1, MOST_DIFFERENCES)), max_size=5),
    st.sampled_from((0.2, 0.4, 9.0)),
)
def test_all_that_are_near_enough_are_found_with_their_distance(
    codes: list[str], asked: list[tuple[str, int]], furthest: float
) -> None:
    found = Bank(codes).near([q for q, _ in asked], [d for _, d in asked], len(codes), furthest)

    for (query, differing), near in zip(asked, found, strict=True):
        want = {
            place: distance(query, code)
            for place, code in enumerate(codes)
            if Levenshtein.distance(query, code) <= differing
            and distance(query, code) <= furthest * max(len(query), len(code), SHORTEST)
        }
        assert dict(near) == pytest.approx(want)


def test_only_the_fewest_differing_are_kept() -> None:
    codes = [phone_letters(p) for p in ("S T R AY K", "S T R AE K", "T R AY K", "B AY T")]
    (near,) = Bank(codes).near([codes[0]], [2], 2, 9.0)

    assert [place for place, _ in near] == [0, 1]
