"""Questions, the report and the next morning: what a sixth day stumbled over; common practice, no source."""

from datetime import timedelta
from pathlib import Path

from bot import Desk
from bot.messages import Reply
from bot.reports.compose import compose
from tests.desk_rig import at, call, rows

BOX = """name,size_in,colours,head,ready
Aunt Mabel,12,purple black,slanted,yes
Ginger Ale,10,red brown,cupped,yes
Beet,7,green,slim,yes
Marigold,11,gold orange,blunt,yes
"""


def boat(home: Path) -> Desk:
    box = home / "box.csv"
    box.write_text(BOX)
    desk = Desk(home)
    desk.box_import(box)
    return desk


def test_the_crew_of_the_report_has_everybody_once(tmp_path: Path) -> None:
    with boat(tmp_path) as desk:
        call(desk, "06:10 set long corner aunt mabel", "06:12 lines in", crew="Walt")
        desk.say("strike long corner", crew="Ray", at=at("07:20"))
        desk.say("strike long corner", crew="Walt", at=at("07:20"))
        desk.say("missed him", crew="Dusty", at=at("07:21"))
        desk.say("missed him", crew="Ray", at=at("07:22"))

        report = compose(desk.view(at("12:00")))

    assert report.day.crew == ("Walt", "Ray", "Dusty")


def test_a_lure_is_on_one_line_at_a_time_in_the_report(tmp_path: Path) -> None:
    with boat(tmp_path) as desk:
        call(
            desk, "06:10 set short rigger ginger ale", "06:11 set long corner aunt mabel", "06:12 lines in",
            "07:06 move ginger ale to the long corner", "10:51 swap long corner to marigold",
            "10:52 set short rigger ginger ale", "12:42 lines out",
        )  # fmt: skip

        laid = compose(desk.view(at("13:00"))).placements

    where = [(one.line, one.start, one.end) for one in laid if one.lure == "Ginger Ale"]
    assert where[:2] == [
        ("short rigger", at("06:12"), at("07:06")),
        ("long corner", at("07:06"), at("10:51")),
    ]
    assert where[2][:2] == ("short rigger", at("10:52"))


def test_a_lure_that_was_only_brought_in_with_the_lines_stays_one_row(tmp_path: Path) -> None:
    with boat(tmp_path) as desk:
        call(
            desk, "06:10 set short rigger ginger ale", "06:12 lines in", "08:00 lines out",
            "09:00 lines in", "12:00 lines out",
        )  # fmt: skip
        laid = compose(desk.view(at("13:00"))).placements

    assert [(one.lure, one.start) for one in laid] == [("Ginger Ale", at("06:12"))]


# The next morning


def a_day(desk: Desk) -> None:
    call(
        desk, "05:40 trip start", "05:50 set long corner aunt mabel", "05:51 set short rigger ginger ale",
        "05:52 set shotgun beet", "06:12 lines in", "08:00 strike long corner", "08:01 fish on",
        "08:05 Sadie's on the rod", "08:20 released the sailfish", "09:40 strike short rigger",
        "09:41 fish on", "09:45 Sadie's rod", "09:58 released a sailfish", "12:00 strike shotgun",
        "12:01 fish on", "12:30 boated a yellowfin, 71 pounds", "16:56 strike short rigger",
        "16:57 missed him", "17:00 lines out", "17:30 trip over",
    )  # fmt: skip


def morning(desk: Desk, *lines: str) -> Reply:
    reply = Reply("")
    for line in lines:
        clock, text = line.split(maxsplit=1)
        reply = desk.say(text, crew="Mate", at=at(clock) + timedelta(days=1))
    return reply


def stands(home: Path, act: str) -> list[tuple[str, str, float | None]]:
    sql = f"SELECT * FROM entries WHERE NOT void AND act = '{act}' ORDER BY at"
    return [(r["at"][:16], r["species"], r["weight_kg"]) for r in rows(home, sql)]


def trips(home: Path) -> set[str]:
    return {row["trip"] for row in rows(home, "SELECT trip FROM entries WHERE NOT void")}


def test_the_second_sailfish_of_yesterday_is_taken_back_and_no_trip_begins(tmp_path: Path) -> None:
    with boat(tmp_path) as desk:
        a_day(desk)
        reply = morning(desk, "05:20 take back the second sailfish, only one was let go")

        assert "Undone" in reply.text
    assert stands(tmp_path, "release") == [("2026-03-14T08:20", "sailfish", None)]
    assert len(trips(tmp_path)) == 1


