"""What the record teaches: raises, bait, packs, single lures, what runs far back."""

from dataclasses import replace

import numpy as np
import pytest

from bot.advice.bites import PREY_HALF_DAYS, follows, prey_of
from bot.advice.data import Exposure, Kind
from bot.advice.layout import Levels, layout_of, light_at
from bot.advice.model import Gauss, Spells, fit, ready
from bot.advice.season import NOTHING, Earlier, Outlook, Prey, believe
from tests.builders import at

SIZES = (6.0, 8.0, 10.0, 12.0)
KINDS = tuple(
    Kind(size, (colour,), head)
    for size, colour, head in (
        (6.0, "black", "jet"), (8.0, "purple", "slim"), (10.0, "pink", "blunt"),
        (12.0, "green", "cupped"), (8.0, "white", "slanted"), (10.0, "blue", "slim"),
    )
)  # fmt: skip


def cell(
    kind: Kind,
    hours: float,
    strikes: int,
    raises: int = 0,
    position: str = "long corner",
    day: float = 0.0,
    hour: int = 10,
    followers: int = 0,
) -> Exposure:
    return Exposure(position, kind, hours, strikes, None, hour, day, raises, followers)


def outlook(
    today: list[Exposure], earlier: list[Exposure] | None = None, prey: tuple[Prey, ...] = ()
) -> Outlook:
    before = Earlier(tuple(earlier)) if earlier else NOTHING
    levels = before.levels | Levels.of(today) | Levels(frozenset(["long corner"]), frozenset(KINDS))
    return believe(today, before, layout_of(levels), 0.15, prey)


def log_rate(found: Outlook, kind: Kind) -> float:
    return float((found.layout.kind_rows([kind]) @ found.gauss.mean)[0])


def test_spells_taken_out_are_the_same_as_spells_with_columns_of_their_own() -> None:
    source = np.random.default_rng(4)
    number = np.repeat(np.arange(6), 5)
    rows = np.column_stack([np.ones(30), source.normal(size=(30, 3))])
    counts, hours = source.poisson(1.2, 30).astype(float), source.uniform(0.3, 2.0, 30)
    prior = Gauss(np.array([-0.5, 0.0, 0.0, 0.0]), np.diag([1.0, 0.4, 0.4, 0.3]))
    wide = np.hstack([rows, (number[:, None] == np.arange(6)).astype(float)])
    widely = Gauss(
        np.concatenate([prior.mean, np.zeros(6)]), np.diag([1.0, 0.4, 0.4, 0.3, *[0.25] * 6])
    )

    ours = fit(rows, counts, hours, ready(prior), spells=Spells(np.arange(0, 30, 5), number, 0.5))
    brute = fit(wide, counts, hours, ready(widely))

    assert ours.gauss.mean == pytest.approx(brute.gauss.mean[:4], abs=1e-5)
    assert ours.gauss.cov == pytest.approx(brute.gauss.cov[:4, :4], abs=1e-5)
    assert ours.expected == pytest.approx(brute.expected, rel=1e-4)
    assert ours.evidence == pytest.approx(brute.evidence, abs=1e-4)


# Raises


def season(raises: tuple[int, ...], strikes: tuple[int, ...], days: int = 8) -> list[Exposure]:
    return [
        cell(kind, 4.0, bites, rose, day=float(day + 1))
        for day in range(days)
        for kind, rose, bites in zip(KINDS, raises, strikes, strict=True)
    ]


GOOD = (3, 2, 1, 0, 0, 0)
RISE = (6, 4, 2, 1, 0, 0)


def test_whether_a_raise_tells_of_strikes_is_learnt_from_the_record() -> None:
    alike = outlook([], season(RISE, GOOD))
    apart = outlook([], season(RISE[::-1], GOOD))

    assert alike.raises_tell > 0.8
    assert apart.raises_tell < 0.3


@pytest.mark.parametrize(("raises", "counts"), [(RISE, True), (RISE[::-1], False)])
def test_six_raises_move_the_rates_as_far_as_raises_tell(
    raises: tuple[int, ...], counts: bool
) -> None:
    before = season(raises, GOOD, 5)
    fresh = Kind(9.0, ("orange",), "bullet")
    quiet = outlook([cell(fresh, 2.0, 0), cell(KINDS[3], 2.0, 0, 1)], before)
    raised = outlook([cell(fresh, 2.0, 0, 6), cell(KINDS[3], 2.0, 0, 1)], before)

    moved = log_rate(raised, fresh) - log_rate(quiet, fresh)

    assert (moved > 0.3) == counts


