"""Reminders, plans, names and measures: what a seventh day stumbled over; common practice, no source."""

from pathlib import Path

import pytest

from bot import Desk
from tests.desk_rig import at, boxed, call, rows

BOX = """name,size_in,colours,head,ready
Aunt Mabel,12,purple black,slanted,yes
Ginger Ale,10,red brown,cupped,yes
Beet,7,green,slim,yes
Marigold,11,gold orange,blunt,yes
"""


def acts(home: Path) -> list[str]:
    return [row["act"] for row in rows(home) if not row["void"]]


# Reminders


@pytest.mark.parametrize(
    "said",
    [
        "no more weed reminders", "stop reminding us about the weed", "quit reminding us about weed",
        "enough with the weed reminders", "don't remind us of the weed again",
        "no more reminders about the weed mate",
    ],
)  # fmt: skip
def test_a_reminder_is_taken_back_by_what_it_reminds_of(tmp_path: Path, said: str) -> None:
    with Desk(tmp_path) as desk:
        call(desk, "06:00 remind us to check for weed every twenty minutes")
        call(desk, "06:01 remind us of the ice every hour")
        call(desk, f"06:10 {said}")

        kept = desk.say("what reminders are there", crew="Mate", at=at("06:11")).text

    assert "weed" not in kept.split("To take")[0]
    assert "the ice" in kept or "ice" in kept


@pytest.mark.parametrize("said", ["no more weed", "don't forget the weed"])
def test_the_sea_takes_no_reminder_back(tmp_path: Path, said: str) -> None:
    with Desk(tmp_path) as desk:
        call(desk, "06:00 remind us to check for weed every twenty minutes", f"06:10 {said}")

        kept = desk.say("what reminders are there", crew="Mate", at=at("06:11")).text

    assert "Every 20 min while lines are in: check for weed" in kept


def test_what_is_looked_after_while_fishing_is_not_said_while_the_lines_are_out(
    tmp_path: Path,
) -> None:
    with Desk(tmp_path) as desk:
        call(desk, "06:00 set short corner black 14", "06:01 lines in")
        call(desk, "06:05 remind us to check the lures every half hour")
        call(desk, "06:06 remind us of the ice every half hour")
        fishing = desk.claim_due("chat", at("06:40"))
        call(desk, "06:50 lines out")
        out = desk.claim_due("chat", at("07:50"))
        call(desk, "08:00 lines in")
        soon, later = desk.claim_due("chat", at("08:20")), desk.claim_due("chat", at("08:31"))

    assert any("heck the lures" in one for one in fishing)
    assert [one for one in out if "lures" in one] == []
    assert any("ice" in one for one in out)
    assert [one for one in soon if "lures" in one] == []
    assert any("heck the lures" in one for one in later)


# Talk


@pytest.mark.parametrize(
    "said", ["she's a good fish boss", "good fish that", "he's a big fish", "nice fish"]
)
def test_praise_of_a_fish_gets_no_tally(tmp_path: Path, said: str) -> None:
    with Desk(tmp_path) as desk:
        call(
            desk, "06:00 set short corner black 14", "06:01 lines in", "06:30 fish on short corner"
        )
        call(desk, "06:40 boated a wahoo, 20 kilos")

        assert call(desk, f"06:41 {said}").text == ""
        assert call(desk, "06:42 any fish today").text.startswith("1 strike")


# What wants work


def test_the_worst_damage_is_named_first_and_never_cut_off(tmp_path: Path) -> None:
    names = ["Old Boot", "Tin Whistle", "Soup Spoon", "Bus Ticket", "Gas Lamp", "Door Bell", "Cold Tea",
             "Wet Sock", "Last Bun", "Cork Screw"]  # fmt: skip
    colours = ["pink", "black", "green", "blue", "red", "white", "gold", "brown", "silver", "grey"]
    box = "name,size_in,colours,ready\n" + "".join(
        f"{name},{size},{colour},yes\n"
        for size, (name, colour) in enumerate(zip(names, colours, strict=True), 5)
    )
    with boxed(tmp_path, box) as desk:
        call(desk, "06:00 set shotgun old boot", "06:01 lines in")
        for minute, name in enumerate(names[1:], 2):
            call(desk, f"06:{minute * 4:02} swap shotgun to {name}")
        call(desk, "07:00 strike shotgun", "07:01 missed him", "07:05 wet sock needs new hooks")
        call(desk, "07:10 lines out")
        due = call(desk, "07:11 what needs checking").text
        end = call(desk, "07:12 trip end").text

    lines = due.splitlines()
    assert lines[0] == "To rework (1): Wet Sock"
    assert lines[1].startswith("To check (9): Cork Screw")
    assert "To make ready: Wet Sock, Cork Screw" in end
    assert all(name in end.split("To make ready")[1].splitlines()[0] for name in names)


