"""Plans as a crew asks for them. Practice facts 1 and 7 (common practice, no source) are hard assertions."""

from pathlib import Path

import pytest

from bot.spread.plan import Plan
from bot.spread.planner import plan
from bot.spread.rods import boat_class_kg
from bot.spread.score import leads
from bot.spread.weights import Weights
from bot.tackle.box import parse
from bot.tackle.items import STANDARD_POSITIONS, Boat, Lure, Outfit
from bot.trip.call import from_json
from bot.water.wake import crew_count

BOXES = Path(__file__).parents[2] / "fixtures" / "boxes"
BOAT = Boat()


def ready(box: str) -> list[Lure]:
    return [lure for lure in parse((BOXES / f"{box}.csv").read_text()).lures if lure.ready]


def sizes(planned: Plan) -> list[float]:
    return [one.size_in for one in planned.positions]


def codes(planned: Plan) -> set[str]:
    return {finding.code for finding in planned.findings}


@pytest.mark.parametrize("box", ["small", "large", "light", "mixed", "none_ready"])
def test_the_boxes_of_the_fixtures_are_read_without_a_word(box: str) -> None:
    assert parse((BOXES / f"{box}.csv").read_text()).refused == ()


def test_the_wrong_box_is_refused_line_by_line() -> None:
    refused = dict(parse((BOXES / "wrong.csv").read_text()).refused)

    assert list(refused) == [3, 4, 5, 6, 7]


@pytest.mark.parametrize("tackle", ["light", "medium", "heavy", 8.0, 60.0, None])
@pytest.mark.parametrize("box", ["small", "large", "light", "mixed"])
def test_the_largest_is_on_the_short_corner_and_none_behind_is_larger(
    box: str, tackle: str | float | None
) -> None:
    # practice fact 7
    found = sizes(plan(ready(box), BOAT, tackle=tackle))

    assert found == sorted(found, reverse=True)


@pytest.mark.parametrize("box", ["small", "large", "light", "mixed"])
def test_large_lures_are_not_for_light_tackle_and_small_ones_may_go_on_heavy(box: str) -> None:
    # practice fact 1
    light = plan(ready(box), BOAT, tackle="light")
    heavy = plan(ready(box), BOAT, tackle="heavy")

    assert max(sizes(light)) <= 9
    assert (
        min(sizes(heavy)) <= 7
    )  # a six with light hooks stays aboard: they may open on heavy drag


def test_small_box_on_heavy_tackle_shows_every_size_and_colour() -> None:
    found = plan(ready("small"), BOAT, tackle="heavy")

    assert [p.position for p in found.positions] == list(BOAT.positions)
    assert sizes(found) == [12, 10, 8, 7, 6]
    assert len({p.colours[0] for p in found.positions}) == 5
    assert found.positions[0].head == "cupped"
    assert found.positions[-1].head == "slim"


def test_small_box_on_light_tackle_leaves_positions_empty_and_says_so() -> None:
    found = plan(ready("small"), BOAT, tackle="light")

    assert [p.position for p in found.positions] == ["short corner", "long corner", "short rigger"]
    empty = next(f for f in found.findings if f.code == "empty-position")
    assert "long rigger and shotgun stay empty" in empty.text


def test_slow_lures_are_a_spread_of_their_own() -> None:
    # practice fact 9: common practice, no source
    found = plan(ready("mixed"), BOAT, tackle="heavy")
    slow = plan(ready("mixed"), BOAT, tackle="heavy", speed_kn=6)

    assert found.speed_kn == 8
    assert found.lures & slow.lures == frozenset()
    assert slow.lures == {"Wet Sock", "Oven Glove", "Plum Pudding", "Slow Clock"}
    named = next(f for f in found.findings if f.code == "other-speeds")
    assert "Wet Sock, Oven Glove, Plum Pudding and Slow Clock run slower" in named.text


def test_a_box_of_slow_lures_alone_is_planned_at_their_own_speed() -> None:
    slow = [lure for lure in ready("mixed") if (lure.speed_max_kn or 99) < 7]

    assert plan(slow, BOAT, tackle="heavy").speed_kn == 6


def test_with_nothing_ready_the_plan_is_empty_and_says_what_to_do() -> None:
    found = plan(ready("none_ready"), BOAT, tackle="heavy")

    assert found.positions == ()
    assert [f.code for f in found.findings] == ["empty-position"]
    assert found.to_json()["positions"] == []


def test_another_plan_differs_in_three_lures_at_least() -> None:
    first = plan(ready("large"), BOAT, tackle="heavy")
    second = plan(ready("large"), BOAT, tackle="heavy", avoid=[first.lures])

    assert len(second.lures - first.lures) >= 3
    assert len(second.positions) == 5


def test_another_plan_that_cannot_differ_so_much_fills_the_positions_and_says_so() -> None:
    first = plan(ready("small"), BOAT, tackle="heavy")
    second = plan(ready("small"), BOAT, tackle="heavy", avoid=[first.lures])

    assert len(second.positions) == 5
    assert len(second.lures - first.lures) == 1
    assert "same-lures" in codes(second)