def test_with_a_new_trip_begun_a_correction_is_still_of_yesterday(tmp_path: Path) -> None:
    with boat(tmp_path) as desk:
        a_day(desk)
        reply = morning(
            desk, "05:03 leaving the dock", "05:13 delete the strike at 16:56",
            "05:20 take back the second sailfish, only one was let go",
        )  # fmt: skip
        assert reply.text.startswith("Trip of 14 March:")
        morning(desk, "05:21 the yellowfin weighed 73 pounds", "05:22 no, 75 pounds")

    assert [s[0] for s in stands(tmp_path, "strike")] == ["2026-03-14T08:00", "2026-03-14T12:00"]
    assert stands(tmp_path, "release") == [("2026-03-14T08:20", "sailfish", None)]
    # the avoirdupois pound is 0.45359237 kg: 75 lb are 34.0 kg
    assert stands(tmp_path, "boat") == [("2026-03-14T12:30", "yellowfin tuna", 34)]
    assert len(trips(tmp_path)) == 2


def test_undo_after_that_takes_the_correction_back_and_nothing_else_of_yesterday(
    tmp_path: Path,
) -> None:
    with boat(tmp_path) as desk:
        a_day(desk)
        morning(
            desk, "05:03 leaving the dock", "05:21 the yellowfin weighed 73 pounds", "05:22 undo"
        )
        assert stands(tmp_path, "boat") == [("2026-03-14T12:30", "yellowfin tuna", 32.2)]
        morning(desk, "05:23 delete the strike at 16:56", "05:24 undo")

    assert len(stands(tmp_path, "lines_out")) == 1
    assert len(stands(tmp_path, "trip_start")) == 1  # that of the morning went


def test_yesterday_said_with_a_correction_is_asked_and_a_memory_is_talk(tmp_path: Path) -> None:
    with boat(tmp_path) as desk:
        a_day(desk)
        morning(desk, "05:03 leaving the dock")
        talk = morning(desk, "05:10 we caught a nice yellowfin yesterday, 71 pounds")
        asked = morning(desk, "05:11 yesterday's yellowfin weighed 80 pounds")
        morning(desk, "05:12 yes")

    assert talk.text == ""
    assert asked.ask == "Of yesterday's trip: correction, yellowfin tuna, 80 lb (36.3 kg)?"
    assert stands(tmp_path, "boat") == [("2026-03-14T12:30", "yellowfin tuna", 36.3)]


def test_a_correction_of_a_fish_of_today_stays_of_today(tmp_path: Path) -> None:
    with boat(tmp_path) as desk:
        a_day(desk)
        morning(
            desk, "05:03 leaving the dock", "06:00 set shotgun beet", "06:01 lines in",
            "07:00 strike shotgun", "07:01 fish on", "07:20 boated a yellowfin, 20 pounds",
            "07:25 the yellowfin weighed 25 pounds", "07:30 take back the first yellowfin",
        )  # fmt: skip

    assert stands(tmp_path, "boat") == [("2026-03-14T12:30", "yellowfin tuna", 32.2)]


def test_a_catch_before_lines_are_in_is_asked_about_where_yesterday_had_one(tmp_path: Path) -> None:
    with boat(tmp_path) as desk:
        a_day(desk)
        asked = morning(desk, "05:27 released a sailfish")
        morning(desk, "05:28 no")
        assert "08:20 sailfish" in (asked.ask or "")
        assert len(stands(tmp_path, "release")) == 2
        wahoo = morning(desk, "05:30 boated a wahoo")
        assert wahoo.ask is None

    assert [s[1] for s in stands(tmp_path, "boat")] == ["yellowfin tuna", "wahoo"]


def test_without_a_trip_before_nothing_of_yesterday_is_taken_back(tmp_path: Path) -> None:
    with boat(tmp_path) as desk:
        call(
            desk, "06:10 set shotgun beet", "06:12 lines in", "07:00 strike shotgun", "07:01 fish on",
            "07:20 released a sailfish",
        )  # fmt: skip
        call(desk, "07:30 delete the sailfish from yesterday")

    assert len(stands(tmp_path, "release")) == 1


