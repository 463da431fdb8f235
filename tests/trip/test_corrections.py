"""Undo and amend, as people say them."""

from bot.trip.call import Call
from bot.trip.entry import Entry, Record
from bot.trip.fold import fold
from bot.trip.history import standing_entries
from bot.trip.state import Trip
from tests.builders import at, call, log_of, said

OUT = log_of(
    ("06:30", call("trip_start")),
    ("07:00", call("lines_in")),
    ("07:00", call("set", "long corner", "black 12")),
    ("07:00", call("set", "long rigger", "purple 8")),
)


def acts(records: tuple[Record, ...]) -> list[str]:
    return [e.call.act for e in standing_entries(records)]


def state(records: tuple[Record, ...]) -> Trip:
    return fold(standing_entries(records))


def last(records: tuple[Record, ...], act: str) -> Call:
    return [e.call for e in standing_entries(records) if e.call.act == act][-1]


def test_an_undo_takes_back_the_whole_message() -> None:
    records = said(OUT, "08:00", call("strike", "long rigger"), call("hookup"))[1]

    records = said(records, "08:01", call("undo"))[1]

    assert state(records) == state(OUT)
    assert len([r for r in records if isinstance(r, Entry)]) == 6


def test_a_second_undo_goes_one_further_back() -> None:
    records = said(OUT, "08:00", call("strike", "long rigger"))[1]
    records = said(records, "08:01", call("undo"))[1]

    records = said(records, "08:02", call("undo"))[1]

    assert acts(records) == ["trip_start", "lines_in", "set"]


def test_an_undo_of_the_undo_brings_it_back() -> None:
    struck = said(OUT, "08:00", call("strike", "long rigger"))[1]
    records = said(struck, "08:01", call("undo"))[1]

    records = said(records, "08:02", call("undo", of_act="undo"))[1]

    assert standing_entries(records) == standing_entries(struck)


def test_an_undo_with_nothing_to_undo_is_refused() -> None:
    decision, records = said((), "08:00", call("undo"))

    assert decision.refused
    assert records == ()


def test_an_undo_may_name_its_entry() -> None:
    records = said(OUT, "08:00", call("strike", "long rigger"))[1]
    records = said(records, "09:00", call("strike", "long corner"))[1]

    records = said(records, "09:10", call("undo", of_act="strike", of_clock="08:02"))[1]

    assert [f.position for f in state(records).fish] == ["long corner"]


def test_undo_and_the_right_act_happen_when_the_wrong_one_did() -> None:
    records = said(OUT, "08:00", call("raise", "long rigger"))[1]

    records = said(records, "08:05", call("undo"), call("strike", "long rigger"))[1]

    assert state(records).fish[0].struck_at == at("08:00")
    assert state(records).fish[0].raised_at is None


def test_an_undo_of_undo_and_act_restores_what_was() -> None:
    before = said(OUT, "08:00", call("raise", "long rigger"))[1]
    records = said(before, "08:05", call("undo"), call("strike", "long rigger"))[1]

    records = said(records, "08:06", call("undo"))[1]

    assert standing_entries(records) == standing_entries(before)


def test_a_corrected_position_takes_the_lure_of_that_position() -> None:
    records = said(OUT, "08:00", call("strike", "long rigger"))[1]

    records = said(records, "08:01", call("amend", "long corner"))[1]

    assert last(records, "strike") == call("strike", "long corner", "black 12")
    assert [f.position for f in state(records).fish] == ["long corner"]
    assert state(records).fish[0].struck_at == at("08:00")


def test_a_corrected_position_takes_the_hookup_with_it() -> None:
    records = said(OUT, "08:00", call("strike", "long rigger"), call("hookup"))[1]

    records = said(records, "08:01", call("amend", "long corner"))[1]

    assert [(f.position, f.is_on) for f in state(records).fish] == [("long corner", True)]
    assert last(records, "hookup").position == "long corner"


def test_an_undo_of_a_correction_brings_all_of_it_back() -> None:
    before = said(OUT, "08:00", call("strike", "long rigger"), call("hookup"))[1]
    records = said(before, "08:01", call("amend", "long corner"))[1]

    records = said(records, "08:02", call("undo"))[1]

    assert standing_entries(records) == standing_entries(before)


def test_an_undo_of_the_undo_of_a_correction_puts_it_right_again() -> None:
    records = said(OUT, "08:00", call("strike", "long rigger"), call("hookup"))[1]
    corrected = said(records, "08:01", call("amend", "long corner"))[1]
    records = said(corrected, "08:02", call("undo"))[1]

    records = said(records, "08:03", call("undo", of_act="undo"))[1]

    assert standing_entries(records) == standing_entries(corrected)