def test_a_spare_is_ready_not_in_the_plan_and_of_size_or_colour() -> None:
    found = plan(ready("large"), BOAT, tackle="heavy")
    box = {lure.name: lure for lure in ready("large")}

    spares = [p.spare for p in found.positions if p.spare]
    assert len(spares) == len(set(spares)) == 5
    for one in found.positions:
        assert one.spare is not None
        assert one.spare not in found.lures
        spare = box[one.spare]
        assert spare.size_in == one.size_in or spare.colours[0] == one.colours[0]


def test_the_plan_is_the_same_twice_and_whatever_the_order_of_the_box() -> None:
    lures = ready("large")

    assert plan(lures, BOAT, tackle="medium") == plan(lures[::-1], BOAT, tackle="medium")


def test_the_outfits_decide_where_no_tackle_was_said_and_a_word_goes_before_them() -> None:
    boat = Boat(outfits=tuple(Outfit(position, 15) for position in BOAT.positions))

    assert max(sizes(plan(ready("large"), boat))) <= 9
    heavy = plan(ready("large"), boat, tackle=37.0)
    assert max(sizes(heavy)) >= 12
    assert "other-outfits" in codes(heavy)
    assert "other-outfits" not in codes(plan(ready("large"), boat, tackle=15.0))


def test_an_outfit_of_the_class_that_was_said_keeps_its_own_drag() -> None:
    weak = Boat(outfits=tuple(Outfit(p, 37, strike_drag_kg=4) for p in BOAT.positions))

    assert any(
        "strike drag 4 kg" in f.text for f in plan(ready("small"), weak, tackle="heavy").findings
    )


def test_a_position_without_an_outfit_has_no_tackle_rules() -> None:
    boat = Boat(outfits=(Outfit("shotgun", 8),))
    box = [lure for lure in ready("small") if lure.size_in >= 8]

    found = plan(box, boat)

    assert sizes(found)[0] == 12
    assert {f.position for f in found.findings if f.code == "size-for-class"} <= {"shotgun"}


def test_a_light_outfit_near_the_boat_takes_a_smaller_lure_than_the_one_behind_it() -> None:
    boat = Boat(
        positions=("short corner", "shotgun"),
        outfits=(Outfit("short corner", 8), Outfit("shotgun", 60)),
    )
    box = [Lure("Mug", 6, ("red",)), Lure("Jug", 14, ("blue",))]

    found = plan(box, boat)

    assert sizes(found) == [6, 14]
    assert "size-order" in codes(found)


def test_no_finding_of_a_plan_is_a_broken_rule() -> None:
    for box in ("small", "large", "light", "mixed"):
        for tackle in ("light", "medium", "heavy", 8.0, 24.0, None):
            found = plan(ready(box), BOAT, tackle=tackle)
            assert [f for f in found.findings if f.severity == "warning"] == []


def test_what_is_missing_from_the_box_is_named() -> None:
    tens = [Lure(f"Mug {n}", 10 - n / 2, ("red",), "blunt") for n in range(3)]

    found = plan(tens, BOAT, tackle="heavy")

    texts = " / ".join(f.text for f in found.findings)
    assert "no ready lure over 10 inches: short corner has a ten" in texts
    assert "no ready lure under 9 inches: short rigger has a nine" in texts
    assert "no slim lure ready" in texts
    assert "short corner, long corner and short rigger all lead with red" in texts
    assert "no dark lure" in texts


def test_every_position_has_its_reason_distance_and_wave() -> None:
    found = plan(ready("small"), BOAT, tackle="heavy", speed_kn=8)

    assert [p.wave for p in found.positions] == [2, 3, 4, 5, 7]
    assert [p.back_m for p in found.positions] == [19.0, 29.8, 40.7, 51.5, 73.3]
    assert found.positions[0].reason.startswith(
        "Largest of 5, 12-inch; cupped head works close in;"
    )
    assert found.positions[-1].reason.startswith("Smallest, 6-inch, 1 below the long rigger;")
    assert all(p.reason.endswith(".") for p in found.positions)


def test_distances_follow_what_the_crew_said() -> None:
    found = plan(ready("small"), BOAT, tackle="heavy", speed_kn=8, calibration=crew_count(14, 2, 8))

    assert found.positions[0].back_m == 14


def test_the_boat_may_change_what_counts() -> None:
    box = [
        Lure("Plain Cup", 10, ("red",), "cupped"),
        Lure("Odd Slim", 10, ("blue",), "slim"),
        Lure("Red Slim", 8, ("red",), "slim"),
    ]
    boat = Boat(positions=("short corner", "long corner"))

    assert plan(box, boat, weights=Weights(colours=50)).lures == {"Odd Slim", "Red Slim"}
    assert plan(box, boat, weights=Weights(colours=0, spares=0)).lures == {"Plain Cup", "Red Slim"}


def test_standbys_in_the_box_are_no_part_of_the_spread() -> None:
    box = [Lure("Deep Diver", 7, ("silver",)), Lure("Mug", 8, ("red",))]

    assert plan(box, BOAT).lures == {"Mug"}


