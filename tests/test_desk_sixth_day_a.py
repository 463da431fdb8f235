"""Which fish, and which entry, a correction is about; common practice, no source."""

from pathlib import Path

import pytest

from bot import Desk
from tests.desk_rig import call, rows

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
