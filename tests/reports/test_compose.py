"""The value of a report: what is counted, and that it is what the chat counts."""

from dataclasses import replace
from datetime import UTC, timedelta

import pytest
from statsmodels.stats.proportion import proportion_confint

from bot.answers.values import tally_json
from bot.replies.amounts import place_words
from bot.reports.blocks import Heading
from bot.reports.compose import BYS, compose, distance_nm
from bot.reports.forms import report_file
from bot.reports.page import page
from bot.reports.report import Spot
from bot.trip.entry import Voided
from bot.trip.meant import OfTray, SpreadWish
from tests.answers.views import view
from tests.builders import DAY, at, entry
from tests.reports.days import a_day, day_view, proposed


def test_every_table_is_the_tally_that_the_chat_answers_with() -> None:
    now = day_view()
    report = compose(now, "Driftwood")

    for counted in report.tallies:
        told = tally_json(now, counted.by)
        rows = [{name: getattr(row, name) for name in told["total"]} for row in counted.rows]
        assert rows == told["rows"]
    assert [counted.by for counted in report.tallies] == list(BYS)
    assert report.total.strikes == tally_json(now, "position")["total"]["strikes"] == 4


def test_lure_hours_are_those_counted_by_hand() -> None:
    # by hand: the short corner fished from 06:00 to 11:10 without 08:00 to 08:31; the break-off ends it
    # there. The shotgun: 06:00 to 12:00 without 10:20 to 10:50.
    report = compose(day_view())
    short_corner = 5 + 10 / 60 - 31 / 60
    shotgun = 6 - 30 / 60

    assert report.total.hours == pytest.approx(short_corner + shotgun, abs=1e-3)
    assert report.day.fishing_h == pytest.approx(6.0)


def test_shares_have_wilsons_interval() -> None:
    # reference: statsmodels, proportion_confint(method="wilson")
    report = compose(day_view())

    assert {one.what: (one.successes, one.trials) for one in report.shares} == {
        "raised fish that struck": (1, 1),
        "strikes that hooked up": (3, 4),
        "fish on, of which the end is known, that were caught": (2, 3),
        "strikes that ended in a catch": (2, 4),
    }
    for one in report.shares:
        low, high = proportion_confint(one.successes, one.trials, method="wilson")
        assert (one.low, one.high) == pytest.approx((low, high), abs=1e-3)


def test_catches_tell_fate_size_tag_and_how_long() -> None:
    tuna, marlin = compose(day_view()).catches

    assert (tuna.species, tuna.kept, tuna.weight_kg, tuna.crew) == (
        "yellowfin tuna", True, 24.0, "Ann",
    )  # fmt: skip
    assert tuna.fought_min == 30.0
    assert (marlin.species, marlin.kept, marlin.tag, marlin.length_cm) == (
        "striped marlin", False, "B7", 210.0,
    )  # fmt: skip


def test_a_change_that_was_made_is_told_with_what_came_of_it() -> None:
    made, left = compose(day_view()).outcomes

    assert (made.lure, made.times, made.chance, made.made_at) == ("Milk Jug", 2, 0.82, at("10:00"))
    assert (made.at, made.last_at) == (at("09:30"), at("09:40"))
    assert made.new is not None
    assert made.old is not None
    assert made.others is not None
    assert (made.new.strikes, made.new.hours) == (1, 1.5)
    assert (made.old.key, made.old.strikes, made.old.hours) == ("Tin Whistle", 0, 4.0)
    assert (made.others.strikes, made.others.hours) == (1, round(70 / 60, 3))
    assert (left.lure, left.made_at, left.new) == ("Tea Cosy", None, None)


def test_another_lure_than_the_one_proposed_is_named() -> None:
    day = (*a_day()[:14], entry("10:00", "swap", "shotgun", "@Tea Cosy"), *a_day()[15:])

    outcome = compose(day_view(day)).outcomes[0]

    assert outcome.made_at is None
    assert outcome.instead == "Tea Cosy"


def test_a_change_that_was_made_once_counts_for_the_last_proposal_of_it_alone() -> None:
    day = (
        *a_day()[:12], proposed("09:10", "Milk Jug", "shotgun"), proposed("09:20", "Tea Cosy", "shotgun"),
        *a_day()[12:],
    )  # fmt: skip

    first, between, last, _ = compose(day_view(day)).outcomes

    assert (first.made_at, first.new, first.instead) == (None, None, None)
    assert first.again_at == last.at == at("09:30")
    assert (between.made_at, between.instead) == (None, "Milk Jug")
    assert (last.made_at, last.again_at) == (at("10:00"), None)
    assert "3 changes proposed" not in compose(day_view(day)).story
    assert "4 changes proposed, 1 made" in compose(day_view(day)).story