def test_without_any_record_raises_count_for_something() -> None:
    quiet = [cell(kind, 2.0, 0) for kind in KINDS]
    raised = [replace(one, raises=6 * (number == 1)) for number, one in enumerate(quiet)]

    found = outlook(raised)

    assert log_rate(found, KINDS[1]) > max(
        log_rate(found, kind) for kind in KINDS if kind != KINDS[1]
    )


# Packs


def test_a_strike_that_follows_another_is_of_one_pack_and_tells_less() -> None:
    assert follows(at("08:05"), at("08:00"))
    assert not follows(at("08:15"), at("08:00"))
    assert not follows(at("08:15"), None)
    rest = [cell(kind, 2.0, 0) for kind in KINDS[1:]]
    alone = outlook([cell(KINDS[0], 2.0, 4), *rest])
    pack = outlook([cell(KINDS[0], 2.0, 4, followers=3), *rest])

    assert log_rate(pack, KINDS[0]) < log_rate(alone, KINDS[0])


def test_an_hour_in_which_everything_bites_says_little_of_the_lure_that_happened_to_be_out() -> (
    None
):
    hot = [cell(kind, 1.0, 3, hour=9) for kind in KINDS[:3]]
    cold = [cell(kind, 1.0, 0, hour=14) for kind in KINDS[1:4]]
    found = outlook([*hot, *cold])
    same = outlook([replace(one, hour=10) for one in (*hot, *cold)])

    gap, taken = (log_rate(one, KINDS[0]) - log_rate(one, KINDS[3]) for one in (found, same))

    assert gap < taken


# Bait


@pytest.mark.parametrize("size_in", SIZES)
def test_before_any_record_bait_raises_lures_of_its_length(size_in: float) -> None:
    found = outlook([], prey=(Prey(size_in, 1.0),))
    rates = {kind: log_rate(found, kind) for kind in KINDS}

    best = max(KINDS, key=lambda kind: rates[kind])

    assert best.size_in is not None
    assert abs(best.size_in - size_in) <= 2.0


def test_a_record_that_knows_its_sizes_is_hardly_moved_by_bait() -> None:
    known = season((0,) * 6, (1, 6, 1, 2, 6, 1), 12)
    bait = (Prey(12.0, 1.0),)

    def moved(before: list[Exposure]) -> float:
        with_it, without = outlook([], before, bait), outlook([], before)
        return log_rate(with_it, KINDS[3]) - log_rate(without, KINDS[3])

    assert 0.0 < moved(known) < 0.5 * moved([])
    found = outlook([], known, bait)
    assert log_rate(found, KINDS[1]) > log_rate(found, KINDS[3])


def test_bait_fades_and_is_forgotten() -> None:
    (now,) = prey_of([(0.0, 8.0)])
    (later,) = prey_of([(PREY_HALF_DAYS, 8.0)])

    assert (now.weight, later.weight) == (1.0, 0.5)
    assert prey_of([(10.0, 8.0)]) == ()
    assert len(prey_of([(0.1 * n, 8.0) for n in range(9)])) == 3


# Single lures, places, light


def test_of_two_of_one_size_and_colour_the_one_that_is_bitten_is_known_as_the_better() -> None:
    one, other = (
        Kind(8.0, ("purple",), "slim", "Plum Jam"),
        Kind(8.0, ("purple",), "slim", "Egg Cup"),
    )
    found = outlook([cell(one, 10.0, 6), cell(other, 10.0, 0)])

    assert log_rate(found, one) > log_rate(found, other)


def test_a_size_that_is_bitten_near_and_another_that_is_far_are_told_apart_by_place() -> None:
    large, small = Kind(12.0, ("blue",), "cupped"), Kind(6.0, ("blue",), "jet")
    cells = [
        cell(kind, 10.0, bites, position=place)
        for kind, place, bites in (
            (large, "short corner", 8), (large, "shotgun", 1),
            (small, "short corner", 1), (small, "shotgun", 8),
        )
    ]  # fmt: skip
    found = outlook(cells)

    def ahead(place: str) -> float:
        rows = found.layout.laid_rows([large, small], place, 10)
        return float((rows[0] - rows[1]) @ found.gauss.mean)

    assert ahead("short corner") > 0.3
    assert ahead("shotgun") < -0.3


def test_the_light_is_high_at_noon_and_low_early_and_late() -> None:
    assert light_at(12) > 0.9
    assert light_at(7) == light_at(18) == -1.0


def test_lures_that_all_catch_alike_are_known_as_such_and_others_are_not() -> None:
    flat = outlook([], season((0,) * 6, (2,) * 6))
    steep = outlook([], season((0,) * 6, (6, 4, 1, 0, 0, 0)))

    assert flat.flat > 0.4
    assert steep.flat < 0.02
    assert flat.evidence < 0 < steep.evidence