# What is so already


def test_lines_in_and_a_lure_that_hangs_there_are_not_logged_again(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, "06:00 set shotgun beet", "06:01 lines in")
        again = call(desk, "06:10 lines in again").text
        there = call(desk, "06:11 put the beet on the shotgun").text

    assert again == "Lines are in already, since 06:01."
    assert there == "Beet is on the shotgun already."
    assert acts(tmp_path) == ["trip_start", "set", "lines_in"]


@pytest.mark.parametrize(
    "before", ["clear the shotgun", "lines out", "fish on shotgun|boated a wahoo", "weed on the shotgun"]
)  # fmt: skip
def test_a_lure_that_was_brought_in_is_logged_when_it_goes_out_again(
    tmp_path: Path, before: str
) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, "06:00 set shotgun beet", "06:01 lines in")
        call(desk, *(f"06:{20 + n} {said}" for n, said in enumerate(before.split("|"))))
        call(desk, "06:30 put the beet on the shotgun")

    assert acts(tmp_path).count("set") == 2


# Plans


@pytest.mark.parametrize("again", ["set it", "set the plan", "ok set it then", "yes set it"])
def test_a_plan_that_is_set_is_not_planned_anew(tmp_path: Path, again: str) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, "06:00 plan", "06:01 set it")
        told = call(desk, f"06:05 {again}").text

    assert told.startswith("Set already: short corner Aunt Mabel;")
    assert 'Say "plan"' in told
    assert acts(tmp_path).count("set") == 4


def test_set_the_plan_sets_the_one_on_offer(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, "06:00 plan", "06:01 set that spread")

    assert acts(tmp_path) == ["trip_start"] + ["set"] * 4


def test_set_it_without_a_plan_tells_what_is_out(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, "06:00 set shotgun beet", "06:01 lines in", "06:02 strike shotgun")
        told = call(desk, "06:03 set it").text

    assert told.startswith("Set already: shotgun Beet")


@pytest.mark.parametrize(
    "said", ["06:15 set it", "6.15 set it", "set it at quarter past six", "at 6:15 set it", "6:15, set it"]
)  # fmt: skip
def test_a_plan_is_set_at_the_time_that_is_said(tmp_path: Path, said: str) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, "06:00 plan", f"06:20 {said}")

    assert [row["at"] for row in rows(tmp_path) if row["act"] == "set"] == [
        "2026-03-14T06:15:00Z"
    ] * 4


@pytest.mark.parametrize("said", ["06:40 plan", "6.40 plan", "6:40 plan"])
def test_the_time_before_a_question_is_no_wish(tmp_path: Path, said: str) -> None:
    with boxed(tmp_path, BOX) as desk:
        told = call(desk, f"06:41 {said}").text

    assert told.startswith("Plan for")
    assert "understood" not in told


def test_a_time_may_be_typed_with_a_dot_and_a_speed_stays_one(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, "06:30 set shotgun beet", "06:41 6.40 lines in", "06:50 6.50 knots")

    found = rows(tmp_path)
    assert [row["at"][11:16] for row in found if row["act"] == "lines_in"] == ["06:40"]
    assert [row["speed_kn"] for row in found if row["act"] == "speed"] == [6.5]


@pytest.mark.parametrize(
    ("said", "clock"),
    [
        ("push lunch back half an hour", "13:00"), ("move lunch to one pm", "13:00"),
        ("delay lunch by a quarter of an hour", "12:45"), ("bring lunch forward ten minutes", "12:20"),
        ("make lunch half an hour later", "13:00"),
    ],
)  # fmt: skip
def test_a_kept_reminder_is_moved(tmp_path: Path, said: str, clock: str) -> None:
    with Desk(tmp_path) as desk:
        call(desk, "10:00 remind us about lunch at half past twelve", f"11:00 {said}")
        kept = call(desk, "11:01 what reminders are there").text.splitlines()

    assert kept[:-1] == [f"{clock}: lunch, for Mate."]


