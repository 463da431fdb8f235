"""Bites, lines in and out, times and units of a sixth day aboard: common practice, no source."""

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from bot import Desk
from bot.trip.call import Call
from bot.trip.meant import ExactClock
from bot.trip.times import when
from tests.desk_rig import call, rows

BEGIN = (
    "04:30 trip start", "06:30 set short corner red ten", "06:30 set long corner blue 12",
    "06:31 set long rigger purple 8", "06:31 set shotgun green 6", "06:32 lines in",
)  # fmt: skip
FIVE_PAST_FIVE = datetime(2026, 3, 14, 17, 5, tzinfo=UTC)
BEFORE_DAWN = datetime(2026, 3, 14, 4, 30, tzinfo=UTC)


def standing(home: Path, *columns: str) -> list[tuple[object, ...]]:
    query = f"SELECT {', '.join(columns)} FROM entries WHERE NOT void ORDER BY at, id"
    return [tuple(row[name] for name in columns) for row in rows(home, query)]


def told(home: Path, *columns: str) -> list[tuple[object, ...]]:
    """Return what stands after the beginning of the day."""
    return standing(home, *columns)[len(BEGIN) :]


# Lines out


@pytest.mark.parametrize(
    "said", ["that's it, lines in the boat", "all lines are in the boat", "lines are all aboard"]
)
def test_lines_in_the_boat_are_out_of_the_water(tmp_path: Path, said: str) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *BEGIN, f"16:00 {said}")

    assert told(tmp_path, "act") == [("lines_out",)]


def test_lines_in_the_boat_after_they_were_pulled_do_not_go_in_again(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *BEGIN, "16:00 pull em", "16:05 all lines are in the boat")

    assert {act for (act,) in told(tmp_path, "act")} == {"lines_out"}


def test_lines_in_the_water_are_in(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *BEGIN, "16:00 lines out", "16:20 lines back in the water")

    assert told(tmp_path, "act") == [("lines_out",), ("lines_in",)]


# Times


def test_a_time_without_its_half_of_the_day_is_the_last_such_time(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *BEGIN, "17:01 lines out at five")

    assert told(tmp_path, "act", "at") == [("lines_out", "2026-03-14T17:00:00Z")]


@pytest.mark.parametrize(
    "said", ["lines out at 5 am", "lines out at five this morning", "lines out 0500"]
)
def test_a_time_with_its_half_of_the_day_stays(tmp_path: Path, said: str) -> None:
    with Desk(tmp_path) as desk:
        call(desk, "04:30 trip start", "04:40 lines in", f"17:01 {said}")

    outs = [at for act, at in standing(tmp_path, "act", "at") if act == "lines_out"]
    assert outs == ["2026-03-14T05:00:00Z"]


@pytest.mark.parametrize(
    ("told_as", "meant"),
    [
        (Call("strike", clock="05:00"), 17),
        (Call("strike", clock="05:00", meant=(ExactClock(),)), 5),
        (Call("strike", clock="09:00"), 9),
        (Call("lines_in", clock="05:00"), 5),
        (Call("strike", clock="17:00"), 17),
    ],
)
def test_which_half_of_the_day_a_time_is_in(told_as: Call, meant: int) -> None:
    assert when(told_as, FIVE_PAST_FIVE, UTC, BEFORE_DAWN).hour == meant


def test_a_time_before_the_trip_is_none_of_it() -> None:
    begun = FIVE_PAST_FIVE - timedelta(hours=1)

    assert when(Call("note", clock="03:00"), FIVE_PAST_FIVE, UTC, begun).hour == 3


# Units

WEIGHED = (*BEGIN, "07:00 boated a mahi, 20 pounds, short corner")
LET_GO = ("10:00 fish on long corner, blue marlin", "10:40 released him")


@pytest.mark.parametrize("said", ["call him 350", "say 350", "10:41 he's about 350"])
def test_a_bare_weight_is_in_the_unit_of_the_trip(tmp_path: Path, said: str) -> None:
    with Desk(tmp_path) as desk:
        reply = call(desk, *WEIGHED, *LET_GO, f"10:41 {said.removeprefix('10:41 ')}")

    assert "350 lb (158.8 kg)" in reply.text


