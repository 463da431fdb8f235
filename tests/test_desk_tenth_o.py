"""What is made ready in the evening, and days with trays and plans; common practice, no source."""

from datetime import timedelta
from pathlib import Path

import pytest

from bot import Desk
from bot.messages import Picture, Reply
from bot.transports.chat import show_reply
from tests.desk_rig import (
    STANDS,
    at,
    boxed,
    call,
    doubtful,
    rigged,
    rows,
    scripted,
    standing,
    tone,
)

BOX = (
    "name,head,size_in,colours,hook_gauge,ready,speed_min_kn,speed_max_kn\n"
    "Church Hat,blunt,10,purple black,heavy,yes,6,9\n"
    "Tea Cosy,slanted,8,green,medium,yes,6,9\n"
    "Rusty Nail,slim,7,brown orange,medium,yes,6,10\n"
    "Broom Handle,jet,6,silver blue,light,yes,6,11\n"
    "Sunken Lane,plug,7,purple pink,medium,yes,4,9\n"
)


def said(desk: Desk, *lines: str, day: int = 0, crew: str = "Mate") -> Reply:
    """Return the last reply to lines such as `06:00 lines in`, said some days after the first."""
    reply = Reply("")
    for line in lines:
        clock, text = line.split(maxsplit=1)
        reply = desk.say(text, crew=crew, at=at(clock) + timedelta(days=day))
    return reply


EVENING = ("18:10 trip start", "18:20 casting outfit is ready", "19:10 trip over")
MORNING = ("05:00 trip start", "05:10 set shotgun broom handle")
HOME_AGAIN = ("12:00 lines out", "12:30 trip over")