def test_a_reason_whose_figures_an_undo_or_a_late_call_took_away_is_not_shown() -> None:
    day = a_day()
    strike, miss = (r for r in day if r.at in (at("07:00"), at("07:01")))
    undone = (*day, Voided("v", (strike.id, miss.id), at("12:40")))
    late = (*day, entry("07:30", "strike", "short corner"))

    for kept in compose(day_view(day)).outcomes:
        assert kept.reason
    for records in (undone, late):
        found = compose(day_view(records))
        assert [one.reason for one in found.outcomes] == ["", ""]
        assert "8 in: 2 strikes" not in report_file(found, "md", UTC).decode()


def test_a_fish_that_takes_a_lure_at_once_counts_for_that_lure() -> None:
    day = (
        entry("06:00", "set", "shotgun", "red 6"),
        entry("06:00", "lines_in"),
        entry("07:00", "swap", "shotgun", "blue 7"),
        entry("07:00", "strike", "shotgun"),
        entry("07:00", "hookup", "shotgun"),
        entry("07:30", "boat", "shotgun"),
        entry("08:00", "lines_out"),
    )
    red, blue = compose(day_view(day, box=())).placements

    assert (red.lure, red.end, red.strikes, red.hours) == ("red 6-inch", at("07:00"), 0, 1.0)
    assert (blue.lure, blue.start, blue.strikes, blue.hours) == ("blue 7-inch", at("07:00"), 1, 0.5)


def test_lures_that_were_bitten_lost_or_called_for_work_are_to_be_rigged() -> None:
    day = (*a_day(), entry("12:10", "rework", lure="@Tin Whistle", text="new leader"))

    rigs = {rig.lure: rig.state for rig in compose(day_view(day)).rigs}

    assert rigs == {"Garden Gate": "lost", "Tin Whistle": "rework", "Milk Jug": "to check"}


def test_what_the_box_was_told_after_the_trip_does_not_change_its_report() -> None:
    later = dict.fromkeys(("Garden Gate", "Milk Jug", "Tin Whistle", "Tea Cosy"), at("20:00"))

    assert compose(day_view(imported_at=later)).rigs == compose(day_view()).rigs


def test_without_a_box_the_log_alone_says_what_wants_work() -> None:
    rigs = compose(day_view(box=())).rigs

    assert [(rig.lure, rig.state) for rig in rigs] == [
        ("Garden Gate", "lost"), ("Milk Jug", "to check"),
    ]  # fmt: skip


def test_places_stand_in_it_only_where_they_are_asked_for() -> None:
    without, with_ = compose(day_view()), compose(day_view(), positions=True)

    assert without.spots == ()
    assert without.distance_nm is None
    assert "35.2" not in repr(without)
    assert [(spot.what, spot.latitude, spot.longitude) for spot in with_.spots] == [
        ("strike: short corner", -35.2, 174.3), ("mark: weed line", -35.3, 174.4),
    ]  # fmt: skip


def test_a_way_is_as_long_as_published_geodesics() -> None:
    # Vincenty's Flinders Peak to Buninyong (Geoscience Australia): 54972.271 m on GRS80; WGS 84 differs
    # by less than 0.1 mm there. 1852 m to the nautical mile.
    peak = Spot(DAY, "", -(37 + 57 / 60 + 3.7203 / 3600), 144 + 25 / 60 + 29.5244 / 3600)
    hill = Spot(DAY, "", -(37 + 39 / 60 + 10.1561 / 3600), 143 + 55 / 60 + 35.3839 / 3600)

    assert distance_nm([peak, hill]) == pytest.approx(54972.271 / 1852, abs=0.005)
    assert distance_nm([peak]) is None
    assert place_words(peak.latitude, peak.longitude) == "37°57.06' S 144°25.49' E"
    assert place_words(0.99999, -0.99999) == "1°00.00' N 1°00.00' W"


def test_a_trip_without_an_end_counts_to_its_last_word_or_to_now() -> None:
    open_day = a_day()[:-2]

    now = compose(day_view(open_day, "12:00"))
    days_later = compose(day_view(open_day, "12:00", now=at("12:00") + timedelta(days=3)))

    assert now.day.ended is None
    assert now.day.until == at("12:00")
    assert days_later.day.until == at("11:40")  # the last word of the log
    assert "Nobody has said that the trip is over." in now.gaps
    assert "not called out" in now.story