def test_questions_about_yesterday_are_of_yesterdays_trip(tmp_path: Path) -> None:
    with boat(tmp_path) as desk:
        a_day(desk)
        morning(desk, "05:03 leaving the dock")
        caught = morning(desk, "05:10 what did we catch yesterday").text
        sadies = morning(desk, "05:12 how many fish did sadie catch yesterday").text
        today = morning(desk, "05:13 how many fish did sadie catch").text

    assert caught.startswith("Yesterday: 4 strikes, 3 hook-ups, 3 caught")
    assert "yellowfin tuna, 71 lb (32.2 kg), kept, shotgun, Beet" in caught
    assert sadies.startswith("Yesterday: 2 caught; let go 2 sailfish.")
    assert "yellowfin" not in sadies
    assert today.startswith("No fish caught by Sadie yet")


def test_yesterday_is_the_trip_before_where_none_began_on_that_day(tmp_path: Path) -> None:
    with boat(tmp_path) as desk:
        a_day(desk)
        call(desk, "23:30 leaving the dock")
        soon = call(desk, "23:40 what did we catch yesterday").text
        late = desk.say(
            "what did we catch yesterday", crew="Mate", at=at("06:00") + timedelta(days=9)
        )

    assert soon.startswith("The trip before, of 14 March: 4 strikes")
    assert late.text == "Yesterday: no trip in the log."


# Questions


def test_is_he_still_on_is_about_that_fish_alone(tmp_path: Path) -> None:
    with boat(tmp_path) as desk:
        call(
            desk, "06:10 set long corner aunt mabel", "06:12 lines in", "07:00 strike long corner",
            "07:01 fish on", "07:20 released a sailfish", "08:00 strike long corner",
            "08:01 fish on, Ray's rod",
        )  # fmt: skip
        on = call(desk, "08:11 is he still on").text
        how_long = call(desk, "08:12 how long's he been on").text
        who = call(desk, "08:13 who's on the rod").text
        call(desk, "08:20 pulled the hook")
        off = call(desk, "08:21 is he still on").text
        took = call(desk, "08:22 how long did that take").text
        fought = call(desk, "08:23 who fought it").text

    assert on == "Yes: A fish, long corner, Ray on the rod, on for 10 min."
    assert how_long == "A fish, long corner, Ray on the rod, on for 11 min."
    assert who.startswith("Ray: fish, long corner, on now")
    assert off.splitlines()[0] == "No: no fish is on in the log."
    assert "08:20 pulled hook, long corner" in off
    assert took == "On for 19 min: fish, long corner, 08:01."
    assert fought.startswith("Ray: fish, long corner, pulled hook")


def test_a_bite_without_an_end_is_named_where_one_asks_for_the_fish(tmp_path: Path) -> None:
    with boat(tmp_path) as desk:
        call(desk, "06:10 set long corner aunt mabel", "06:12 lines in", "07:00 strike long corner")
        text = call(desk, "07:02 is he still on").text

    assert "A bite, long corner, 07:00: nobody said what became of it." in text


def test_the_last_bite_is_the_one_that_bit_last_with_both_ends_of_a_double(tmp_path: Path) -> None:
    with boat(tmp_path) as desk:
        call(
            desk, "06:10 set long corner aunt mabel", "06:11 set shotgun beet", "06:12 lines in",
            "07:00 raised one behind the shotgun", "07:02 strike long corner", "07:03 missed him",
            "07:06 strike shotgun",
        )  # fmt: skip
        bit = call(desk, "07:10 when was the last bite").text
        call(
            desk, "08:00 double hookup on the long corner", "08:10 released one sailfish, long corner",
            "08:12 pulled hook, long corner",
        )  # fmt: skip
        both = call(desk, "08:15 when was the last bite").text

    assert bit.startswith("Last strike 07:06")
    assert "1 released and 1 pulled hook" in both


def test_the_fish_of_a_double_are_counted_alike_everywhere(tmp_path: Path) -> None:
    with boat(tmp_path) as desk:
        call(
            desk, "06:10 set long corner aunt mabel", "06:12 lines in",
            "08:00 double hookup on the long corner", "08:10 released one sailfish, long corner",
            "08:12 pulled hook, long corner",
        )  # fmt: skip
        tally = call(desk, "08:20 how many strikes").text
        why = call(desk, "08:21 why aren't they sticking").text

    assert "1 strike, 2 hook-ups, 1 caught" in tally
    assert "Hooked 1 of 1, too few to say, 2 fish with doubles; landed 1 of 2" in tally
    assert "Today: 1 of 2 fish on were landed" in why


def test_a_bite_off_without_a_bite_says_that_it_counts(tmp_path: Path) -> None:
    with boat(tmp_path) as desk:
        call(desk, "06:10 set shotgun beet", "06:12 lines in")
        text = call(desk, "07:00 bitten off on the shotgun").text

    assert "No bite was called there: it counts as one that was on." in text
    assert "1 hook-up of 1 strike" in text


