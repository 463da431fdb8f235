"""Which fish, and which entry, a correction is about; common practice, no source."""

from dataclasses import replace
from pathlib import Path

import pytest

from bot import Desk
from bot.calls.understand import Option, Understanding
from bot.desk.fits import fitting_reading, settle_by_context
from bot.trip.call import Call
from tests.desk_rig import at, call, rows

BEGIN = (
    "06:00 set short corner red ten", "06:00 set long corner blue 12", "06:00 set short rigger green 7",
    "06:00 set long rigger purple 8", "06:00 set shotgun orange 6", "06:01 lines in",
)  # fmt: skip
A_DAY = (
    *BEGIN, "06:18 hooked up long rigger, Wen's rod", "06:30 yellowfin in the boat",
    "07:00 hooked up long corner, Orla's rod", "07:10 released a sailfish",
    "09:05 hooked up shotgun, Dov's rod", "09:14 boated a blue marlin",
    "09:20 hooked up long corner, Wen's rod", "10:41 released a mahi, tag XK51",
    "12:00 hooked up short rigger, Orla's rod", "12:20 released a sailfish",
)  # fmt: skip
FISH = "SELECT act, position, species, weight_kg, tag, substr(at, 12, 5) AS clock FROM entries"
CAUGHT = f"{FISH} WHERE NOT void AND act IN ('boat', 'release') ORDER BY at, id"


def caught(home: Path) -> dict[str, tuple[str | None, float | None]]:
    """Return species and weight of the fish caught, by the time of their end."""
    return {row["clock"]: (row["species"], row["weight_kg"]) for row in rows(home, CAUGHT)}


@pytest.mark.parametrize(
    ("said", "clock", "species", "kilos"),
    [
        ("Dov's fish at 9:14 was a mahi, not a blue", "09:14", "mahi-mahi", None),
        ("the one at 9:14 is a mahi-mahi", "09:14", "mahi-mahi", None),
        ("the mahi at 10:41 was a wahoo", "10:41", "wahoo", None),
        ("the released one with the tag is a black marlin, 350 pounds", "10:41", "black marlin", 158.8),
        ("the yellowfin weighed 71 pounds", "06:30", "yellowfin tuna", 32.2),
        ("the tuna Wen got was a bigeye", "06:30", "bigeye tuna", None),
        ("the first sailfish was 40 pounds", "07:10", "sailfish", 18.1),
        ("the fish on the shotgun was a wahoo", "09:14", "wahoo", None),
        ("change Dov's fish at 9:14 to a wahoo", "09:14", "wahoo", None),
    ],
)  # fmt: skip
def test_a_correction_is_about_the_fish_that_it_names(
    tmp_path: Path, said: str, clock: str, species: str, kilos: float | None
) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *A_DAY)
        before = caught(tmp_path)
        call(desk, f"17:00 {said}")

    assert caught(tmp_path) == before | {clock: (species, kilos)}


def test_where_the_fish_was_is_put_right_in_all_of_its_entries(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *A_DAY, "17:00 the yellowfin was on the short corner, caught by Dov")

    query = "SELECT act, position, angler FROM entries WHERE NOT void AND at < '2026-03-14T06:40'"
    found = {row["act"]: (row["position"], row["angler"]) for row in rows(tmp_path, query)}
    assert found["hookup"][0] == found["boat"][0] == "short corner"
    assert "Dov" in {found["hookup"][1], found["boat"][1]}


@pytest.mark.parametrize(
    ("answer", "clock"),
    [("yes", "12:20"), ("first", "12:20"), ("second", "07:10"), ("long corner", "07:10")],
)
def test_of_two_that_fit_it_is_asked_which_by_time_and_line(
    tmp_path: Path, answer: str, clock: str
) -> None:
    with Desk(tmp_path) as desk:
        asked = call(desk, *A_DAY, "17:00 the sailfish was 40 pounds")
        call(desk, f"17:01 {answer}")

    assert asked.text == (
        "Which fish: the 12:20 sailfish, short rigger, Orla or the 07:10 sailfish, long corner, Orla?"
    )
    heavy = [at for at, (_, kilos) in caught(tmp_path).items() if kilos is not None]
    assert heavy == [clock]