def test_an_empty_trip_is_a_report_too() -> None:
    for records in ((), (entry("06:00", "trip_start"),)):
        report = compose(view(records))

        assert report.total.hours == 0
        assert report.total.rate_per_10h is None
        assert not report.catches
        assert not report.bites
        assert not report.placements
    assert "nothing" in compose(view(())).story.casefold()


def test_what_the_log_leaves_open_is_said() -> None:
    day = (
        entry("06:00", "lines_in"),
        entry("07:00", "strike"),
        entry("08:00", "boat", count=2),
        entry("12:00", "trip_end"),
    )
    report = compose(day_view(day, box=()))

    assert any("without a position" in gap for gap in report.gaps)
    assert any("caught and not named: 2" in gap for gap in report.gaps)
    assert report.landed[0].species is None


def test_an_undone_entry_is_not_in_it() -> None:
    day = a_day()
    boated = next(r for r in day if getattr(r, "call", None) and r.call.act == "boat")  # type: ignore[union-attr]

    report = compose(day_view((*day, Voided("v", (boated.id,), at("12:40")))))

    assert [one.species for one in report.catches] == ["striped marlin"]


def test_what_the_law_may_say_something_about_follows_what_was_done() -> None:
    rules = " ".join(compose(day_view()).rules)

    assert "Kept, yellowfin tuna (1)" in rules
    assert "Let go, striped marlin (1)" in rules
    assert "Tagged, striped marlin (1)" in rules
    assert compose(view(())).rules == ()
    assert compose(day_view()).cautions[0].startswith("The skipper, the law where you are")


def test_trays_stand_as_they_were_at_the_end_with_what_they_brought() -> None:
    # By hand: of tray two the Milk Jug fished from 07:00 to 08:30 and was bitten; the Tea Cosy stayed aboard.
    out = (SpreadWish(to_do="run", from_tray="two"),)
    records = (
        entry("06:00", "lines_in"),
        entry("06:00", "set", "shotgun", "@Tin Whistle"),
        entry("06:10", "tray", None, "@Milk Jug", tray="two", meant=(OfTray(speed_kn=5.5),)),
        entry("06:11", "tray", None, "@Tea Cosy", tray="2", meant=(OfTray(spare=True),)),
        entry("07:00", "set", "shotgun", "@Milk Jug", meant=out),
        entry("08:00", "strike", "shotgun"),
        entry("08:01", "miss", "shotgun"),
        entry("08:30", "lines_out"),
        entry("08:40", "trip_end"),
    )
    later = entry("20:00", "tray", None, "@Garden Gate", tray="two")
    told = (*(one for one in records if one.call.act == "tray"), later)
    (tray,) = compose(day_view(records, load_trays=lambda: ((), told))).trays

    assert (tray.tray, tray.terms) == ("tray two", "5.5 kn")
    assert (tray.lures, tray.spares) == (("Milk Jug",), ("Tea Cosy",))
    assert tray.not_ready == ("Milk Jug",)
    assert tray.out_at == (at("07:00"),)
    assert (tray.hours, tray.strikes) == (1.5, 1)


def test_a_boat_without_trays_has_no_section_for_them() -> None:
    report = compose(day_view())
    headings = [block.text for block in page(report, UTC).blocks if isinstance(block, Heading)]

    assert report.trays == ()
    assert "Trays" not in headings


def test_strikes_stand_in_the_order_of_time_whatever_was_told_later() -> None:
    # common practice, no source
    now = day_view()
    report = compose(replace(now, trip=replace(now.trip, fish=now.trip.fish[::-1])))
    times = [one.at for one in report.bites]

    assert times == sorted(times)


def test_a_lure_that_was_put_right_at_once_is_no_row_of_the_spread() -> None:
    # common practice, no source
    slip = (
        entry("06:00", "trip_start"), entry("06:05", "lines_in"),
        entry("06:10", "set", "shotgun", "black 10"), entry("06:11", "set", "shotgun", "green 12"),
        entry("08:00", "lines_out"),
    )  # fmt: skip
    told = report_file(compose(view(slip, "08:00")), "md", UTC).decode()

    assert "| shotgun | green 12-inch" in told
    assert "| shotgun | black 10-inch" not in told
