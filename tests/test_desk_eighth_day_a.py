"""Which plan "set it" means, how it is changed, and words after a list; common practice, no source."""

from dataclasses import replace
from pathlib import Path

import pytest

from bot import Desk
from bot.calls.understand import Understanding
from bot.desk.offers import questions_now
from bot.messages import Advice
from bot.trip.call import Call
from bot.trip.entry import Advised
from tests.desk_rig import at, call, rows

BOX = (
    "name,head,size_in,colours,ready,speed_min_kn,speed_max_kn\n"
    "Church Hat,blunt,10,purple black,yes,6,9\nSunday Suit,slanted,12,black white,yes,6,9\n"
    "Screen Door,cupped,9,green gold,yes,6,9\nPickle Jar,slanted,11,green,yes,6,9\n"
    "Rusty Nail,slim,9,brown orange,yes,6,9\nBroom Handle,slim,10,silver blue,yes,6,9\n"
    "Little Nora,jet,9,pink white,yes,6,9\nTin Roof,slim,9,grey,yes,6,9\n"
    "Left Sock,slim,8,red,yes,6,9\n"
)
PLAN = "06:00 plan a spread for marlin at seven knots"
STANDS = "SELECT * FROM entries WHERE NOT void ORDER BY at, id"


def boat(home: Path) -> Desk:
    """Return a desk with a box of nine lures that are ready."""
    (home / "lures.csv").write_text(BOX)
    desk = Desk(home)
    desk.box_import(home / "lures.csv")
    return desk


def out(home: Path) -> dict[str, str]:
    """Return the lures that were set, by line, the last one of each line."""
    return {r["position"]: r["lure"] for r in rows(home, STANDS) if r["act"] in ("set", "swap")}


def shown(text: str) -> dict[str, str]:
    """Return the lures of a plan, by line, as its reply shows them."""
    lines = (line.partition(": ") for line in text.splitlines() if " back on wave " in line)
    return {line: rest.partition(",")[0] for line, _, rest in lines}


def test_set_it_after_undo_is_the_plan_shown_last(tmp_path: Path) -> None:
    with boat(tmp_path) as desk:
        call(desk, PLAN)
        plan = shown(call(desk, "06:00 not the sunday suit").text)
        call(desk, "06:01 set it", "06:01 undo")
        assert out(tmp_path) == {}
        call(desk, "06:01 set it")

    assert out(tmp_path) == plan
    assert "Sunday Suit" not in plan.values()


@pytest.mark.parametrize("said", ["06:01 set it", "06:01 do it", "06:01 yes"])
def test_a_plan_that_was_replaced_is_not_on_offer(tmp_path: Path, said: str) -> None:
    with boat(tmp_path) as desk:
        call(desk, PLAN, "06:00 not the sunday suit", "06:01 no", said)

    assert out(tmp_path) == {}


def test_a_plan_of_another_trip_is_not_on_offer(tmp_path: Path) -> None:
    with boat(tmp_path) as desk:
        call(
            desk, "05:50 trip start", "05:55 set shotgun little nora", PLAN, "06:00 trip end",
            "06:01 trip start", "06:01 set it",
        )  # fmt: skip
        assert list(out(tmp_path)) == ["shotgun"]


def test_a_plan_on_the_way_to_the_trip_is_on_offer(tmp_path: Path) -> None:
    with boat(tmp_path) as desk:
        call(desk, "05:30 trip start", "05:35 trip end", PLAN, "06:20 trip start", "06:30 set it")

    assert len(out(tmp_path)) == 5


@pytest.mark.parametrize("said", ["set it", "do it"])
def test_with_a_fish_on_only_a_plan_just_shown_is_set(tmp_path: Path, said: str) -> None:
    with boat(tmp_path) as desk:
        call(
            desk, "05:50 trip start", "05:55 set shotgun little nora", "05:56 lines in", PLAN,
            "06:01 fish on, shotgun", f"06:01 {said}",
        )  # fmt: skip
        assert list(out(tmp_path)) == ["shotgun"]
        call(desk, "06:01 plan a spread for tuna", f"06:02 {said}")

    assert len(out(tmp_path)) > 1


@pytest.mark.parametrize(("act", "plans"), [("yes", 0), ("ask_next", 1)])
def test_a_change_proposed_after_a_plan_is_what_yes_means(
    tmp_path: Path, act: str, plans: int
) -> None:
    with boat(tmp_path) as desk:
        call(desk, "05:50 trip start", "05:55 set shotgun little nora", PLAN)
        view = desk.view(at("06:02"))
    later = Advised("~", Advice("shotgun", "Tin Roof", "why", 0.8, 0.1), at("06:01"))
    found = Understanding("do it", (Call(act),), 0.99)

    assert len(questions_now(found, replace(view, records=(*view.records, later)))) == plans