def test_another_act_stands_in_place_of_one_that_was_corrected_before() -> None:
    records = said(OUT, "08:00", call("strike", "long rigger"))[1]
    records = said(records, "08:01", call("amend", "long corner"))[1]

    records = said(records, "08:02", call("undo"), call("raise", "long corner"))[1]

    assert acts(records)[-1] == "raise"
    assert "strike" not in acts(records)


def test_the_miss_was_on_the_other_line_that_had_been_struck() -> None:
    records = said(OUT, "08:00", call("strike", "long corner"))[1]
    records = said(records, "08:01", call("strike", "long rigger"))[1]
    records = said(records, "08:02", call("miss"))[1]

    records = said(records, "08:03", call("amend", "long corner"))[1]

    assert [(f.position, f.end) for f in state(records).fish] == [
        ("long corner", "miss"),
        ("long rigger", None),
    ]


def test_make_that_a_ten_keeps_the_colour() -> None:
    records = said(OUT, "08:00", call("set", "shotgun", "green 9"))[1]

    records = said(records, "08:01", call("amend", size_in=10.0))[1]

    assert state(records).spread["shotgun"].label == "green 10-inch"
    assert state(records).spread["shotgun"].set_at == at("08:00")


def test_a_new_colour_takes_the_place_of_name_and_colours() -> None:
    records = said(OUT, "08:00", call("set", "shotgun", "@Tin Roof", size_in=8.0))[1]

    records = said(records, "08:01", call("amend", colours=("pink",)))[1]

    assert state(records).spread["shotgun"].label == "pink 8-inch"


def test_a_corrected_lure_corrects_the_strikes_that_it_had() -> None:
    records = said(OUT, "08:00", call("strike", "long rigger"))[1]
    amend = call("amend", of_act="set", of_position="long rigger", colours=("pink",))

    records = said(records, "08:01", amend)[1]

    assert last(records, "strike") == call("strike", "long rigger", "pink 8")


def test_that_was_twenty_minutes_ago_moves_it_in_time() -> None:
    records = said(OUT, "08:00", call("strike", "long rigger"))[1]

    records = said(records, "08:01", call("amend", ago_min=21.0))[1]

    assert state(records).fish[0].struck_at == at("07:40")


def test_a_weight_goes_to_the_last_catch() -> None:
    records = said(OUT, "08:00", call("boat", "long rigger", species="wahoo"))[1]
    records = said(records, "08:05", call("strike", "long rigger"))[1]

    records = said(records, "08:06", call("amend", weight_kg=22.0))[1]

    assert state(records).fish[0].weight_kg == 22.0


def test_the_strike_at_nine_forty_was_the_shotgun() -> None:
    records = said(OUT, "09:41", call("strike", "long rigger"))[1]
    records = said(records, "10:30", call("strike", "long corner"))[1]

    amend = call("amend", "shotgun", of_act="strike", of_clock="09:40")
    records = said(records, "11:00", amend)[1]

    assert [f.position for f in state(records).fish] == ["shotgun", "long corner"]


def test_a_correction_of_what_is_not_there_is_refused() -> None:
    decision, records = said(OUT, "08:00", call("amend", weight_kg=22.0))
    named, _ = said(OUT, "08:00", call("amend", "shotgun", of_act="strike", of_clock="09:40"))

    assert [r.reason for r in decision.refused] == ["No entry takes that correction."]
    assert [r.reason for r in named.refused] == ["The log has no strike at 09:40."]
    assert records == OUT


def test_a_correction_in_the_same_message_leaves_one_entry() -> None:
    decision, _ = said(OUT, "08:00", call("strike", "long rigger"), call("amend", "long corner"))

    assert [e.call for e in decision.entries] == [call("strike", "long corner", "black 12")]
    assert decision.voids == ()


def test_an_amended_entry_keeps_its_crew_and_both_wordings() -> None:
    records = said(OUT, "08:00", call("strike", "long rigger"), heard="hit", crew="Ann")[1]

    records = said(records, "08:01", call("amend", "long corner"), heard="no, lc", crew="Bob")[1]

    assert [(e.crew, e.text) for e in standing_entries(records)][-1] == ("Ann", "hit; no, lc")


def test_a_weight_is_of_the_fish_of_the_angler_who_is_named() -> None:
    """Common practice, no source: "Tom's went forty pounds" right after another fish was boated."""
    records = said(OUT, "08:00", call("hookup", "long rigger", angler="Tom"))[1]
    records = said(records, "08:00", call("hookup", "long corner"))[1]
    records = said(records, "08:09", call("boat", "long rigger"))[1]
    records = said(records, "08:12", call("boat", "long corner"))[1]

    records = said(records, "08:14", call("amend", angler="Tom", weight_kg=18.1))[1]

    caught = [e.call for e in standing_entries(records) if e.call.act == "boat"]
    assert [(one.position, one.weight_kg) for one in caught if one.weight_kg] == [
        ("long rigger", 18.1)
    ]
