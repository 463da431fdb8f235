"""Reminders, questions and what is shown, on a tenth day; common practice, no source."""

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from tests.desk_rig import at, boxed, call, rows

BOX = """name,head,size_in,colours,hook_gauge,ready,speed_min_kn,speed_max_kn
Church Hat,blunt,10,purple black,heavy,yes,7,9
Pickle Jar,cupped,8,green,medium,yes,7,9
Broom Handle,jet,7,blue white,light,yes,5,9
"""
START = (
    "06:00 trip start", "06:05 set short corner church hat", "06:06 set long rigger pickle jar",
    "06:10 lines in",
)  # fmt: skip
NIGHT = datetime(2026, 3, 14, 23, 54, tzinfo=UTC)


def _noted(home: Path) -> int:
    return len(rows(home, "SELECT * FROM entries WHERE act = 'note' AND NOT void"))


@pytest.mark.parametrize(
    ("said", "promised"),
    [
        ("tell me when the pickle jar has been out ten minutes", "Pickle Jar has been out 10 min"),
        ("tell us when church hat's been out one hour", "Church Hat has been out 1 h 00 min"),
        ("remind me when the church hat has been in the water an hour", "Church Hat has been out"),
        ("let me know when pickle jar has been in for 20 minutes", "Pickle Jar has been out 20"),
        ("tell me when the long rigger has been out an hour", "the long rigger has been out"),
        ("remind me tomorrow at 5:30 to buy ice", "at 05:30 on Sunday"),
        ("remind us to buy ice tomorrow morning at 0530", "at 05:30 on Sunday"),
        ("remind me the ice is low at 12:10", "at 12:10"),
        ("remind me at 2 to eat", "at 14:00"),
        ("remind us tomorrow to buy ice", "At what time?"),
        ("tell me when the other thing has been out an hour", "which line, or which lure?"),
    ],
)
def test_a_reminder_is_promised_or_asked_for(tmp_path: Path, said: str, promised: str) -> None:
    with boxed(tmp_path, BOX) as desk:
        reply = call(desk, *START, f"07:00 {said}")

    assert promised in reply.text
    assert _noted(tmp_path) == 1


@pytest.mark.parametrize(
    "said",
    ["remind me what is out", "tell me when the last strike was", "tell me when you are ready"],
)
def test_what_only_begins_like_a_reminder_is_none(tmp_path: Path, said: str) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *START, f"07:00 {said}")

    assert _noted(tmp_path) == 0


def test_a_lure_is_told_of_when_it_has_been_out_so_long(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *START, "07:00 tell me when the pickle jar has been out an hour")

        assert desk.claim_due("chat", at("07:09")) == ()
        assert desk.claim_due("chat", at("07:10")) == (
            "Reminder for Mate: The long rigger, Pickle Jar, has been out 1 h 00 min.",
        )


@pytest.mark.parametrize(
    ("said", "promised"),
    [
        ("remind me the ice is low at 12:10", "at 00:10 on Sunday"),
        ("remind me the ice is low at 12:10 pm", "at 12:10 on Sunday"),
        ("remind me about lunch at noon", "at 12:00 on Sunday"),
        ("remind me at 5 am to call home", "at 05:00 on Sunday"),
        ("remind me at 0530 to call home", "at 05:30 on Sunday"),
    ],
)
def test_a_time_is_the_next_one_of_the_clock(tmp_path: Path, said: str, promised: str) -> None:
    with boxed(tmp_path, BOX) as desk:
        desk.say("trip start", crew="Mate", at=NIGHT)

        assert promised in desk.say(said, crew="Mate", at=NIGHT + timedelta(minutes=3)).text