def test_a_fish_that_the_log_has_not_is_named_and_nothing_is_changed(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *A_DAY)
        before = caught(tmp_path)
        reply = call(desk, "17:00 the wahoo was 40 pounds")

    assert reply.text == "The log has no wahoo."
    assert caught(tmp_path) == before


def test_several_fish_are_put_right_in_one_breath(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *A_DAY, "17:00 no wait, the yellowfin was 34 lb, the mahi was 22")

    assert caught(tmp_path)["06:30"] == ("yellowfin tuna", 15.4)
    assert caught(tmp_path)["10:41"] == ("mahi-mahi", 10.0)


@pytest.mark.parametrize("said", ["skippy, its a wahoo not a skipjack", "Dov, it's a wahoo"])
def test_who_is_spoken_to_is_no_fish(tmp_path: Path, said: str) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *A_DAY, "17:00 hooked up shotgun", f"17:01 {said}", "17:02 boated it")

    assert caught(tmp_path)["17:02"] == ("wahoo", None)


def test_what_is_no_correction_of_a_fish_is_read_as_before(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *A_DAY, "17:00 hooked up shotgun")
        reply = call(desk, "17:10 the wahoo is in the boat")

    assert reply.text.startswith("Boated, wahoo, shotgun.")


ONE_ON = (
    *BEGIN, "09:05 hooked up shotgun, Dov's rod", "09:06 hooked up long rigger, Wen's rod",
    "09:14 Dov's mahi is in the boat",
)  # fmt: skip


@pytest.mark.parametrize("said", ["blue. big", "it's a blue marlin"])
def test_a_name_called_while_one_is_on_is_not_that_of_the_one_in_the_box(
    tmp_path: Path, said: str
) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *ONE_ON, f"09:15 {said}")

    query = f"{FISH} WHERE NOT void AND species IS NOT NULL ORDER BY at, id"
    found = [(row["act"], row["position"], row["species"]) for row in rows(tmp_path, query)]
    assert found == [("hookup", "long rigger", "blue marlin"), ("boat", "shotgun", "mahi-mahi")]


@pytest.mark.parametrize("said", ["no, a wahoo", "sorry, it was a wahoo"])
def test_a_name_that_puts_right_is_that_of_the_fish_spoken_of_last(
    tmp_path: Path, said: str
) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *ONE_ON, f"09:15 {said}")

    assert caught(tmp_path) == {"09:14": ("wahoo", None)}


BOX = """name,head,size_in,colours
Tin Whistle,slanted,12,pink white
Old Bench,cupped,9,green gold
Milk Float,slim,7,black purple
Coat Peg,blunt,9,red white
"""
LURES = (
    "06:00 set short corner Tin Whistle", "06:00 set long corner Old Bench",
    "06:00 set shotgun Milk Float", "06:01 lines in",
)  # fmt: skip


def boxed(home: Path) -> Desk:
    box = home / "lures.csv"
    box.write_text(BOX, encoding="utf-8")
    desk = Desk(home)
    desk.box_import(box)
    return desk


def acts(home: Path, since: str) -> list[tuple[str, str | None, str]]:
    query = f"{FISH} WHERE NOT void AND substr(at, 12, 5) >= '{since}' ORDER BY at, id"
    return [(row["act"], row["position"], row["clock"]) for row in rows(home, query)]


def test_a_correction_after_a_miss_is_about_the_miss_and_not_an_older_fish(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *A_DAY, "16:45 missed one on the flat line, the short one")
        call(desk, "16:46 no wait it was twenty to, long corner", "16:46 short corner, sorry")

    assert acts(tmp_path, "13:00") == [("miss", "short corner", "16:40")]
    assert caught(tmp_path)["10:41"] == ("mahi-mahi", None)


@pytest.mark.parametrize(
    ("said", "clock"),
    [("strike shotgun at ten past", "16:10"), ("strike shotgun at quarter to", "15:45")],
)
def test_a_time_without_its_hour_is_the_last_such_time(
    tmp_path: Path, said: str, clock: str
) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *BEGIN, f"16:30 {said}")

    assert acts(tmp_path, "13:00") == [("strike", "shotgun", clock)]


