"""Outside sources: International Angling Rules of the IGFA (updated 27 October 2021), equipment
regulations B and C (lengths of leader and double line); rule on hooks in skirted lures as the Game Fishing
Association of Australia prints it (its rule h). What is common practice has no source and says so."""

import pytest

from bot.findings import Finding
from bot.tackle import checks
from bot.tackle.checks import Check, Rig
from bot.tackle.items import Lure, Outfit


def rig(
    size_in: float,
    kg: float,
    hooks: str | None = None,
    *,
    leader_m: float | None = None,
    double_m: float | None = None,
) -> Rig:
    lure = Lure("Mug", size_in, ("red",), hook_gauge=hooks, leader_m=leader_m)  # type: ignore[arg-type]
    return Rig(lure, Outfit("short corner", kg, double_m=double_m))


def severity(check: Check, rigged: Rig) -> str | None:
    finding = check(rigged)
    return finding.severity if finding else None


@pytest.mark.parametrize("kg", [37, 60])
@pytest.mark.parametrize("size_in", [4, 6, 8, 12, 14])
def test_small_and_large_lures_may_go_on_heavy_tackle(size_in: float, kg: float) -> None:
    # practice fact 1: common practice, no source
    assert checks.size_for_class(rig(size_in, kg)) is None


@pytest.mark.parametrize("kg", [6, 8, 10, 15])
@pytest.mark.parametrize("size_in", [12, 14, 16])
def test_a_large_lure_on_light_tackle_is_never_passed_over(size_in: float, kg: float) -> None:
    # practice fact 1: common practice, no source
    assert checks.size_for_class(rig(size_in, kg)) is not None


def test_a_large_lure_on_fifteen_kilos_with_light_hooks_is_flagged_and_not_forbidden() -> None:
    # practice fact 2: common practice, no source
    large = rig(12, 15, "light")

    assert severity(checks.size_for_class, large) == "caution"
    assert severity(checks.hooks_too_heavy, large) is None


def test_a_large_lure_on_fifteen_kilos_with_heavy_hooks_breaks_a_rule() -> None:
    # common practice, no source: never heavy hooks on light line
    assert severity(checks.hooks_too_heavy, rig(12, 15, "heavy")) == "warning"


def test_a_larger_lure_or_a_lighter_class_is_never_judged_milder() -> None:
    rank = {None: 0, "note": 1, "caution": 2, "warning": 3}
    classes = (4, 6, 8, 10, 15, 24, 37, 60)
    for size_in in range(3, 20):
        by_class = [rank[severity(checks.size_for_class, rig(size_in, kg))] for kg in classes]
        assert by_class == sorted(by_class, reverse=True)
    for kg in classes:
        by_size = [rank[severity(checks.size_for_class, rig(size, kg))] for size in range(3, 20)]
        assert by_size == sorted(by_size)


@pytest.mark.parametrize(
    ("hooks", "kg", "heavy", "light"),
    [
        ("light", 15, None, None),
        ("medium", 15, "caution", None),
        ("heavy", 15, "warning", None),
        ("light", 24, None, None),
        ("heavy", 24, "caution", None),
        ("light", 60, None, "caution"),
        ("medium", 60, None, None),
        ("heavy", 60, None, None),
        (None, 60, None, None),
    ],
)
def test_hooks_go_with_the_line_class(
    hooks: str | None, kg: float, heavy: str | None, light: str | None
) -> None:
    # common practice, no source
    assert severity(checks.hooks_too_heavy, rig(8, kg, hooks)) == heavy
    assert severity(checks.hooks_too_light, rig(8, kg, hooks)) == light


def test_an_outfit_that_takes_other_hooks_than_its_class_is_believed() -> None:
    lure = Lure("Mug", 8, ("red",), hook_gauge="medium")

    assert checks.hooks_too_heavy(Rig(lure, Outfit("shotgun", 15, hook_gauge="medium"))) is None


@pytest.mark.parametrize(("kg", "leader_m"), [(10, 4.57), (6, 4.57), (15, 9.14), (60, 9.14)])
def test_a_leader_as_long_as_the_rules_print_is_allowed(kg: float, leader_m: float) -> None:
    assert checks.leader_length(rig(8, kg, leader_m=leader_m)) is None