def test_no_reminder_is_moved_that_is_not_there(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, "10:00 remind us about lunch at half past twelve")

        assert call(desk, "11:00 push breakfast back half an hour").text == ""
    assert acts(tmp_path) == ["trip_start", "note"]


GAUGES = """name,size_in,colours,hook_gauge,ready
Aunt Mabel,12,purple black,heavy,yes
Ginger Ale,10,red brown,heavy,yes
Beet,7,green,light,yes
"""


@pytest.mark.parametrize(
    "said",
    [
        "heavy hooks where?", "where are the heavy hooks", "which lures have heavy hooks",
        "what's got heavy hooks",
    ],
)  # fmt: skip
def test_lures_are_found_by_their_hooks(tmp_path: Path, said: str) -> None:
    with boxed(tmp_path, GAUGES) as desk:
        told = call(desk, "06:00 set shotgun aunt mabel", f"06:01 {said}").text

    assert told.splitlines() == [
        "Heavy hooks out: shotgun Aunt Mabel.", "Aboard: Ginger Ale.",
    ]  # fmt: skip


@pytest.mark.parametrize("said", ["no green", "nothing green"])
def test_a_wish_without_a_plan_on_offer_is_asked_about_and_not_logged(
    tmp_path: Path, said: str
) -> None:
    with boxed(tmp_path, BOX) as desk:
        asked = call(desk, f"06:00 {said}")
        plan = call(desk, "06:01 yes").text

    assert asked.ask == "Did you say: plan a spread without green?"
    assert "Without green" in plan
    assert ": Beet" not in plan
    assert acts(tmp_path) == []


def test_no_green_after_a_bite_may_be_the_bite(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, "06:00 set shotgun marigold", "06:01 lines in", "06:30 strike shotgun")
        asked = call(desk, "06:31 no green")

    assert "correction" in (asked.ask or "")
    assert "without green" in (asked.ask or "")


# Measures


def caught(home: Path, *said: str) -> tuple[float | None, float | None]:
    """Return weight in kg and length in cm of a fish of which this was said, a minute each."""
    with Desk(home) as desk:
        call(desk, "06:00 set shotgun black 14", "06:01 lines in", "06:30 fish on shotgun")
        for minute, line in enumerate(said, 40):
            call(desk, f"06:{minute} {line}")
    row = next(row for row in rows(home) if row["act"] == "boat" and not row["void"])
    return row["weight_kg"], row["length_cm"]


@pytest.mark.parametrize(
    ("said", "measures"),
    [
        (["boated a wahoo", "ninety eight centimetres, i measured",
          "you measured the tail twice. it was eighty nine"], (None, 89)),
        (["boated a mahi, thirty inches, or near it", "thirty four, you're holding the tape wrong"],
         (None, 86.4)),
        (["boated a wahoo, seven kilo", "seven? more like nine. make it nine"], (9, None)),
        (["boated a wahoo, twelve pounds", "no, it was fourteen"], (6.4, None)),
        (["boated a wahoo, seven kilos", "eleven"], (11, None)),
        (["boated a wahoo, 80 cm", "eighty four"], (None, 84)),
        (["boated a wahoo, 20 kilos", "80 cm", "no, eighty four"], (20, 84)),
        (["boated a wahoo, five foot", "five and a half"], (None, 167.6)),
    ],
)  # fmt: skip
def test_a_number_right_after_a_measure_is_that_measure_in_its_unit(
    tmp_path: Path, said: list[str], measures: tuple[float | None, float | None]
) -> None:
    assert caught(tmp_path, *said) == measures


@pytest.mark.parametrize(
    "later", ["nine knots", "that was ten minutes ago", "twenty four degrees", "eighty?"]
)
def test_a_number_that_is_no_such_measure_changes_none(tmp_path: Path, later: str) -> None:
    assert caught(tmp_path, "boated a wahoo, 80 cm", later) == (None, 80)