def test_the_answer_for_programs_has_the_keys_of_the_contract() -> None:
    data = plan(ready("small"), BOAT, tackle="heavy").to_json()

    assert list(data) == ["positions", "speed_kn", "findings"]
    assert set(data["positions"][0]) == {
        "position", "lure", "size_in", "colours", "head", "reason", "spare", "back_m",
    }  # fmt: skip
    assert set(data["findings"][0]) == {"severity", "position", "text", "source"}
    assert data["positions"][1]["spare"] == "Old Slipper"
    assert data["speed_kn"] == 8


def test_set_it_logs_the_whole_spread() -> None:
    found = plan(ready("small"), BOAT, tackle="heavy")

    calls = found.set_calls()

    assert [c.act for c in calls] == ["set"] * 5
    assert [(c.position, c.lure) for c in calls] == [(p.position, p.lure) for p in found.positions]
    assert from_json(calls[0].to_json()) == calls[0]


@pytest.mark.parametrize("speed_kn", [0, -3, float("nan"), float("inf"), 99])
def test_a_speed_that_is_none_is_refused(speed_kn: float) -> None:
    with pytest.raises(ValueError, match="speed_kn"):
        plan(ready("small"), BOAT, speed_kn=speed_kn)


def test_an_unknown_tackle_word_is_refused() -> None:
    with pytest.raises(ValueError, match="light, medium, heavy"):
        plan(ready("small"), BOAT, tackle="enormous")


RODS_24 = Boat(outfits=tuple(Outfit(position, 24) for position in STANDARD_POSITIONS))


def test_heavy_is_the_heaviest_that_is_rigged_and_light_the_lightest() -> None:
    # Common practice, no source: a crew calls its own rods heavy and light, whatever the table says.
    two = Boat(outfits=(Outfit("short corner", 37), Outfit("shotgun", 24)))

    assert boat_class_kg(RODS_24, "heavy") == boat_class_kg(RODS_24, "light") == 24
    assert [boat_class_kg(two, word) for word in ("light", "medium", "heavy")] == [24, 24, 37]
    assert [boat_class_kg(Boat(), word) for word in ("light", "medium", "heavy")] == [15, 24, 37]
    assert boat_class_kg(two, 15.0) == 15


def test_a_boat_with_rods_of_24_kg_is_not_planned_for_37() -> None:
    found = plan(ready("large"), RODS_24, tackle="heavy")

    assert not any(finding.code == "other-outfits" for finding in found.findings)
    assert found.positions == plan(ready("large"), RODS_24).positions


def test_hooks_that_the_drag_may_open_stay_aboard_for_an_inch_of_span() -> None:
    # Common practice, no source: light hooks are not for heavy drag.
    box = (
        Lure("Light Six", 6, ("pink",), "slim", "light", ready=True),
        Lure("Fit Seven", 7, ("red",), "slim", "medium", ready=True),
        *(
            Lure(f"Big {size}", size, (colour,), None, "heavy", ready=True)
            for size, colour in ((12, "black"), (10, "blue"), (9, "green"), (8, "white"))
        ),
    )

    assert "Light Six" not in plan(box, Boat(), tackle="heavy").lures


def test_hooks_suit_where_they_can_though_one_must_not_so_that_no_size_is_lost() -> None:
    # Common practice, no source: heavy hooks are not for medium drag. On 15 kg only the six suits, and a
    # second six would cost a size; that is no reason for heavy hooks on the corners.
    box = (
        Lure("Heavy Twelve", 12, ("black",), "cupped", "heavy", ready=True),
        Lure("Spare Twelve", 12, ("black",), "cupped", "heavy", ready=True),
        Lure("Fit Ten", 10, ("blue",), "cupped", "medium", ready=True),
        Lure("Fit Nine", 9, ("green",), "slanted", "medium", ready=True),
        Lure("Near Seven", 7, ("white",), "slim", "medium", ready=True),
        Lure("Light Six", 6, ("pink",), "slim", "light", ready=True),
    )
    boat = Boat(
        positions=("short corner", "long corner", "long rigger", "shotgun"),
        outfits=(
            Outfit("short corner", 24), Outfit("long corner", 24), Outfit("long rigger", 15),
            Outfit("shotgun", 15),
        ),
    )  # fmt: skip

    assert [one.lure for one in plan(box, boat).positions] == [
        "Fit Ten", "Fit Nine", "Near Seven", "Light Six",
    ]  # fmt: skip


def test_the_same_two_colours_the_other_way_round_are_no_other_colour() -> None:
    # What leads is the first said; people see the two together, so a third colour goes out before the pair.
    box = tuple(
        Lure(f"{' '.join(colours)}", 8, colours, ready=True)
        for colours in (("black", "purple"), ("purple", "black"), ("glow",))
    )
    found = plan(box, Boat(positions=("short corner", "shotgun")))

    assert "glow" in found.lures
    assert leads(box)[0] == leads(box)[1]
