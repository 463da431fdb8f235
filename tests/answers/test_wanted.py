"""Wishes of one who asks for a spread: each is used and said, or refused aloud."""

from dataclasses import replace
from typing import Any

import pytest

from bot.answers.planning import asked_plan, build_plan, explain_plan
from bot.answers.wanted import class_words, plan_input
from bot.spread.planner import plan
from bot.tackle.items import STANDARD_POSITIONS, Boat, Lure, Outfit
from bot.tackle.trays import Tray, TrayLure
from bot.trip.call import Call
from bot.trip.entry import Asked, Record
from bot.trip.meant import SpreadWish
from tests.answers.views import view
from tests.builders import at, call, log_of

BOX = (
    *(
        Lure(f"Fast {size:g}", size, (colour,), head, "medium", 2, 150, 4, ready=True, speed_min_kn=6.5)  # type: ignore[arg-type]
        for size, colour, head in (
            (14, "black", "cupped"), (12, "blue", "blunt"), (10, "green", "slanted"),
            (9, "pink", "cupped"), (8, "red", "slim"), (7, "white", "jet"), (6, "silver", "slim"),
            (5, "yellow", "jet"),
        )
    ),
    *(
        Lure(f"Slow {size}", size, (colour,), ready=True, speed_max_kn=6)
        for size, colour in ((10, "purple"), (8, "brown"), (6, "glow"))
    ),
)  # fmt: skip
RODS = Boat(outfits=tuple(Outfit(position, 24) for position in STANDARD_POSITIONS))


def plan_for(call_: Call, **values: Any) -> tuple[set[str], str]:
    """Return the lures of a plan, and what is said of the wishes."""
    found = plan_input(view(box=BOX, **values), call_)
    plan = build_plan(view(box=BOX, **values), found)
    return set(plan.lures), "; ".join((*found.said, *found.refused))


def wish(**values: Any) -> Call:
    return Call("plan", meant=(SpreadWish(**values),))


def test_the_speed_that_was_said_is_planned_for_and_no_lure_is_outside_its_range() -> None:
    slow, _ = plan_for(Call("plan", speed_kn=5.5))
    fast, _ = plan_for(Call("plan"))

    assert slow == {"Slow 10", "Slow 8", "Slow 6"}
    assert not any(name.startswith("Slow") for name in fast)


def test_an_unknown_speed_is_the_usual_one_wherever_a_lure_runs_at_it() -> None:
    # Usual lure speed is most often 7 to 9 knots: common practice, no source.
    slow_box = view(box=BOX[-3:])

    assert plan_input(view(box=BOX), wish(tone="dark")).speed_kn == 8
    assert plan_input(view(box=BOX, boat=Boat(usual_kn=7)), Call("plan")).speed_kn == 7
    assert build_plan(slow_box, plan_input(slow_box, Call("plan"))).speed_kn == 6


def test_a_slow_spread_is_of_slow_runners_at_their_speed() -> None:
    # Common practice, no source: lures that run best slower are run together as their own spread.
    found = plan_input(view(box=BOX), wish(slow=True))

    assert found.speed_kn == 6
    assert {lure.name for lure in found.lures} == {"Slow 10", "Slow 8", "Slow 6"}


def test_where_no_lure_is_slow_a_slow_spread_is_refused_aloud() -> None:
    text = asked_plan(view(box=BOX[:5]), wish(slow=True)).text

    assert "No ready lure runs only below 8 knots" in text


def test_a_spread_follows_the_speed_that_was_called_on_this_trip() -> None:
    called = log_of(("06:00", call("speed", speed_kn=5.5)))

    assert plan_input(view(called, box=BOX), Call("plan")).speed_kn == 5.5
    assert plan_input(view(called, box=BOX), Call("plan", speed_kn=8)).speed_kn == 8


@pytest.mark.parametrize("left_out", ["Fast 14", "black", "cupped"])
def test_what_is_to_stay_aboard_stays_aboard(left_out: str) -> None:
    lures, said = plan_for(wish(without=(left_out,)))

    assert "Fast 14" not in lures
    assert f"without {left_out}" in said


