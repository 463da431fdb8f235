"""Corrections that are about more than one entry, or about a part of what was said."""

from bot.trip.history import standing_entries
from tests.builders import at, call, entry, said

OUT = (
    entry("06:00", "lines_in"),
    entry("06:00", "set", "long rigger", "purple 8"),
    entry("06:00", "set", "short corner", "black 12"),
)


def test_a_time_is_that_of_all_that_was_called_in_one_breath() -> None:
    records = said(OUT, "08:30", call("strike", "long rigger"), call("miss"))[1]

    records = said(records, "08:31", call("amend", ago_min=20))[1]

    assert {e.at for e in standing_entries(records)[-2:]} == {at("08:11")}


def test_a_name_with_a_line_is_that_of_the_fish_there_and_the_other_is_the_other() -> None:
    records = said(OUT, "08:00", call("hookup", "short corner"))[1]
    records = said(records, "08:05", call("hookup", "long rigger"))[1]

    named = call("amend", "short corner", species="black marlin"), call("amend", species="wahoo")
    records = said(records, "08:06", *named)[1]

    assert {(e.call.position, e.call.species) for e in standing_entries(records)[-2:]} == {
        ("short corner", "black marlin"),
        ("long rigger", "wahoo"),
    }


def test_a_line_without_a_fish_puts_the_last_call_right() -> None:
    records = said(OUT, "08:00", call("hookup", "short corner"))[1]

    records = said(records, "08:01", call("amend", "long rigger", species="wahoo"))[1]

    hooked = standing_entries(records)[-1].call
    assert (hooked.position, hooked.species) == ("long rigger", "wahoo")


def test_who_was_on_the_rod_goes_to_the_call_that_said_it() -> None:
    records = said(OUT, "08:00", call("strike", "short corner"))[1]
    records = said(records, "08:01", call("hookup", angler="Ben"))[1]

    records = said(records, "08:02", call("amend", "long rigger", angler="Mia"))[1]

    strike, hookup = (e.call for e in standing_entries(records)[-2:])
    assert (strike.position, strike.angler) == ("long rigger", None)
    assert (hookup.position, hookup.angler) == ("long rigger", "Mia")


def test_a_weight_of_a_fish_that_was_lost_is_refused_and_its_name_kept() -> None:
    records = said(OUT, "08:00", call("hookup", "short corner"), call("pulled_hook"))[1]

    decision, records = said(records, "08:02", call("amend", species="wahoo", weight_kg=9.0))

    assert [one.reason for one in decision.refused] == [
        "Pulled hook: the log keeps no weight with it."
    ]
    assert standing_entries(records)[-1].call.species == "wahoo"


def test_what_a_fish_took_does_not_change_a_lure_that_went_out_long_before() -> None:
    records = said(OUT, "08:00", call("boat", species="wahoo"))[1]

    lure = call("amend", "long rigger", "purple 8")
    records = said(records, "08:01", lure)[1]

    assert standing_entries(records)[-1].call == call("boat", "long rigger", species="wahoo")
    assert [e.call for e in standing_entries(records)[1:3]] == [e.call for e in OUT[1:]]


def test_a_name_with_an_angler_is_that_of_the_fish_on_that_rod() -> None:
    records = said(OUT, "08:00", call("hookup", "short corner", angler="Mia"))[1]
    records = said(records, "08:05", call("hookup", "long rigger", angler="Ben"))[1]
    records = said(records, "08:09", call("boat", "long rigger", species="wahoo"))[1]

    records = said(records, "08:12", call("amend", species="bigeye tuna", angler="Mia"))[1]

    names = {e.call.act: (e.call.position, e.call.species) for e in standing_entries(records)[-2:]}
    assert names["boat"] == ("long rigger", "wahoo")
    assert [e.call.species for e in standing_entries(records) if e.call.angler == "Mia"] == [
        "bigeye tuna"
    ]
