"""Which plan "set it" means, how it is changed, and words after a list; common practice, no source."""

from dataclasses import replace
from pathlib import Path

import pytest

from bot.calls.understand import Understanding
from bot.desk.offers import questions_now
from bot.messages import Advice
from bot.trip.call import from_json
from bot.trip.entry import Advised
from tests.desk_rig import STANDS, at, boxed, call, rows

BOX = (
    "name,head,size_in,colours,ready,speed_min_kn,speed_max_kn\n"
    "Church Hat,blunt,10,purple black,yes,6,9\nSunday Suit,slanted,12,black white,yes,6,9\n"
    "Screen Door,cupped,9,green gold,yes,6,9\nPickle Jar,slanted,11,green,yes,6,9\n"
    "Rusty Nail,slim,9,brown orange,yes,6,9\nBroom Handle,slim,10,silver blue,yes,6,9\n"
    "Little Nora,jet,9,pink white,yes,6,9\nTin Roof,slim,9,grey,yes,6,9\n"
    "Left Sock,slim,8,red,yes,6,9\n"
)
PLAN = "06:00 plan a spread for marlin at seven knots"


def out(home: Path) -> dict[str, str]:
    """Return the lures that were set, by line, the last one of each line."""
    return {r["position"]: r["lure"] for r in rows(home, STANDS) if r["act"] in ("set", "swap")}


def shown(text: str) -> dict[str, str]:
    """Return the lures of a plan, by line, as its reply shows them."""
    lines = (line.partition(": ") for line in text.splitlines() if " back on wave " in line)
    return {line: rest.partition(" (")[0] for line, _, rest in lines}


def test_set_it_after_undo_is_the_plan_shown_last(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, PLAN)
        plan = shown(call(desk, "06:00 not the sunday suit").text)
        call(desk, "06:01 set it", "06:01 undo")
        assert out(tmp_path) == {}
        call(desk, "06:01 set it")

    assert out(tmp_path) == plan
    assert "Sunday Suit" not in plan.values()


@pytest.mark.parametrize("said", ["06:01 set it", "06:01 do it", "06:01 yes"])
def test_a_plan_that_was_replaced_is_not_on_offer(tmp_path: Path, said: str) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, PLAN, "06:00 not the sunday suit", "06:01 no", said)

    assert out(tmp_path) == {}


def test_a_plan_of_another_trip_is_not_on_offer(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(
            desk, "05:50 trip start", "05:55 set shotgun little nora", PLAN, "06:00 trip end",
            "06:01 trip start", "06:01 set it",
        )  # fmt: skip
        assert list(out(tmp_path)) == ["shotgun"]


def test_a_plan_on_the_way_to_the_trip_is_on_offer(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, "05:30 trip start", "05:35 trip end", PLAN, "06:20 trip start", "06:30 set it")

    assert len(out(tmp_path)) == 5


@pytest.mark.parametrize("said", ["set it", "do it"])
def test_with_a_fish_on_only_a_plan_just_shown_is_set(tmp_path: Path, said: str) -> None:
    with boxed(tmp_path, BOX) as desk:
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
    with boxed(tmp_path, BOX) as desk:
        call(desk, "05:50 trip start", "05:55 set shotgun little nora", PLAN)
        view = desk.view(at("06:02"))
    later = Advised("~", Advice("shotgun", "Tin Roof", "why", 0.8, 0.1), at("06:01"))
    found = Understanding("do it", (from_json({"act": act}),), 0.99)

    assert len(questions_now(found, replace(view, records=(*view.records, later)))) == plans


@pytest.mark.parametrize(
    ("said", "line", "lure"),
    [
        ("put the tin roof on the short rigger instead", "short rigger", "Tin Roof"),
        ("tin roof on the long corner though", "long corner", "Tin Roof"),
        ("no, grey 9 on the long corner instead", "long corner", "Tin Roof"),
        ("rusty nail on the short corner instead of the sunday suit", "short corner", "Rusty Nail"),
    ],
)
def test_a_plan_on_offer_is_changed_and_shown_anew(
    tmp_path: Path, said: str, line: str, lure: str
) -> None:
    with boxed(tmp_path, BOX) as desk:
        first = shown(call(desk, PLAN).text)
        changed = shown(call(desk, f"06:01 {said}").text)
        assert rows(tmp_path, STANDS) == []
        call(desk, "06:02 set it")

    assert changed[line] == lure
    others = {place for place in first if place != line and first[place] != lure}
    assert {place: changed[place] for place in others} == {p: first[p] for p in others}
    assert out(tmp_path) == changed


def test_a_change_of_a_plan_keeps_the_wishes_said_before(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, PLAN, "06:00 not the sunday suit")
        plan = shown(
            call(desk, "06:01 tin roof on the long rigger though, not the rusty nail").text
        )
        call(desk, "06:01 set it")

    assert plan["long rigger"] == "Tin Roof"
    assert not {"Sunday Suit", "Rusty Nail"} & set(plan.values())
    assert out(tmp_path) == plan


def test_what_was_left_out_can_be_wished_for_again(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, PLAN, "06:00 not the sunday suit")
        plan = shown(call(desk, "06:01 put the sunday suit on the shotgun instead").text)

    assert plan["shotgun"] == "Sunday Suit"


@pytest.mark.parametrize(
    "lines",
    [
        (PLAN, "06:01 set the short rigger to tin roof"),
        (PLAN, "06:01 set it", "06:02 put the tin roof on the short rigger instead"),
        (PLAN, "06:01 no", "06:01 put the tin roof on the short rigger instead"),
    ],
)
def test_a_lure_that_goes_out_is_logged(tmp_path: Path, lines: tuple[str, ...]) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *lines)

    assert out(tmp_path)["short rigger"] == "Tin Roof"