@pytest.mark.parametrize(
    ("asked", "lures"),
    [
        (wish(only=("jet", "blunt")), {"Fast 12", "Fast 7", "Fast 5"}),
        (replace(wish(tone="dark"), speed_kn=8), {"Fast 14"}),
        (wish(most_in=8.0, least_in=6.0), {"Fast 8", "Fast 7", "Fast 6"}),
        (wish(at=("shotgun",), only=("silver",)), {"Fast 6"}),
    ],
)
def test_lures_of_a_kind_are_planned_alone(asked: Call, lures: set[str]) -> None:
    # Black, purple and brown are dark: common practice, no source.
    assert plan_for(asked)[0] == lures


def test_so_many_lines_are_the_nearest_ones_and_more_than_there_are_is_refused() -> None:
    found = plan_input(view(box=BOX), wish(lines=3))

    assert found.boat.positions == STANDARD_POSITIONS[:3]
    assert "this boat has 5 lines, not 7" in plan_for(wish(lines=7))[1]


def test_only_some_and_only_what_lies_in_a_tray() -> None:
    tray = Tray("red", tuple(TrayLure(f"Fast {size}") for size in (14, 10, 7, 6)))
    trays = {"load_trays": lambda: ([(tray, at("05:00"))], ())}

    jets, _ = plan_for(wish(only=("jet",)))
    red, said = plan_for(wish(from_tray="red"), **trays)

    assert jets == {"Fast 7", "Fast 5"}
    assert red == {"Fast 14", "Fast 10", "Fast 7", "Fast 6"}
    assert "only what is in the red tray (4 ready)" in said


@pytest.mark.parametrize(
    ("asked", "refusal"),
    [
        (wish(from_tray="blue"), "there is no blue tray"),
        (wish(without=("glow",), only=("rainbow",)), "only rainbow: no lure of that is ready"),
        (wish(keep=("shotgun",)), "nothing is out on the shotgun, so there is nothing to keep"),
        (wish(unused=("afternoon",)), "not used, because it was not understood: afternoon"),
        (Call("plan", species="opah"), "no practice for opah is known here"),
    ],
)
def test_what_cannot_be_met_is_refused_aloud(asked: Call, refusal: str) -> None:
    assert refusal in plan_for(asked)[1]


def test_positions_that_are_kept_keep_their_lures_and_the_rest_is_planned() -> None:
    out = log_of(("06:00", call("set", "short corner", "@Fast 9")), ("06:00", call("lines_in")))
    then = view(out, box=BOX)

    found = plan_input(then, wish(keep=("short corner",)))
    plan = build_plan(then, found)

    assert [one.position for one in plan.positions] == list(STANDARD_POSITIONS[1:])
    assert "Fast 9" not in plan.lures
    # The long corner runs as far back as it does in a spread of five.
    assert (
        plan.positions[0].back_m
        == build_plan(then, plan_input(then, Call("plan"))).positions[1].back_m
    )


def test_for_a_fish_its_sizes_go_first_and_it_is_said_that_this_is_practice() -> None:
    tuna, said = plan_for(Call("plan", species="yellowfin tuna"))
    marlin, _ = plan_for(Call("plan", species="blue marlin"))

    # Common practice, no source: small straight runners for tuna, large lures for blue marlin.
    assert {"Fast 5", "Fast 6", "Fast 7", "Fast 8"} <= tuna
    assert {"Fast 14", "Fast 12", "Fast 10", "Fast 9"} <= marlin
    assert "common practice" in said


def test_a_fish_with_teeth_brings_its_caution() -> None:
    assert "it bites leaders through" in plan_for(Call("plan", species="wahoo"))[1]


def test_for_rough_water_heads_that_hold_go_before_those_that_blow_out() -> None:
    lures, _ = plan_for(wish(sea="rough"))

    # Common practice, no source: cupped and blunt heads blow out in a rough sea.
    assert lures == {"Fast 10", "Fast 8", "Fast 7", "Fast 6", "Fast 5"}


def test_for_calm_water_heads_that_stir_it_go_first() -> None:
    lures, said = plan_for(wish(sea="calm"))

    # Common practice, no source: cupped, blunt and slanted heads show more in a calm sea.
    assert {"Fast 14", "Fast 12", "Fast 10", "Fast 9"} < lures
    assert "for calm water: heads that stir it up (cupped, blunt, slanted) first" in said