def test_a_count_that_is_taken_back_in_one_breath_makes_no_second_fish(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *BEGIN, "07:00 hooked up shotgun", "07:10 released a sailfish")
        call(desk, "07:12 two sails!! well one")

    query = "SELECT count FROM entries WHERE NOT void AND act = 'release'"
    assert [row["count"] for row in rows(tmp_path, query)] == [None]


@pytest.mark.parametrize("said", ["it's a little tuna, blackfin", "he's a tuna, blackfin"])
def test_of_two_names_for_one_fish_the_closer_is_kept(tmp_path: Path, said: str) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *BEGIN, "07:00 hooked up shotgun", f"07:02 {said}", "07:04 boated it")

    assert caught(tmp_path) == {"07:04": ("blackfin tuna", None)}


@pytest.mark.parametrize("said", ["took the Coat Peg... no, Milk Float", "took the milk float"])
def test_what_a_fish_took_that_broke_off_just_now_is_no_other_strike(
    tmp_path: Path, said: str
) -> None:
    with boxed(tmp_path) as desk:
        call(desk, *LURES, "07:00 strike shotgun", "07:00 hooked up", "07:05 broke him off")
        call(desk, f"07:06 {said}")

    assert acts(tmp_path, "07:00") == [
        ("strike", "shotgun", "07:00"), ("hookup", "shotgun", "07:00"), ("break_off", "shotgun", "07:05"),
    ]  # fmt: skip


def test_what_took_another_lure_is_another_strike(tmp_path: Path) -> None:
    with boxed(tmp_path) as desk:
        call(desk, *LURES, "07:00 strike shotgun", "07:00 hooked up", "07:05 broke him off")
        call(desk, "07:06 took the old bench")

    assert acts(tmp_path, "07:06") == [("strike", "long corner", "07:06")]


def test_a_bite_that_was_weed_is_taken_back_and_the_weed_cleared(tmp_path: Path) -> None:
    with boxed(tmp_path) as desk:
        call(desk, *LURES, "07:00 strike long corner", "07:01 no that was just weed")
        reply = call(desk, "07:03 cleared")

    assert [act for act, *_ in acts(tmp_path, "07:00")] == ["clear", "set"]
    assert "Set, long corner: Old Bench" in reply.text


def test_of_two_swaps_that_whose_lure_is_out_is_made(tmp_path: Path) -> None:
    with boxed(tmp_path) as desk:
        call(desk, *LURES)
        trip = desk.view(at("07:00")).trip
    named = (Call("swap", lure="Coat Peg", old_lure="Old Bench"),)
    others: tuple[tuple[str, ...], ...] = (("gold",), (), ("orange",))
    for colours in others:
        first = (Call("swap", lure="Coat Peg", old_colours=colours),)
        taken = fitting_reading((Option(first, 0.35), Option(named, 0.3)), trip, at("07:00"))
        assert taken == (first if colours == ("gold",) else named)


def test_the_lure_that_comes_in_for_another_goes_nowhere(tmp_path: Path) -> None:
    with boxed(tmp_path) as desk:
        call(desk, *LURES)
        trip = desk.view(at("07:00")).trip
    out, comes_in = Call("set", "shotgun", lure="Coat Peg"), Call("set", lure="Milk Float")
    found = Understanding("", (out, comes_in), 0.65, "?", (Option((out, comes_in), 0.65),))
    fit = settle_by_context(found, trip, at("07:00"))

    assert fit.ask is None
    assert fit.calls == (out,)
    elsewhere = replace(found, calls=(out, Call("set", lure="Old Bench")))
    assert settle_by_context(elsewhere, trip, at("07:00")).ask is not None


def test_it_is_the_fish_that_was_just_asked_about(tmp_path: Path) -> None:
    with Desk(tmp_path) as desk:
        call(desk, *A_DAY, "17:00 the yellowfin weighed 71 pounds")
        call(desk, "17:01 what did the blue marlin eat", "17:02 and it weighed 350 pounds")

    assert caught(tmp_path)["06:30"] == ("yellowfin tuna", 32.2)
    assert caught(tmp_path)["09:14"] == ("blue marlin", 158.8)
