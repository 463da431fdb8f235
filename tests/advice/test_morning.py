"""The morning of a boat with a record: all that is worth it at once, each lure on its best line."""

from datetime import UTC, datetime

from bot.advice.data import Exposure, Hold, InWater, Kind, LureChange, Spare
from bot.advice.next_change import next_change
from bot.advice.season import Earlier
from bot.messages import Advice

NOW = datetime(2024, 3, 9, 7, 0, tzinfo=UTC)
LINES = ("short corner", "long corner", "short rigger")
RATES = {"purple": 1.2, "green": 0.8, "black": 0.5, "white": 0.05, "red": 0.04, "pink": 0.03}
"""Strikes in an hour on a middling line, by colour; each 8 in and blunt."""
FACTORS = {"short corner": 0.6, "long corner": 1.0, "short rigger": 1.8}


def kind(colour: str) -> Kind:
    return Kind(8.0, (colour,), "blunt")


def record(hours: float) -> Earlier:
    """A week in which everything was out everywhere for so long, with just the strikes to be expected."""
    return Earlier(
        tuple(
            Exposure(
                line, kind(colour), hours, round(rate * FACTORS[line] * hours), hour=9, age_days=3.0
            )
            for line in LINES
            for colour, rate in RATES.items()
        )
    )


def morning(earlier: Earlier, fished_h: float = 0.0) -> list[tuple[str, str]]:
    """Follow the advice from the poorest spread until it holds; position and colour of each change."""
    held = dict(zip(LINES, ("white", "red", "pink"), strict=True))
    made: list[LureChange] = []
    while len(made) < 9:
        cells = [Exposure(line, kind(held[line]), fished_h, 0, hour=7) for line in LINES]
        found = next_change(
            cells if fished_h else [],
            [InWater(line, kind(colour), colour) for line, colour in held.items()],
            [Spare(kind(one), one) for one in RATES if one not in held.values()],
            now=NOW,
            previous=tuple(made),
            earlier=earlier,
        )
        if not isinstance(found, Advice):
            break
        assert found.chance >= 0.5
        made.append(LureChange(found.position, found.lure, held[found.position], NOW))
        held[found.position] = found.lure
    return [(change.position, change.put_in) for change in made]


def test_all_that_the_record_shows_is_put_out_at_once_the_best_where_most_bites() -> None:
    made = morning(record(40.0))

    assert dict(made) == {"short rigger": "purple", "long corner": "green", "short corner": "black"}
    assert len(made) == len(LINES)


def test_a_spread_that_has_fished_is_changed_two_lines_at_a_time() -> None:
    assert len(morning(record(40.0), fished_h=0.5)) == 2


def test_a_hold_before_anything_has_fished_says_so() -> None:
    held = dict(zip(LINES, ("black", "green", "purple"), strict=True))
    found = next_change(
        [],
        [InWater(line, kind(colour), colour) for line, colour in held.items()],
        [Spare(kind(one), one) for one in RATES if one not in held.values()],
        now=NOW,
        earlier=record(40.0),
    )

    assert isinstance(found, Hold)
    assert found.reason.startswith("Nothing has fished yet: no change is worth its cost")


def test_without_a_record_nothing_is_changed_before_it_has_fished() -> None:
    assert morning(Earlier()) == []