REMINDED = (
    "06:00 trip start", "06:00 set short corner church hat", "06:01 set shotgun rusty nail",
    "06:02 remind us to check for weed in an hour", "06:03 remind us to ice the fish at 8",
    "06:04 swap the shotgun to tin roof",
)  # fmt: skip


@pytest.mark.parametrize(
    ("said", "gone"),
    [
        ("cancel the weed one", "weed"),
        ("drop the ice one", "ice"),
        ("forget the one about the weed", "weed"),
        ("cancel the lunch one", ""),
    ],
)
def test_after_the_list_of_reminders_one_of_them_is_cancelled(
    tmp_path: Path, said: str, gone: str
) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *REMINDED, "06:05 what reminders do we have", f"06:06 {said}")

    notes = [r["text"] for r in rows(tmp_path, STANDS) if r["act"] == "note"]
    assert [any(word in note for note in notes) for word in ("weed", "ice")] == [
        gone != "weed", gone != "ice",
    ]  # fmt: skip
    assert out(tmp_path)["shotgun"] == "Tin Roof"


def test_without_a_list_of_reminders_the_one_is_no_reminder(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *REMINDED, "06:05 what reminders do we have", "06:06 swap shotgun to rusty nail")
        call(desk, "06:06 cancel the swap")

    assert len([r for r in rows(tmp_path, STANDS) if r["act"] == "note"]) == 2
    assert out(tmp_path)["shotgun"] == "Tin Roof"


@pytest.mark.parametrize(
    "said",
    [
        "left sock gone or not", "is left sock gone or not", "tin roof bent or what",
        "is little nora lost or not, pete", "so is the short corner fouled or not",
    ],
)  # fmt: skip
def test_whether_or_not_is_a_question(tmp_path: Path, said: str) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, "06:00 trip start", "06:00 set short corner church hat")
        before = len(rows(tmp_path, STANDS))
        call(desk, f"06:01 {said}")

    assert len(rows(tmp_path, STANDS)) == before


@pytest.mark.parametrize("said", ["strike short corner believe it or not", "strike short corner"])
def test_what_is_only_believed_or_not_is_logged(tmp_path: Path, said: str) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, "06:00 set short corner church hat", "06:00 lines in", f"06:10 {said}")

    assert "strike" in [r["act"] for r in rows(tmp_path, STANDS)]
