"""Seas of families, our own and those of a file: the same twice, and never better than the oracle."""

from pathlib import Path

import numpy as np
import pytest

from bot.bench.advice import main
from bot.bench.advice_bounds import Factors, UnruledAdvice
from bot.bench.advice_families import FAMILIES, POSITIONS, bait_that_tells
from bot.bench.advice_fish import families_of, fish_season
from bot.bench.advice_policies import CopyTheBite, Direct, NoChange, Oracle

OTHERS = """
from dataclasses import dataclass
import numpy as np

@dataclass(frozen=True)
class Lure:
    name: str
    size_in: float
    colours: tuple
    head: str

class Season:
    family = "one"
    start = (0, 1, 2, 3, 4)

    def __init__(self, seed):
        self.lures = tuple(Lure("twin" if n < 2 else f"lure {n}", 6.0 + n, ("red",), "jet") for n in range(8))
        self.best = seed % 3 + 5
        self.told = []

    def begin_day(self, day):
        self.told = []

    def rates(self, at_h):
        found = np.full((5, 8), 0.2)
        found[:, self.best] = 2.0
        return found

    def raises(self, at_h):
        return 2.0 * self.rates(at_h)

    def bait(self):
        return ()

    def saw(self, at_h, line, lure, strike):
        self.told.append((at_h, line, lure, strike))

def one(seed):
    return Season(seed)
"""


@pytest.mark.parametrize("family", FAMILIES)
def test_a_season_of_ours_is_the_same_twice_and_has_what_was_promised(family: str) -> None:
    season, again = FAMILIES[family](7), FAMILIES[family](7)
    for one in (season, again):
        one.begin_day(0)

    assert 20 <= len(season.lures) <= 40
    assert len(set(season.start)) == len(POSITIONS)
    for at_h in (0.0, 3.3, 7.99):
        assert season.rates(at_h).shape == (5, len(season.lures))
        assert (season.rates(at_h) > 0).all()
        assert np.array_equal(season.rates(at_h), again.rates(at_h))
        assert np.array_equal(season.raises(at_h), again.raises(at_h))
    flat = bool(np.allclose(season.rates(2.0), season.rates(2.0)[:, :1]))
    assert flat == (family == "flat")


def test_the_oracle_beats_leaving_all_as_it_is() -> None:
    def caught(policy: type[NoChange] | type[Oracle] | type[CopyTheBite]) -> float:
        seasons = [fish_season(FAMILIES["good lures"], policy, 1, seed) for seed in range(6)]
        return sum(day.expected for days in seasons for day in days)

    assert caught(Oracle) > 1.3 * caught(NoChange)
    assert caught(NoChange) == caught(NoChange)


def test_a_file_of_families_is_fished_with_raises_and_twins_told_apart(tmp_path: Path) -> None:
    path = tmp_path / "families.py"
    path.write_text(OTHERS, encoding="utf-8")
    makes = families_of(path)
    heard: list[int] = []

    class Listens(Direct):
        def saw(self, step):  # type: ignore[no-untyped-def]
            heard.append(len(step.raises))
            super().saw(step)

    (day,) = fish_season(makes["one"], Listens, 1, 1)
    (none,) = fish_season(makes["one"], NoChange, 1, 1)

    assert tuple(makes) == ("one",)
    assert sum(heard) > 0
    assert none.expected == pytest.approx(8.0, rel=0.01)
    assert day.changes <= 12
    assert all(chance >= 0.6 for chance, _ in day.said)


@pytest.mark.parametrize("policy", [Factors, UnruledAdvice])
def test_without_rules_or_told_the_factors_a_good_lure_is_found_sooner(
    tmp_path: Path, policy: type[Factors] | type[UnruledAdvice]
) -> None:
    path = tmp_path / "families.py"
    path.write_text(OTHERS, encoding="utf-8")
    make = families_of(path)["one"]

    def changes(found: type[Factors] | type[UnruledAdvice] | type[Direct]) -> int:
        return sum(day.changes for day in fish_season(make, found, 1, 1))

    caught = sum(day.expected for day in fish_season(make, policy, 1, 1))
    oracle = sum(day.expected for day in fish_season(make, Oracle, 1, 1))

    assert 8.25 < caught <= oracle
    assert changes(policy) > changes(Direct)


def test_a_file_without_families_is_refused_in_one_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "none.py"
    path.write_text("x = 1\n", encoding="utf-8")

    assert main(["--families", str(path)]) == 1
    assert "has no function one, two, three, flat" in capsys.readouterr().err


def test_bait_is_told_to_the_advice() -> None:
    told: list[float] = []

    class Listens(Direct):
        def told(self, at_h: float, length_cm: float) -> None:
            told.append(length_cm)
            super().told(at_h, length_cm)

    fish_season(bait_that_tells, Listens, 1, 3)

    assert len(told) == 1
    assert 10 < told[0] < 45