def test_the_next_reminder_is_told(tmp_path: Path) -> None:
    with boat(tmp_path) as desk:
        call(
            desk,
            "06:10 set shotgun beet",
            "06:12 lines in",
            "07:00 remind me to check the bait in 20 minutes",
        )
        assert call(desk, "07:05 when's the next reminder").text.startswith("07:20: check the bait")


def test_what_works_best_on_this_boat_is_of_all_trips(tmp_path: Path) -> None:
    with boat(tmp_path) as desk:
        a_day(desk)
        morning(desk, "05:03 leaving the dock", "06:01 lines in", "06:10 strike shotgun")
        best = morning(desk, "06:20 what works best on this boat").text
        works = morning(desk, "06:21 what's working").text
        today = morning(desk, "06:22 what's working today").text

    assert best.startswith("All trips, 2 trips: 5 strikes")
    assert "This trip: 1 strike, too few to compare." in works
    assert "All trips, 2 trips: 5 strikes" in works
    assert "All trips" not in today


def test_no_fish_on_is_asked_about_where_the_log_has_one_on(tmp_path: Path) -> None:
    with boat(tmp_path) as desk:
        call(desk, "06:10 set long corner aunt mabel", "06:12 lines in")
        assert call(desk, "06:20 there's no fish on").text == "As in the log: no fish is on."
        call(desk, "07:00 strike long corner", "07:01 fish on")
        asked = call(desk, "07:05 there's no fish on")
        call(desk, "07:06 first")
        call(
            desk, "08:00 strike long corner", "08:01 fish on", "08:05 nothing's on", "08:06 second"
        )

    assert asked.text.startswith(
        "In the log a fish is on: long corner, since 07:01. First: it came off"
    )
    assert [s[0][11:] for s in stands(tmp_path, "pulled_hook")] == ["07:05"]
    assert [s[0][11:] for s in stands(tmp_path, "hookup")] == ["07:01"]


def test_a_line_out_since_a_time_is_held_against_the_log(tmp_path: Path) -> None:
    with boat(tmp_path) as desk:
        call(desk, "06:10 set short rigger aunt mabel", "06:12 lines in")
        same = call(desk, "06:30 short rigger has been out since 6:12")
        other = call(desk, "06:31 the short rigger's been out since half past five")
        call(desk, "06:32 yes")

    assert same.text == "As in the log: short rigger, Aunt Mabel, out since 06:12."
    assert other.ask is not None
    assert [s[0][11:] for s in stands(tmp_path, "set")] == ["05:30"]
    assert stands(tmp_path, "strike") == []


# Who has the rod


def anglers(home: Path) -> list[tuple[str, str]]:
    sql = "SELECT position, angler FROM entries WHERE NOT void AND act = 'angler' ORDER BY at, id"
    return [(row["position"], row["angler"]) for row in rows(home, sql)]


def test_who_takes_the_rod_from_somebody_worn_out_is_the_speaker(tmp_path: Path) -> None:
    with boat(tmp_path) as desk:
        call(desk, "06:10 set long corner aunt mabel", "06:12 lines in", "07:00 strike long corner")
        desk.say("fish on, walt's rod", crew="Walt", at=at("07:01"))
        for clock, crew, text in (
            ("07:05", "Sadie", "walt's worn out, I'm taking the rod"),
            ("07:06", "Ray", "i'm taking over the rod from sadie"),
            ("07:07", "Sadie", "Ray is tired, my rod now"),
            ("07:08", "Ray", "walt's worn out"),
            ("07:09", "Ray", "the leader is worn out"),
        ):
            desk.say(text, crew=crew, at=at(clock))

    assert [who for _, who in anglers(tmp_path)] == ["Sadie", "Ray", "Sadie"]


def test_two_anglers_in_a_line_have_a_rod_each(tmp_path: Path) -> None:
    with boat(tmp_path) as desk:
        call(
            desk, "06:10 set long corner aunt mabel", "06:11 set shotgun beet", "06:12 lines in",
            "07:00 strike long corner", "07:01 fish on", "07:02 strike shotgun", "07:03 fish on, shotgun",
        )  # fmt: skip
        call(desk, "07:05 Sadie's got the gun, Walt's in the chair on the corner")

    assert anglers(tmp_path) == [("shotgun", "Sadie"), ("long corner", "Walt")]