def test_what_is_for_tomorrow_is_said_then_though_another_trip_has_begun(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *START, "07:00 remind me tomorrow at 5:30 to buy ice", "15:00 trip over")
        morning = at("05:00") + timedelta(days=1)

        assert desk.claim_due("chat", at("18:00")) == ()
        desk.say("trip start", crew="Mate", at=morning)
        assert desk.claim_due("chat", morning) == ()
        told = desk.claim_due("chat", morning + timedelta(minutes=30))
        again = desk.claim_due("chat", morning + timedelta(minutes=31))

    assert (told, again) == (("Reminder for Mate: Buy ice.",), ())


def test_what_was_taken_back_is_not_said_tomorrow(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(
            desk,
            *START,
            "07:00 remind me tomorrow at 5:30 to buy ice",
            "07:01 cancel the ice reminder",
        )

        assert desk.claim_due("chat", at("05:30") + timedelta(days=1)) == ()


FISHED = (
    "07:00 strike short corner", "07:01 hooked up", "07:05 wahoo broke off, lost the church hat",
    "07:10 strike long rigger", "07:11 hooked up", "07:12 Dee is on the rod",
)  # fmt: skip


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ("who's on which", "long rigger, Dee on the rod"),
        ("who has rod", "long rigger, Dee on the rod"),
        ("is Dee still on", "Yes: "),
        ("is dee's fish still on", "Yes: "),
        ("what'd we lose", "1 lost, 0 bites missed."),
        ("what did we lose", "1 lost, 0 bites missed."),
        ("did that log", "Last logged: on the rod"),
        ("did it log that one?", "Last logged: on the rod"),
        ("how many fish we got left in the limit", "not known here"),
        ("what time does season close on red snapper", "not known here"),
        ("what's the bag limit on mahi", "not known here"),
        ("will they bite this afternoon", "not known here"),
        ("which works better so far, dark or light?", "Dark: 1 strike"),
        ("dark or light?", "Too few strikes to say"),
        ("who's up next", "Nobody was named"),
        ("how'd we do yesterday", "Yesterday"),
        ("yesterday's tally", "Yesterday"),
    ],
)
def test_a_question_is_answered_with_what_was_asked(tmp_path: Path, said: str, told: str) -> None:
    with boxed(tmp_path, BOX) as desk:
        desk.say("note: Dee has the first watch", crew="Dee", at=at("05:59"))
        reply = call(desk, *START, *FISHED, f"07:20 {said}")

    assert told in reply.text


@pytest.mark.parametrize(
    "said",
    [
        "we're over the limit on mahi", "they're closed for the season", "will he eat it",
        "did you get that wahoo",
    ],
)  # fmt: skip
def test_what_the_crew_says_to_each_other_is_no_question_to_the_log(
    tmp_path: Path, said: str
) -> None:
    with boxed(tmp_path, BOX) as desk:
        assert call(desk, *START, f"07:20 {said}").text == ""


def test_the_next_is_who_was_named_since_the_last_fish(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        named = call(desk, *START, "07:00 next up is Dee", "07:01 who's up next")
        after = call(desk, "07:02 strike long rigger", "07:03 hooked up", "07:04 who is next up")

    assert named.text == "Dee, as said at 07:00."
    assert after.text.startswith("Nobody was named")


def test_what_was_lost_yesterday_is_of_yesterday(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *START, *FISHED, "09:00 trip over")
        morning = at("06:00") + timedelta(days=1)
        desk.say("trip start", crew="Mate", at=morning)
        then, now = (
            desk.say(said, crew="Mate", at=morning + timedelta(minutes=1))
            for said in ("which lure lost yesterday", "what'd we lose")
        )

    assert "Church Hat" in then.text
    assert now.text == "None lost on this trip."


@pytest.mark.parametrize(
    ("said", "weight_kg"),
    [
        ("box him, 25 lbs 6 oz", 11.5),
        ("mahi boated, 25 lb 6 oz", 11.5),
        ("boated, 10 pounds 12 ounces, mahi", 4.9),
        ("wahoo boated, two kilos four hundred grams", 2.4),
    ],
)
def test_ounces_are_weight(tmp_path: Path, said: str, weight_kg: float) -> None:
    with boxed(tmp_path, BOX) as desk:
        reply = call(desk, *START, "07:00 fish on long rigger", f"07:02 {said}")
    kept = rows(tmp_path, "SELECT * FROM entries WHERE act = 'boat' AND NOT void")

    assert reply.ask is None
    assert [(row["weight_kg"], row["count"], row["angler"]) for row in kept] == [
        (weight_kg, None, None)
    ]


@pytest.mark.parametrize(
    "said", ["he chafed off about 6 ft up", "chafed off, six foot up the leader"]
)
def test_a_length_is_no_time_of_day(tmp_path: Path, said: str) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *START, "07:00 fish on long rigger", f"07:02 {said}")
    (off,) = rows(tmp_path, "SELECT * FROM entries WHERE act = 'break_off' AND NOT void")

    assert off["at"].endswith("07:02:00Z")