def test_a_number_too_small_for_the_measure_before_is_another(tmp_path: Path) -> None:
    """Three is no length of a fish of 80 cm; its weight it may be."""
    assert caught(tmp_path, "boated a wahoo, 80 cm", "three")[1] == 80


def test_a_number_long_after_a_measure_is_not_taken_without_a_question(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, "06:00 set shotgun black 14", "06:01 lines in", "06:30 fish on shotgun")
        call(desk, "06:40 boated a wahoo, 80 cm", "07:10 eighty four")

    assert [row["length_cm"] for row in rows(tmp_path) if row["act"] == "boat"] == [80]


@pytest.mark.parametrize(
    ("said", "count"),
    [
        ("boated two sails, well one", None), ("released two sails, sorry one", None),
        ("boated three mahi, no two", 2), ("released three, well two of them, sails", 2),
        ("boated two wahoo", 2),
    ],
)  # fmt: skip
def test_a_count_that_is_put_right_in_the_line_is_the_last_one(
    tmp_path: Path, said: str, count: int | None
) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, "06:00 set shotgun beet", "06:01 lines in", f"06:30 {said}")

    assert rows(tmp_path)[-1]["count"] == count


def test_a_number_that_puts_a_count_right_or_tells_of_one_of_them_is_asked_about(
    tmp_path: Path,
) -> None:
    with boxed(tmp_path, BOX) as desk:
        asked = call(
            desk,
            "06:00 set shotgun beet",
            "06:01 lines in",
            "06:30 boated two sails, one on the gun",
        )
        call(desk, "06:30 second")

    assert asked.ask is not None
    assert asked.ask.startswith("First: boated, shotgun, sailfish, or second: ")
    assert rows(tmp_path)[-1]["count"] == 2


# Names


@pytest.mark.parametrize("said", ["Jules has taken the rod", "Jules has got it"])
def test_a_caller_of_the_day_is_no_lure(tmp_path: Path, said: str) -> None:
    with boxed(tmp_path, "name,size_in,colours\nLittle Jules,7,pink\nBeet,7,green\n") as desk:
        desk.say("set shotgun beet", crew="Jules", at=at("06:00"))
        call(desk, "06:01 lines in", "06:30 fish on shotgun", f"06:31 {said}")
        call(desk, "06:40 little jules needs a new leader")

    found = rows(tmp_path)
    assert [row["angler"] for row in found if row["act"] == "angler"] == ["Jules"]
    assert [row["lure"] for row in found if row["act"] == "rework"] == ["Little Jules"]


def test_the_short_name_of_a_lure_stays_one_where_nobody_is_called_so(tmp_path: Path) -> None:
    with boxed(tmp_path, "name,size_in,colours\nLittle Jules,7,pink\nBeet,7,green\n") as desk:
        call(desk, "06:00 set shotgun beet", "06:40 the jules needs a new leader")

    assert rows(tmp_path)[-1]["lure"] == "Little Jules"


TAX_MAN = "name,size_in,colours\nTax Man,10,pink\nBeet,7,green\n"


@pytest.mark.parametrize("name", ["tax man", "the tax man", "taxman", "the taxman"])
def test_a_lure_that_is_called_like_a_fish_is_the_lure(tmp_path: Path, name: str) -> None:
    with boxed(tmp_path, TAX_MAN) as desk:
        call(
            desk, f"06:00 put {name} on the long corner", "06:01 lines in", f"06:30 {name} got bit"
        )
        call(desk, "06:31 missed him", f"07:20 {name} took it")

    found = [(row["act"], row["lure"], row["species"]) for row in rows(tmp_path)]
    assert found[1] == ("set", "Tax Man", None)
    assert found[3:] == [
        ("strike", "Tax Man", None), ("miss", None, None), ("strike", "Tax Man", None)
    ]  # fmt: skip


def test_without_such_a_lure_the_word_is_the_fish(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, "06:00 set shotgun beet", "06:01 lines in", "06:30 taxman on the shotgun")
        told = desk.collisions()

    assert rows(tmp_path)[-1]["act"] != "set"
    assert told == ()


def test_the_import_says_what_such_a_name_means_now(tmp_path: Path) -> None:
    with boxed(tmp_path, TAX_MAN) as desk:
        assert desk.collisions() == (
            '"tax man" (name Tax Man) was said for shark (species), and now means this',
        )