def test_what_stands_by_since_the_evening_is_ready_in_the_morning(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        said(desk, *EVENING)
        lines_in = said(desk, *MORNING, "05:20 lines in", day=1)
        on_top = said(desk, "06:00 fish on top", day=1)

    assert "casting outfit" not in lines_in.text
    assert "The casting outfit is ready." in on_top.text


def test_after_a_days_fishing_it_is_called_ready_anew(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        said(desk, *EVENING)
        said(desk, *MORNING, "05:20 lines in", *HOME_AGAIN, day=1)
        evening = said(desk, "18:00 is the casting outfit ready", day=1)
        lines_in = said(desk, *MORNING, "05:20 lines in", day=2)

    assert "has not been called ready" in evening.text
    assert "The casting outfit has not been called ready" in lines_in.text


def test_packing_list_lines_in_and_the_question_agree_on_the_deep_diver(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        said(desk, "18:10 tray deep: sunken lane")
        packed = said(desk, "18:20 packing list")
        asked = said(desk, "18:21 is the deep diver ready")
        lines_in = said(desk, *MORNING, "05:20 lines in", day=1)

    assert "Deep diver (for fish marked deep): ready." in packed.text
    assert "The deep diver is ready: Sunken Lane" in asked.text
    assert "deep diver" not in lines_in.text


def test_a_diver_that_needs_work_is_ready_nowhere(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        said(desk, "18:10 tray deep: sunken lane", "18:15 sunken lane needs new hooks")
        packed = said(desk, "18:20 packing list")
        asked = said(desk, "18:21 is the deep diver ready")
        lines_in = said(desk, *MORNING, "05:20 lines in", day=1)

    assert "Deep diver (for fish marked deep): not called ready." in packed.text
    assert "has not been called ready" in asked.text
    assert "deep diver has not been called ready" in lines_in.text


def acts(home: Path, *names: str) -> list[tuple[object, ...]]:
    """Return slots of the entries that stand, act first, without lines in and the start."""
    dull = ("trip_start", "trip_end", "lines_in", "lines_out")
    found = [row for row in rows(home, STANDS) if row["act"] not in dull]
    return [(row["act"], *(row[name] for name in names)) for row in found]


@pytest.mark.parametrize(
    ("told", "held"),
    [("casting outfit is ready, it's the broom handle on the spinning rod", "Broom Handle"),
     ("the pitch rod is rigged with the broom handle", "Broom Handle"),
     ("casting outfit's ready, with a popper on it", None)],
)  # fmt: skip
def test_an_outfit_that_is_ready_may_be_told_with_its_lure(
    tmp_path: Path, told: str, held: str | None
) -> None:
    with boxed(tmp_path, BOX) as desk:
        said(desk, "18:10 trip start", f"18:20 {told}")
        asked = said(desk, "18:21 is the casting outfit ready")

    assert acts(tmp_path, "lure", "tray")[0] == ("ready", "casting outfit", None)
    assert acts(tmp_path, "lure", "tray")[1:] == ([("tray", held, "casting")] if held else [])
    assert "The casting outfit is ready" in asked.text
    assert (held or "") in asked.text


@pytest.mark.parametrize(
    "told", ["is the casting outfit ready, it's the broom handle", "casting outfit ready?"]
)
def test_whether_an_outfit_is_ready_is_asked_and_not_logged(tmp_path: Path, told: str) -> None:
    with boxed(tmp_path, BOX) as desk:
        answer = said(desk, "18:10 trip start", f"18:20 {told}")

    assert "has not been called ready" in answer.text
    assert acts(tmp_path) == []


def test_an_outfit_that_is_ready_and_lines_in_are_two_calls(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        asked = said(desk, *MORNING, "05:20 casting outfit is rigged and ready. lines in now")
        if asked.ask:
            said(desk, "05:20:10 second")

    assert ("ready", "casting outfit") in acts(tmp_path, "lure")
    assert "lines_in" in [row["act"] for row in rows(tmp_path, STANDS)]


@pytest.mark.parametrize(
    "told",
    ["bird pile two o'clock, fish on top", "fish on top with birds, two o'clock", "birds and fish on top",
     "birds at two o'clock and fish breaking on the surface"],
)  # fmt: skip
def test_fish_on_top_beside_birds_are_seen_and_cast_to(tmp_path: Path, told: str) -> None:
    with boxed(tmp_path, BOX) as desk:
        answer = said(desk, *MORNING, "05:20 lines in", f"06:00 {told}")

    assert [what for act, what in acts(tmp_path, "what") if act == "sighting"] == [
        "birds",
        "jumping fish",
    ]
    assert "On top: cast to them." in answer.text


@pytest.mark.parametrize(
    "told",
    ["birds working, no fish on top", "birds two o'clock, if there's fish on top we cast",
     "weed line, birds on top of it"],
)  # fmt: skip
def test_birds_without_fish_on_top_bring_up_no_cast(tmp_path: Path, told: str) -> None:
    with boxed(tmp_path, BOX) as desk:
        answer = said(desk, *MORNING, "05:20 lines in", f"06:00 {told}")

    assert "jumping fish" not in [what for _, what in acts(tmp_path, "what")]
    assert "cast to them" not in answer.text


@pytest.mark.parametrize(
    "told", ["cleared the rest", "got the rest in", "the rest are in", "the others are all up"]
)
def test_the_rest_never_is_the_line_with_the_fish(tmp_path: Path, told: str) -> None:
    lines = ("07:00 marlin on, long rigger", "07:01 clear the corners", f"07:02 {told}")
    with rigged(tmp_path, BOX, *lines) as desk:
        again = call(desk, f"07:04 {told}")

    places = ["short corner", "long corner", "short rigger", "shotgun"]
    assert [row["position"] for row in standing(tmp_path, "clear")] == places
    assert again.text == "Nothing to bring in: no line without a fish is out."


def test_without_a_fish_the_rest_are_all_other_lines(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX, "07:01 clear the corners", "07:02 the rest are in"):
        pass

    assert len(standing(tmp_path, "clear")) == 5


def test_why_of_a_tray_planned_says_nothing_of_lures_that_nobody_asked_for(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        why = said(desk, "18:10 plan the heavy tray for marlin", "18:11 why")

    assert "Church Hat" in why.text
    assert "asked for cannot" not in why.text


def test_what_a_wish_leaves_out_is_not_called_missing(tmp_path: Path) -> None:
    more = (
        BOX + "Iron Bath,cupped,12,black red,heavy,yes,6,9\nTin Hut,blunt,12,white,heavy,yes,6,9\n"
    )
    with boxed(tmp_path, more) as desk:
        why = said(desk, "18:10 plan a spread with nothing over eight inches", "18:11 why")
    (tmp_path / "rough").mkdir()
    with boxed(tmp_path / "rough", more) as desk:
        rough = said(desk, "18:12 plan a spread for rough water", "18:13 why")

    assert "No ready lure over 8 inches is among what was asked for" in why.text
    assert "lure ready" not in rough.text


@pytest.mark.parametrize(
    ("plan", "lure", "why"),
    [("plan a spread without church hat", "church hat", "not for what was asked: without Church Hat"),
     ("plan a spread, only green", "church hat", "not for what was asked: only green"),
     ("plan a spread", "slow boat", "runs at 3 to 5 knots, not at 8")],
)  # fmt: skip
def test_why_a_lure_is_not_in_a_plan_is_the_wish_or_the_speed(
    tmp_path: Path, plan: str, lure: str, why: str
) -> None:
    with boxed(tmp_path, BOX + "Slow Boat,cupped,9,red,medium,yes,3,5\n") as desk:
        answer = said(desk, f"18:10 {plan}", f"18:11 why not the {lure}")

    assert why in answer.text


def test_a_lure_set_where_it_hangs_already_fishes_on(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX, "07:00 put the deep diver on the gun") as desk:
        again = call(desk, "07:10 deep diver to the shotgun")
        named = call(desk, "07:11 sunken lane on the shotgun")

    assert again.text == named.text == "Sunken Lane is on the shotgun already."
    assert [row["position"] for row in standing(tmp_path, "set")].count("shotgun") == 2


def test_a_lure_set_on_a_line_that_fishes_says_what_came_out(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX) as desk:
        answer = call(desk, "07:00 put the tea cosy on the gun")

    assert answer.text.startswith("Set, shotgun: Tea Cosy (green 8-inch); Broom Handle (silver")


SWAPPED = "07:00 swap the shotgun for tea cosy"


@pytest.mark.parametrize(
    "told", ["no, not the tea cosy, put the broom handle back", "no, put the broom handle back"]
)
def test_a_lure_put_back_at_once_never_left(tmp_path: Path, told: str) -> None:
    with rigged(tmp_path, BOX, SWAPPED) as desk:
        answer = call(desk, f"07:01 {told}")
        out = {lure.position: lure.set_at for lure in desk.view().trip.spread.values()}

    assert answer.text.startswith("Undone: swap, shotgun")
    assert out["shotgun"] == at("06:03")


def test_a_lure_put_back_later_goes_out_anew_and_the_other_has_fished(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX, SWAPPED) as desk:
        answer = call(desk, "07:20 no, not the tea cosy, the broom handle back on")

    assert answer.text.startswith(
        "Swap, shotgun: Broom Handle (silver and blue 6-inch) for Tea Cosy (green 8-inch), 20 min"
    )
    assert len(standing(tmp_path, "swap")) == 2


def test_a_correction_to_a_third_lure_stays_one(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX, SWAPPED) as desk:
        answer = call(desk, "07:01 no, it was the church hat")

    assert answer.text.startswith("Corrected: swap, shotgun: Church Hat")
    assert "for Tea Cosy" not in answer.text
    assert [row["lure"] for row in standing(tmp_path, "swap")] == ["Church Hat"]


TOM = ("07:00 strike long rigger", "07:00 hooked up", "07:01 Tom's on it", "07:05 he's off")


def test_who_was_on_a_fish_is_given_no_later_one_of_that_line(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX, *TOM, "08:00 strike long rigger", "08:00 pulled the hook") as desk:
        anglers = [fish.angler for fish in desk.view().trip.fish]

    assert anglers == ["Tom", None]


def test_who_takes_a_rod_before_has_what_bites_there(tmp_path: Path) -> None:
    lines = (
        "06:50 Tom has the long rigger",
        *TOM[:2],
        "07:05 he's off",
        "08:00 hooked up long rigger",
    )
    with rigged(tmp_path, BOX, *lines) as desk:
        anglers = [fish.angler for fish in desk.view().trip.fish]

    assert anglers == ["Tom", "Tom"]


def test_wind_alone_is_called_wind_and_a_trays_speed_what_it_is_for(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX) as desk:
        wind = call(desk, "07:00 wind's up to twenty knots")
        tray = call(desk, "07:01 put the tea cosy in tray two", "07:02 tray two is for nine knots")

    assert wind.text.startswith("Conditions: wind 20 kn")
    assert "for 9 kn" in tray.text


def test_what_is_out_names_the_empty_lines(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX) as desk:
        full = call(desk, "07:00 what's out")
        empty = call(desk, "07:01 clear the gun", "07:02 what's out")

    assert "Empty" not in full.text
    assert "Empty: shotgun." in empty.text.splitlines()


def test_an_unchecked_lure_of_a_tray_that_goes_out_is_told_once(tmp_path: Path) -> None:
    lines = ("07:00 put the tea cosy in tray two", "07:01 tea cosy needs new hooks")
    with rigged(tmp_path, BOX, *lines) as desk:
        answer = call(desk, "07:10 run tray two")

    assert "Out unchecked: Tea Cosy" in answer.text
    assert "goes out on" not in answer.text


def test_what_nobody_answered_is_named_under_what_is_out_for_an_hour(tmp_path: Path) -> None:
    with scripted(tmp_path, doubtful("strike short corner", 0.6)) as desk:
        call(desk, "06:30 lines in", "06:30 set short corner red ten")
        assert desk.hear(tone(), crew="Ana", at=at("07:00")).ask
        soon, late = call(desk, "07:20 what's out"), call(desk, "08:30 what's out")
        over = call(desk, "08:31 end of trip")

    told = 'Not answered, not logged: "strike short corner" 07:00.'
    assert [told in reply.text for reply in (soon, late, over)] == [True, False, True]


def test_a_terminal_names_the_commands_that_draw_spread_plan_and_tray() -> None:
    told = show_reply(Reply("Tray two: 1 lure.", pictures=(Picture(b"", "Tray two"),)))

    assert "deckcall tray card NAME" in told
    assert "--picture FILE.png" in told