def test_a_bare_weight_with_a_catch_is_in_the_unit_of_the_trip(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        reply = call(desk, *WEIGHED, "10:00 boated a wahoo on the long rigger, 45")

    assert "45 lb (20.4 kg)" in reply.text


def test_a_bare_weight_of_a_trip_without_weights_is_in_kilos(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        reply = call(desk, *BEGIN, *LET_GO, "10:41 call him 350")

    assert "350 kg" in reply.text


@pytest.mark.parametrize(
    "said", ["pounds, not kilos", "i meant pounds", "no, that was pounds", "not kilos"]
)
def test_a_unit_alone_changes_the_unit_and_keeps_the_number(tmp_path: Path, said: str) -> None:
    with Desk(tmp_path) as desk:
        reply = call(desk, *BEGIN, *LET_GO, "10:41 call him 350", f"10:42 {said}")

    assert "350 lb (158.8 kg)" in reply.text
    assert told(tmp_path, "act", "weight_kg")[-1] == ("release", 158.8)


def test_kilos_after_pounds_keep_the_number_too(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *BEGIN, LET_GO[0], "10:40 released him, 160 pounds", "10:42 sorry, kilos")

    assert told(tmp_path, "act", "weight_kg")[-1] == ("release", 160)


def test_a_unit_alone_with_nothing_measured_changes_nothing(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        reply = call(desk, *BEGIN, "10:42 pounds, not kilos")

    assert "Nothing was measured" in reply.text
    assert told(tmp_path, "act") == []


def test_a_drag_put_right_by_a_number_alone_is_no_weight_of_a_fish(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *WEIGHED, "10:00 short corner is eleven kilos on the scale", "10:01 no, twelve")

    assert told(tmp_path, "act", "drag_kg")[-1] == ("drag", 12)


# The bite before


@pytest.mark.parametrize(
    "said",
    ["that one earlier was on the long corner", "that raise was on the long corner"],
)
def test_the_bite_before_gets_its_line_and_no_lure_moves(tmp_path: Path, said: str) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *BEGIN, "10:00 raised a fish", "10:20 set short rigger pink 10", f"10:44 {said}")

    assert told(tmp_path, "act", "position") == [("raise", "long corner"), ("set", "short rigger")]


def test_a_line_right_after_a_lure_went_out_is_that_lures(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(
            desk,
            *BEGIN,
            "10:00 raised a fish",
            "10:20 set short rigger pink 10",
            "10:21 no, long corner",
        )

    assert told(tmp_path, "act", "position") == [("raise", None), ("set", "long corner")]


# Doubles


def test_one_more_on_its_own_line_is_another_fish(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *BEGIN, "10:00 he's on he's on")
        reply = desk.say(
            "and one on the gun! double!",
            crew="Skipper",
            at=datetime(2026, 3, 14, 10, 0, 20, tzinfo=UTC),
        )

    assert "2 fish on now" in reply.text
    assert told(tmp_path, "act", "position") == [("hookup", None), ("hookup", "shotgun")]


def test_the_line_of_the_same_fish_called_by_another_is_no_second_fish(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *BEGIN, "10:00 he's on he's on")
        desk.say(
            "fish on, shotgun", crew="Skipper", at=datetime(2026, 3, 14, 10, 0, 20, tzinfo=UTC)
        )

    assert told(tmp_path, "act", "position") == [("hookup", "shotgun")]


def test_a_double_beside_a_fish_that_is_on_is_one_more(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *BEGIN, "10:00 fish on, long corner", "10:01 strike short corner too!! double")
        both = call(desk, "10:02 on")
        call(desk, "10:20 lost him on the long corner", "10:30 boated the other one")
        after = call(desk, "10:31 what next")

    assert "2 fish on now" in both.text
    assert told(tmp_path, "act", "count")[1] == ("strike", None)
    assert "a fish is on" not in after.text


def test_both_on_said_again_makes_no_more_fish(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *BEGIN, "10:00 fish on, long corner", "10:01 fish on, short corner")
        call(desk, "10:02 both on")

    assert len(told(tmp_path, "act")) == 2


@pytest.mark.parametrize(
    ("said", "many"),
    [
        ("two bites on the shotgun, missed both", 2),
        ("two strikes on the shotgun, missed both of em", 2),
        ("strike on the shotgun, missed him", 1),
    ],
)
def test_bites_that_were_missed_are_counted(tmp_path: Path, said: str, many: int) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *BEGIN, f"10:00 {said}")

    assert told(tmp_path, "act", "position") == [("strike", "shotgun"), ("miss", "shotgun")] * many


# Bearings


@pytest.mark.parametrize(
    ("said", "side"),
    [
        ("birds, eleven o'clock", "port"),
        ("birds at two o'clock", "starboard"),
        ("birds at twelve o'clock", None),
        ("weed line, ten o'clock", "port"),
    ],
)
def test_a_thing_seen_at_an_hour_is_seen_there_and_now(
    tmp_path: Path, said: str, side: str | None
) -> None:
    with Desk(tmp_path) as desk:
        reply = call(desk, *BEGIN, f"07:20 {said}")

    assert told(tmp_path, "act", "at", "side") == [("sighting", "2026-03-14T07:20:00Z", side)]
    assert "o'clock off the bow" in reply.text


def test_a_strike_at_an_hour_was_then(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *BEGIN, "09:20 strike long rigger at nine o'clock")

    assert told(tmp_path, "at") == [("2026-03-14T09:00:00Z",)]


# The fish or the animal


def test_a_dolphin_on_a_hook_is_asked_about(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *BEGIN, "10:00 fish on short corner")
        asked = call(desk, "10:10 its a dolphin!")

    assert asked.ask is not None
    assert "fish or the animal" in asked.ask
    assert [one.label for one in asked.buttons][:2] == ["Mahi-mahi", "Dolphin"]
    assert told(tmp_path, "act", "species") == [("hookup", None)]


def test_a_crew_that_called_mahi_a_dolphin_means_that(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *BEGIN, "10:00 fish on short corner", "10:10 its a dolphin!", "10:10:30 mahi")
        call(desk, "10:20 dolphin in the boat")
        again = call(desk, "11:00 dolphin on, shotgun")

    assert again.ask is None
    assert [species for (species,) in told(tmp_path, "species")] == ["mahi-mahi"] * 3


def test_the_animal_that_is_on_stays_the_animal(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *BEGIN, "10:00 fish on short corner", "10:10 its a dolphin!", "10:10:30 second")
        freed = call(desk, "10:20 released the dolphin")

    assert freed.ask is None
    assert "no catch" in freed.text


@pytest.mark.parametrize(
    ("said", "act", "species"),
    [
        ("its a porpoise", "hookup", "dolphin"),
        ("boated a dolphinfish", "boat", "mahi-mahi"),
        ("boated a dolphin, I mean mahi", "boat", "mahi-mahi"),
        ("boated a dolphin, twenty pounds", "boat", "mahi-mahi"),
        ("released a small dolphin, twenty inches", "release", "mahi-mahi"),
    ],
)
def test_a_word_that_means_one_of_them_is_not_asked_about(
    tmp_path: Path, said: str, act: str, species: str
) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *BEGIN, "10:00 fish on short corner")
        reply = call(desk, f"10:10 {said}")

    assert reply.ask is None
    assert told(tmp_path, "act", "species")[-1] == (act, species)


# The spread again

CLEARED = (
    *BEGIN, "10:00 fish on long corner", "10:01 clear everything else", "10:30 boated him, yellowfin",
)  # fmt: skip


@pytest.mark.parametrize("said", ["put the lines back out", "lines back in the water"])
def test_lines_that_were_cleared_for_a_fish_go_back_out(tmp_path: Path, said: str) -> None:
    with Desk(tmp_path) as desk:
        reply = call(desk, *CLEARED, f"11:20 {said}")

    laid = {position for act, position in told(tmp_path, "act", "position") if act == "set"}
    assert laid == {"short corner", "long rigger", "shotgun"}
    assert "Set" in reply.text


def test_a_lure_in_need_of_work_stays_in_the_boat(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        desk.box_import(_box(tmp_path))
        call(
            desk,
            "06:30 set shotgun broom handle",
            "06:31 set short corner church hat",
            "06:32 lines in",
        )
        call(
            desk,
            "10:00 clear the shotgun",
            "10:05 broom handle needs a new leader",
            "10:30 lines in",
        )

    assert [p for a, p in standing(tmp_path, "act", "position") if a == "set"] == [
        "shotgun", "short corner",
    ]  # fmt: skip


def _box(home: Path) -> Path:
    path = home / "lures.csv"
    path.write_text(
        "name,size_in,colours\nBroom Handle,6,silver blue\nChurch Hat,10,purple black\n"
    )
    return path


# Odd choices


@pytest.mark.parametrize(
    ("said", "act", "slots"),
    [
        ("turned north, 7 knots", "speed", ("speed_kn", 7)),
        ("heading west at 8 knots", "speed", ("speed_kn", 8)),
        ("wind's turned north, 7 knots", "conditions", ("wind_kn", 7)),
        ("raised something on the left", "raise", ("side", "port")),
    ],
)
def test_what_only_one_reading_can_be_is_not_asked(
    tmp_path: Path, said: str, act: str, slots: tuple[str, object]
) -> None:
    with Desk(tmp_path) as desk:
        reply = call(desk, *BEGIN, f"10:00 {said}")

    assert reply.ask is None
    assert told(tmp_path, "act", slots[0]) == [(act, slots[1])]


def test_a_lure_in_its_place_goes_where_the_last_one_was_lost(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *BEGIN, "10:00 strike long rigger", "10:01 bit him off")
        call(desk, "10:02 the pink ten in its place")

    assert told(tmp_path, "act", "position")[-1] == ("set", "long rigger")
