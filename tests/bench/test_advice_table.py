"""The tables of the advice: sums that can be worked out by hand."""

import pytest

from bot.bench.advice_table import Job, Season, rows

POLICIES = ("no change", "copy the last bite", "deckcall", "oracle")


def season(number: int, policy: str, expected: float) -> Season:
    return Season(Job("usual", 2, number, policy), expected, (4, 6))


def test_the_share_is_of_sums_and_the_lead_is_paired_by_sea() -> None:
    got = {
        "no change": (10, 30),
        "copy the last bite": (12, 36),
        "deckcall": (16, 44),
        "oracle": (20, 60),
    }
    held = [season(n, name, values[n]) for name, values in got.items() for n in (0, 1)]

    ours = rows(held, POLICIES)[2]

    assert ours.share == pytest.approx((6 + 14) / (10 + 30))
    assert ours.over_copying == pytest.approx((4 / 2 + 8 / 2) / 2)
    assert ours.over_copying_se == pytest.approx(1.0)
    assert ours.changes_a_day == 5.0