def test_the_limits_of_a_class_stand_beside_the_word_for_it() -> None:
    # Classes of the International Angling Rules; what each carries is common practice, no source.
    heavy = class_words(view(boat=RODS), "heavy")

    assert heavy.startswith(
        "24 kg, the heaviest rigged: lures to 12 in (to 16 with a practised crew)"
    )
    assert "medium hooks, strike drag 7.2 kg" in heavy
    assert class_words(view(), "heavy").startswith("37 kg: lures to 16 in")
    assert class_words(view(), None) == ""


def test_the_distance_stands_with_every_position_and_why_has_rod_hooks_and_leader() -> None:
    then = view(box=BOX, boat=RODS)
    found = asked_plan(then, Call("plan"))
    assert found.offer is not None
    offered = Asked("p", "Log it?", found.offer.options, then.now, about=Call("plan"))

    line = next(one for one in found.text.splitlines() if one.startswith("long corner"))
    reason = explain_plan(then, Call("ask_why", position="long corner"), offered).text
    assert " m back on wave " in line
    assert "24 kg rod, strike drag 7.2 kg, 2 medium hooks, leader 4 m of 150 kg." in reason


def test_another_plan_keeps_the_wishes_of_the_one_before() -> None:
    first = plan_input(
        view(box=BOX), Call("plan", species="wahoo", meant=(SpreadWish(without=("red",)),))
    )

    found = plan_input(view(box=BOX), Call("plan"), first.call)

    assert found.call.species == "wahoo"
    assert found.wish.without == ("red",)


def test_lures_that_are_to_be_in_it_are_there_where_they_are_wished() -> None:
    named = wish(lures=("Fast 5", "Fast 12"), lures_at=("short corner", ""))
    then = view(box=BOX)

    found = asked_plan(then, named)
    plan = build_plan(then, plan_input(then, named))

    assert {one.position: one.lure for one in plan.positions}["short corner"] == "Fast 5"
    assert "Fast 12" in plan.lures
    assert len(plan.positions) == len(STANDARD_POSITIONS)
    assert "With Fast 5 on the short corner." in found.text


@pytest.mark.parametrize(
    ("name", "position", "why"),
    [
        ("Slow 10", "shotgun", "Slow 10 runs up to 6 knots, not at 8, so it is not planned"),
        ("Fast 14", "shotgun", "Fast 14 is left out: Fast 14 (14-inch) is large for 8 kg"),
        ("Fast 9", "left long", "Fast 9: no line of this plan is the left long"),
        ("Old Boot", "", "No Old Boot is in the box"),
        ("rainbow 5", "shotgun", "No rainbow 5 is in the box"),
    ],
)
def test_a_lure_that_cannot_be_in_it_is_refused_with_why(
    name: str, position: str, why: str
) -> None:
    light = replace(RODS, outfits=(*RODS.outfits[:-1], Outfit("shotgun", 8)))
    found = asked_plan(view(box=BOX, boat=light), wish(lures=(name,), lures_at=(position,)))

    assert why in found.text
    assert f"With {name}" not in found.text


def test_a_lure_is_described_by_its_colours_and_size() -> None:
    found = asked_plan(view(box=BOX), wish(lures=("silver 6",), lures_at=("long rigger",)))

    assert "With Fast 6 on the long rigger." in found.text


def test_what_is_kept_and_does_not_run_at_the_speed_of_the_plan_is_said() -> None:
    out = log_of(("06:00", call("set", "shotgun", "@Slow 8")), ("06:00", call("lines_in")))
    kept = wish(keep=("shotgun",)).with_slots(speed_kn=8.0)

    assert "Slow 8 is kept, but runs up to 6 knots, not at 8" in plan_for_view(out, kept)


def plan_for_view(records: tuple[Record, ...], asked: Call) -> str:
    return "; ".join(plan_input(view(records, box=BOX), asked).refused)


def test_a_lure_that_was_wished_stays_in_another_plan_and_in_a_spread_that_is_not_full() -> None:
    few = [lure for lure in BOX if lure.name in ("Slow 10", "Slow 8", "Slow 6")]
    first = plan(few, RODS, speed_kn=6.0, must={"Slow 8": "shotgun"})
    other = plan(BOX, RODS, avoid=[frozenset({"Fast 12"})], must={"Fast 12": ""})

    assert {one.position: one.lure for one in first.positions}["shotgun"] == "Slow 8"
    assert "Fast 12" in other.lures