def test_of_many_fish_the_newest_are_named_and_the_rest_can_be_had(tmp_path: Path) -> None:
    fish = [f"0{7 + n // 6}:{n % 6}0 boated a mahi, {n + 3} kilos, long rigger" for n in range(8)]
    with boxed(tmp_path, BOX) as desk:
        text = call(desk, *START, *fish, "08:40 what did we catch").text

    assert "10 kg" in text
    assert "3 kg" not in text
    assert 'And 2 before these: "send me the report" has all.' in text


def test_all_that_is_to_be_made_ready_is_named_at_the_end(tmp_path: Path) -> None:
    lures = "".join(f"Jar {name},jet,7,blue,medium,yes,5,9\n" for name in "ABCDEFGHIJ")
    laid = [f"06:{20 + n} set shotgun jar {name}" for n, name in enumerate("ABCDEFGHIJ")]
    with boxed(tmp_path, BOX + lures) as desk:
        text = call(desk, *START, *laid, "09:00 trip over").text
    (ready,) = (line for line in text.splitlines() if line.startswith("To make ready"))

    assert "more" not in ready
    assert ready.count("Jar ") == len(laid)


OWN = """[boat]
positions = ["left flat", "right flat", "left long", "right long", "center"]
units = "imperial"

[[outfit]]
position = "left flat"
line_class_kg = 8
hook_gauge = "light"

[[outfit]]
position = "right flat"
line_class_kg = 37
hook_gauge = "heavy"
"""


def test_help_speaks_of_the_boats_own_lines_and_units(tmp_path: Path) -> None:
    (tmp_path / "deckcall.toml").write_text(OWN)
    with boxed(tmp_path, BOX) as desk:
        told = call(desk, "06:00 help").text

    assert "set right long purple eight" in told
    assert "26 pounds" in told
    assert not [word for word in ("rigger", "corner", "shotgun", "kilos", "metres") if word in told]


def test_help_of_the_usual_lines_is_the_usual_help(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        assert "set long rigger purple eight" in call(desk, "06:00 help").text


def test_a_plan_for_heavy_tackle_says_which_hooks_are_too_heavy_for_the_own_rods(
    tmp_path: Path,
) -> None:
    (tmp_path / "deckcall.toml").write_text(OWN)
    with boxed(tmp_path, BOX) as desk:
        heavy = call(desk, "06:00 trip start", "06:01 plan a spread for heavy tackle").text

    assert "left flat: Church Hat" in heavy
    assert "Hooks too heavy for your own rods: Church Hat on the left flat (takes light)." in heavy


def test_a_side_that_the_lines_name_has_is_not_said_twice(tmp_path: Path) -> None:
    (tmp_path / "deckcall.toml").write_text(OWN)
    with boxed(tmp_path, BOX) as desk:
        reply = call(
            desk, "06:00 trip start", "06:01 set right long church hat", "06:02 lines in",
            "07:00 strike right long", "07:01 no, starboard rigger",
        )  # fmt: skip

    assert "starboard right" not in reply.text
