"""Outside source: line classes of the International Game Fish Association (kg class, pound label)."""

import itertools

import pytest

from bot.tackle.items import Boat, Lure, Outfit, Spool
from bot.tackle.line_classes import (
    LINE_CLASSES,
    class_of,
    class_of_label,
    default_gauge,
    tackle_class_kg,
    tackle_word,
)

# International Angling Rules of the IGFA; second column as printed in an angling writer's table of them,
# kg in pounds cut to two decimals.
IGFA = (
    (1, 2, 2.20), (2, 4, 4.40), (3, 6, 6.61), (4, 8, 8.81), (6, 12, 13.22), (8, 16, 17.63),
    (10, 20, 22.04), (15, 30, 33.06), (24, 50, 52.91), (37, 80, 81.57), (60, 130, 132.27),
)  # fmt: skip
KG_PER_LB = 0.45359237  # exact by the international yard and pound agreement of 1959


def test_the_classes_are_those_of_the_international_rules() -> None:
    assert [(c.kg, c.lb_label) for c in LINE_CLASSES] == [(kg, label) for kg, label, _ in IGFA]


def test_the_kilogram_figure_in_pounds_is_the_printed_one() -> None:
    for kg, _, printed_lb in IGFA:
        assert int(kg / KG_PER_LB * 100) / 100 == printed_lb


@pytest.mark.parametrize(("label", "kg"), [(20, 10), (30, 15), (50, 24), (80, 37), (130, 60)])
def test_a_pound_label_is_looked_up_and_not_converted(label: int, kg: float) -> None:
    found = class_of_label(label)

    assert found is not None
    assert found.kg == kg
    assert label * KG_PER_LB < kg


def test_a_label_of_no_class_is_none() -> None:
    assert class_of_label(40) is None


def test_a_line_fishes_in_the_least_class_that_it_does_not_exceed() -> None:
    assert [class_of(kg).kg for kg in (24, 24.1, 0.5, 61)] == [24, 37, 1, 60]


def test_light_hooks_go_with_light_classes() -> None:
    # common practice, no source (reference, section 6)
    assert [default_gauge(kg) for kg in (8, 15, 24, 37, 60)] == [
        "light", "light", "medium", "heavy", "heavy",
    ]  # fmt: skip


def test_what_a_class_carries_never_falls_as_the_class_rises() -> None:
    for smaller, larger in itertools.pairwise(LINE_CLASSES):
        assert smaller.comfortable_in <= larger.comfortable_in
        assert smaller.practised_in <= larger.practised_in
        assert smaller.comfortable_in <= smaller.practised_in


def test_a_word_for_the_tackle_means_a_class_that_has_that_word() -> None:
    for word in ("light", "medium", "heavy"):
        assert tackle_word(tackle_class_kg(word)) == word


def test_tackle_by_number_is_its_class_and_another_word_is_refused() -> None:
    assert tackle_class_kg(37.0) == 37
    with pytest.raises(ValueError, match="not 'strong'"):
        tackle_class_kg("strong")


@pytest.mark.parametrize("kg", [0, -3, 500, float("nan"), float("inf")])
def test_a_class_that_cannot_be_meant_is_refused(kg: float) -> None:
    with pytest.raises(ValueError, match="between 1 and 60 kg"):
        tackle_class_kg(kg)


def test_strike_drag_is_thirty_per_cent_unless_it_was_set() -> None:
    # Table of strike drags by class (magazine advice: 25 % to a third): 24 kg, 30 % = 7.2 kgf.
    assert Outfit("shotgun", 24).drag_kg == pytest.approx(7.20)
    assert Outfit("shotgun", 24, strike_drag_kg=6).drag_kg == 6


def test_an_outfit_takes_the_gauge_of_its_class_unless_it_was_set() -> None:
    assert Outfit("shotgun", 24).gauge == "medium"
    assert Outfit("shotgun", 24, hook_gauge="heavy").gauge == "heavy"


def test_numbers_that_cannot_be_meant_are_refused() -> None:
    with pytest.raises(ValueError, match="size_in"):
        Lure("Mug", float("nan"), ("red",))
    with pytest.raises(ValueError, match="line_class_kg"):
        Outfit("shotgun", float("inf"))
    with pytest.raises(ValueError, match="not below the line class"):
        Outfit("shotgun", 15, strike_drag_kg=15)
    with pytest.raises(ValueError, match="arbor"):
        Spool(25, 60, 50, 0.75)


def test_a_boat_refuses_an_outfit_for_a_position_that_it_has_not() -> None:
    with pytest.raises(ValueError, match="no position"):
        Boat(outfits=(Outfit("crow's nest", 24),))
    with pytest.raises(ValueError, match="twice"):
        Boat(positions=("shotgun", "shotgun"))
    with pytest.raises(ValueError, match="two outfits"):
        Boat(outfits=(Outfit("shotgun", 24), Outfit("shotgun", 37)))


def test_a_boat_gives_the_outfit_of_a_position_or_none() -> None:
    outfit = Outfit("shotgun", 24)

    assert Boat(outfits=(outfit,)).outfit("shotgun") == outfit
    assert Boat(outfits=(outfit,)).outfit("long rigger") is None