@pytest.mark.parametrize(("kg", "leader_m"), [(10, 4.58), (15, 9.15), (60, 9.15)])
def test_a_leader_a_centimetre_longer_is_not(kg: float, leader_m: float) -> None:
    finding = checks.leader_length(rig(8, kg, leader_m=leader_m))

    assert finding is not None
    assert finding.severity == "note"
    assert "International Angling Rules" in finding.source


@pytest.mark.parametrize(
    ("kg", "double_m", "allowed"),
    [(10, 4.57, True), (10, 4.58, False), (24, 9.14, True), (24, 9.15, False)],
)
def test_the_double_has_the_same_limits(kg: float, double_m: float, allowed: bool) -> None:
    assert (checks.double_length(rig(8, kg, double_m=double_m)) is None) is allowed


@pytest.mark.parametrize(
    ("kg", "double_m", "leader_m", "allowed"),
    [
        (24, 4.0, 8.0, True),
        (24, 4.0, 8.5, False),
        (10, 2.0, 4.5, False),
        (10, 1.6, 4.5, True),
        (24, 3.05, 9.14, True),
    ],
)
def test_leader_and_double_have_a_limit_together(
    kg: float, double_m: float, leader_m: float, allowed: bool
) -> None:
    found = checks.leader_and_double(rig(8, kg, leader_m=leader_m, double_m=double_m))

    assert (found is None) is allowed
    assert checks.leader_length(rig(8, kg, leader_m=leader_m)) is None


def test_a_line_under_the_class_figure_fishes_in_that_class() -> None:
    # 50 lb line breaks at 22.7 kg and fishes in the 24 kg class: the long limits
    assert checks.leader_length(rig(8, 22.7, leader_m=9.0)) is None


def test_more_than_two_hooks_are_noted_for_a_record_claim() -> None:
    three, two = (Lure("Mug", 8, ("red",), hooks=hooks) for hooks in (3, 2))

    assert severity(checks.hook_count, Rig(three, Outfit("shotgun", 24))) == "note"
    assert checks.hook_count(Rig(two, Outfit("shotgun", 24))) is None


def test_a_leader_weaker_than_the_line_is_found() -> None:
    # mechanics; common practice, no source
    lure = Lure("Mug", 8, ("red",), leader_kg=30)

    assert severity(checks.leader_strength, Rig(lure, Outfit("shotgun", 37))) == "caution"
    assert checks.leader_strength(Rig(lure, Outfit("shotgun", 24))) is None


@pytest.mark.parametrize(
    ("kg", "drag_kg", "found"),
    [
        # magazine advice, 25 % to a third: 24 kg 6.00 to 8.00; 37 kg 9.25 to 12.33
        (24, 6.0, None), (24, 8.0, None), (24, 8.1, "caution"), (24, 5.9, "note"),
        (37, 9.25, None), (37, 12.33, None), (37, 12.5, "caution"), (37, None, None),
    ],
)  # fmt: skip
def test_a_strike_drag_outside_the_usual_share_is_found(
    kg: float, drag_kg: float | None, found: str | None
) -> None:
    rigged = Rig(Lure("Mug", 8, ("red",)), Outfit("shotgun", kg, strike_drag_kg=drag_kg))

    assert severity(checks.drag_setting, rigged) == found


def test_every_check_names_position_code_and_source() -> None:
    lure = Lure("Mug", 16, ("red",), None, "heavy", 3, 5, 12)
    light = Lure("Jug", 6, ("red",), None, "light")
    rigs = (
        Rig(lure, Outfit("shotgun", 10, strike_drag_kg=5, double_m=6)),
        Rig(light, Outfit("shotgun", 60)),
    )

    found = [f for check in checks.CHECKS for r in rigs if (f := check(r)) is not None]

    assert {f.code for f in found} == {
        "size-for-class", "hooks-too-heavy", "hooks-too-light", "leader-strength", "drag-setting",
        "leader-length", "double-length", "leader-and-double", "hook-count",
    }  # fmt: skip
    assert all(isinstance(f, Finding) and f.position == "shotgun" and f.source for f in found)


def test_an_angling_rule_is_never_more_than_a_note() -> None:
    rules = (
        checks.leader_length,
        checks.double_length,
        checks.leader_and_double,
        checks.hook_count,
    )
    lure = Lure("Mug", 8, ("red",), hooks=3, leader_m=20)

    found = [check(Rig(lure, Outfit("shotgun", 8, double_m=20))) for check in rules]

    assert [f.severity for f in found if f] == ["note"] * 4
