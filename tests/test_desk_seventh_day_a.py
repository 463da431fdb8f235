"""Which entry and which fish a correction is about, and what never stuck; common practice, no source."""

from pathlib import Path

import pytest

from bot.calls.phrasing import question
from bot.desk.put_right import with_targets
from bot.messages import Message
from bot.trip.acts import AMEND
from bot.trip.amending import Amendments, amendments
from bot.trip.call import Call
from tests.desk_rig import STANDS, at, boxed, call, rows
from tests.meanings import as_said

BOX = (
    "name,head,size_in,colours\nChurch Hat,blunt,10,purple black\nSunday Suit,slanted,12,black white\n"
    "Screen Door,cupped,9,green gold\nPickle Jar,slanted,8,green\nRusty Nail,slim,7,brown orange\n"
    "Broom Handle,slim,6,silver blue\nLittle Nora,jet,6,pink white\n"
)
BEGIN = (
    "06:00 set short corner church hat", "06:00 set long corner sunday suit",
    "06:00 set short rigger screen door", "06:00 set long rigger pickle jar",
    "06:00 set shotgun rusty nail", "06:01 lines in",
)  # fmt: skip
A_SWAP_AFTER_A_BITE = (
    *BEGIN, "07:00 strike short rigger", "07:02 missed him", "07:10 swap the shotgun to the broom handle",
)  # fmt: skip


def stands(home: Path, *acts: str) -> list[tuple[str, str | None]]:
    """Return act and line of the entries that stand, in order of time."""
    return [(row["act"], row["position"]) for row in rows(home, STANDS) if row["act"] in acts]


@pytest.mark.parametrize(
    ("said", "line"),
    [
        ("sorry that was the long rigger that got hit", "long rigger"),
        ("actually the bite was on the long corner", "long corner"),
        ("no the swap is right, the bite was the long rigger", "long rigger"),
        ("it was the long rigger that got hit ten minutes ago", "long rigger"),
    ],
)
def test_a_bite_that_is_spoken_of_is_what_is_put_right(
    tmp_path: Path, said: str, line: str
) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *A_SWAP_AFTER_A_BITE, f"07:11 {said}")

    assert stands(tmp_path, "strike", "miss", "swap") == [
        ("strike", line), ("miss", line), ("swap", "shotgun"),
    ]  # fmt: skip


@pytest.mark.parametrize("said", ["no, the swap was on the short corner", "no, short corner"])
def test_a_swap_that_is_spoken_of_is_put_right_and_no_bite(tmp_path: Path, said: str) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *A_SWAP_AFTER_A_BITE, f"07:11 {said}")

    assert stands(tmp_path, "strike", "swap") == [
        ("strike", "short rigger"), ("swap", "short corner"),
    ]  # fmt: skip


def test_no_other_entry_is_moved_where_no_bite_is_logged(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *BEGIN, "07:10 swap the shotgun to the broom handle")
        reply = call(desk, "07:11 sorry that was the long rigger that got hit")

    assert stands(tmp_path, "swap") == [("swap", "shotgun")]
    assert "no bite" in reply.text


def test_a_time_names_the_bite_that_a_question_offers_to_put_right(tmp_path: Path) -> None:
    said = as_said(
        Call(AMEND, position="long rigger", clock="07:00"), "the 07:00 strike was the long rigger"
    )
    with boxed(tmp_path, BOX) as desk:
        call(desk, *A_SWAP_AFTER_A_BITE)
        view = desk.view(at("07:11"))
        told = with_targets(question(((said,),)), ((said,),), view)
        found = amendments(view.records, said, at("07:11"), view.tz)

    assert "(of strike, short rigger, 07:00)" in told
    assert isinstance(found, Amendments)
    ((target, right),) = found.parts
    assert (target.call.act, right.said()) == ("strike", {"position": "long rigger"})


def test_a_question_names_what_is_put_right_once_the_rest_is_undone(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *A_SWAP_AFTER_A_BITE, "07:11 no, short corner")
        reply = call(desk, "07:12 undo that, the strike was on the long rigger")

    told = reply.ask or ""
    assert "swap" not in told.partition("undo")[2]


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("it was the long rigger that got hit", "bite"),
        ("not the swap, the strike was the long rigger", "bite"),
        ("the swap was the long rigger, the strike is right", "lay"),
        ("no, long rigger", None),
    ],
)
def test_of_several_kinds_the_last_before_the_line_is_meant(text: str, kind: str | None) -> None:
    meant = as_said(Call(AMEND, position="long rigger"), text).meant

    assert [getattr(one, "kind", None) for one in meant if hasattr(one, "kind")] == (
        [kind] if kind else []
    )


def test_another_name_is_that_of_the_whole_fish(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(
            desk, *BEGIN, "07:00 yellowfin on, shotgun", "07:10 leader on the yellowfin",
            "07:12 boated the yellowfin", "07:20 that yellowfin was a bigeye in the end",
        )  # fmt: skip

    found = [(r["act"], r["species"]) for r in rows(tmp_path, STANDS) if r["species"]]
    assert found == [(act, "bigeye tuna") for act in ("hookup", "leader", "boat")]


def test_a_closer_name_leaves_what_was_said_before_as_it_was(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(
            desk, *BEGIN, "07:00 marlin on, shotgun", "07:12 released the marlin",
            "07:13 it was a blue marlin",
        )  # fmt: skip

    found = [(r["act"], r["species"]) for r in rows(tmp_path, STANDS) if r["species"]]
    assert found == [("hookup", "marlin"), ("release", "blue marlin")]


@pytest.mark.parametrize(
    ("said", "species", "kilos"),
    [
        ("blackfin* 22 lb", "blackfin tuna", 10.0),
        ("bigeye, 30 kg", "bigeye tuna", 30.0),
        ("wahoo* 22 lb", "wahoo", 10.0),
        ("it was a wahoo, 12 kilos", "wahoo", 12.0),
        ("tuna, 13 kilos", "yellowfin tuna", 13.0),
    ],
)
def test_a_name_said_with_a_weight_is_put_right_unless_it_says_less(
    tmp_path: Path, said: str, species: str, kilos: float
) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *BEGIN, "07:00 hooked up shotgun", "07:12 boated a yellowfin", f"07:13 {said}")

    (row,) = [r for r in rows(tmp_path, STANDS) if r["act"] == "boat"]
    assert (row["species"], row["weight_kg"]) == (species, kilos)


def test_a_quite_other_name_with_a_length_is_asked_about(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *BEGIN, "07:00 hooked up shotgun", "07:12 boated a mahi")
        asked = call(desk, "07:13 a wahoo, 12 kilos")
        call(desk, "07:13:30 second")

    (row,) = [r for r in rows(tmp_path, STANDS) if r["act"] == "boat"]
    assert asked.ask is not None
    assert (row["species"], row["weight_kg"]) == ("mahi-mahi", 12.0)


FOUGHT_BY_IVO = (
    *BEGIN,
    "07:00 strike short corner",
    "07:00:30 hooked up",
    "07:01 Ivo's on the rod",
)


@pytest.mark.parametrize(
    "said", ["this is long corner, not short, look at the rod", "no, long corner"]
)
def test_the_fish_moves_with_the_rod_that_somebody_took(tmp_path: Path, said: str) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *FOUGHT_BY_IVO, f"07:03 {said}")
        on = desk.view(at("07:04")).trip.fish_on

    assert [(one.position, one.lure, one.angler) for one in on] == [
        ("long corner", "Sunday Suit", "Ivo")
    ]
    moved = stands(tmp_path, "strike", "hookup", "angler")
    assert moved == [(act, "long corner") for act in ("strike", "hookup", "angler")]


def test_only_the_rod_is_another_where_a_fish_is_on_there_too(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(
            desk, *BEGIN, "07:00 hooked up short corner", "07:02 hooked up long corner",
            "07:04 Ivo's on the short corner", "07:05 no, long corner",
        )  # fmt: skip

    assert stands(tmp_path, "hookup", "angler") == [
        ("hookup", "short corner"), ("hookup", "long corner"), ("angler", "long corner"),
    ]  # fmt: skip


def test_a_fish_called_again_on_its_line_is_the_same_with_its_angler(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *BEGIN)
        call(desk, "07:00 hooked up on the shotgun", crew="Marit")
        reply = call(desk, "07:01:30 fish on the shotgun, Ivo's on it", crew="Jonah")
        on = desk.view(at("07:02")).trip.fish_on

    assert reply.ask is None
    assert [(one.position, one.angler) for one in on] == [("shotgun", "Ivo")]
    assert stands(tmp_path, "hookup") == [("hookup", "shotgun")]


@pytest.mark.parametrize("clock", ["07:00:40", "07:02"])
def test_somebody_else_on_the_rod_is_no_other_fish(tmp_path: Path, clock: str) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *BEGIN)
        call(desk, "07:00 I'm hooked up on the shotgun", crew="Marit")
        reply = call(desk, f"{clock} fish on the shotgun, Ivo's on it", crew="Jonah")
        on = desk.view(at("07:03")).trip.fish_on

    assert reply.ask is None
    assert [one.angler for one in on] == ["Ivo"]
    assert stands(tmp_path, "hookup", "angler") == [("hookup", "shotgun"), ("angler", "shotgun")]


@pytest.mark.parametrize(
    "said", ["07:02 another fish on the shotgun", "07:08 hooked up on the shotgun"]
)
def test_another_fish_on_a_line_is_another(tmp_path: Path, said: str) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *BEGIN, "07:00 hooked up on the shotgun", said)

    assert stands(tmp_path, "hookup") == [("hookup", "shotgun")] * 2


@pytest.mark.parametrize(
    "before", [("07:00 strike shotgun", "07:00:30 fish on"), ("07:00 hooked up shotgun",)]
)
def test_a_fish_that_never_stuck_was_no_hook_up_in_any_count(
    tmp_path: Path, before: tuple[str, ...]
) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *BEGIN)
        call(desk, *before, crew="Marit")
        reply = desk.answer(
            Message("Jonah", at("07:02"), "telegram", text="missed him", skipper=False)
        )
        tally = call(desk, "07:03 tally")
        (fish,) = desk.view(at("07:03")).trip.fish

    assert stands(tmp_path, "strike", "hookup", "miss") == [
        ("strike", "shotgun"), ("miss", "shotgun"),
    ]  # fmt: skip
    assert "Taken back: hooked up, shotgun" in reply.text
    assert "1 strike, 0 hook-ups" in tally.text
    assert (fish.was_on, fish.off_water) == (False, None)


def test_a_fish_that_was_at_the_leader_was_on(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *BEGIN, "07:00 hooked up shotgun", "07:03 leader", "07:04 missed him")

    assert ("hookup", "shotgun") in stands(tmp_path, "hookup")


def test_the_undo_of_a_miss_brings_the_hook_up_back(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *BEGIN, "07:00 hooked up shotgun", "07:02 missed him", "07:03 undo")

    assert stands(tmp_path, "strike", "hookup", "miss") == [("hookup", "shotgun")]


A_WAHOO_AND_A_MISS = (
    *BEGIN, "07:00 hooked up shotgun, Ivo's rod", "07:10 boated a wahoo", "07:20 strike long corner",
    "07:21 missed it",
)  # fmt: skip


@pytest.mark.parametrize(
    ("before", "lure"),
    [
        ("07:22 that wahoo was 20 pounds", "Rusty Nail"),
        ("07:22 how many wahoo did we catch", "Rusty Nail"),
        ("07:22 eight knots", "Sunday Suit"),
    ],
)
@pytest.mark.parametrize("said", ["what did that fish have on", "what lure was that fish on"])
def test_the_fish_that_is_asked_about_is_the_one_spoken_of(
    tmp_path: Path, before: str, lure: str, said: str
) -> None:
    with boxed(tmp_path, BOX) as desk:
        reply = call(desk, *A_WAHOO_AND_A_MISS, before, f"07:23 {said}")

    assert reply.text.startswith(lure)


def test_the_last_strike_stays_the_last(tmp_path: Path) -> None:
    with boxed(tmp_path, BOX) as desk:
        reply = call(
            desk,
            *A_WAHOO_AND_A_MISS,
            "07:22 that wahoo was 20 pounds",
            "07:23 when was the last strike",
        )

    assert "07:20" in reply.text


def test_who_had_the_rod_is_told_with_the_fish_and_put_right(tmp_path: Path) -> None:
    right = as_said(Call(AMEND, angler="Marit"), "Marit had the rod at the end there")
    with boxed(tmp_path, BOX) as desk:
        asked = call(desk, *A_WAHOO_AND_A_MISS, "07:22 who had the rod?")
        view = desk.view(at("07:23"))
        found = amendments(view.records, right, at("07:23"), view.tz)

    assert asked.text.startswith("Ivo: wahoo, shotgun")
    assert isinstance(found, Amendments)
    assert [(e.call.act, e.call.position) for e, _ in found.parts] == [("hookup", "shotgun")]


def test_who_took_the_rod_last_is_put_right(tmp_path: Path) -> None:
    right = as_said(Call(AMEND, angler="Marit"), "Marit had the rod at the end there")
    with boxed(tmp_path, BOX) as desk:
        call(desk, *BEGIN, "07:00 hooked up shotgun, Ivo's rod", "07:05 Jonah's on the rod")
        call(desk, "07:10 boated a wahoo")
        view = desk.view(at("07:12"))
        found = amendments(view.records, right, at("07:12"), view.tz)

    assert isinstance(found, Amendments)
    assert [e.call.act for e, _ in found.parts] == ["angler"]


@pytest.mark.parametrize(
    "said",
    [
        "nothing wrong with little nora, scrap that",
        "nothing wrong with the little nora after all",
        "scrap the rework on little nora",
    ],
)
def test_what_a_lure_was_to_be_reworked_for_is_taken_back(tmp_path: Path, said: str) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(
            desk, *BEGIN, "07:00 little nora needs a new leader", "07:01 rusty nail is bent",
            "07:02 strike shotgun", f"07:03 {said}",
        )  # fmt: skip

    left = [r["lure"] for r in rows(tmp_path, STANDS) if r["act"] == "rework"]
    assert left == ["Rusty Nail"]
    assert ("strike", "shotgun") in stands(tmp_path, "strike")


@pytest.mark.parametrize(
    "said", ["nothing wrong with the pickle jar", "nothing wrong with little nora, put it out"]
)
def test_only_a_lure_that_waits_for_work_and_nothing_else_is_meant(
    tmp_path: Path, said: str
) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *BEGIN, "07:00 little nora needs a new leader", f"07:03 {said}")

    assert [r["lure"] for r in rows(tmp_path, STANDS) if r["act"] == "rework"] == ["Little Nora"]


@pytest.mark.parametrize("said", ["strike on it!!", "it just got hit", "it's going off"])
def test_a_bite_on_it_is_on_the_line_that_was_just_changed(tmp_path: Path, said: str) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(
            desk, *BEGIN,
            "07:01 swap the shotgun to the broom handle", "07:05 eight knots", f"07:09 {said}",
        )  # fmt: skip

    (row,) = [r for r in rows(tmp_path, STANDS) if r["act"] == "strike"]
    assert (row["position"], row["lure"]) == ("shotgun", "Broom Handle")


@pytest.mark.parametrize(
    "between",
    [
        ("07:02 swap the long corner to little nora",),
        ("07:02 strike short corner", "07:03 missed it"),
    ],
)
def test_it_is_no_line_where_another_was_changed_or_bitten(
    tmp_path: Path, between: tuple[str, ...]
) -> None:
    with boxed(tmp_path, BOX) as desk:
        call(desk, *BEGIN, "07:01 swap the shotgun to the broom handle", *between)
        call(desk, "07:06 strike on it")

    assert ("strike", "shotgun") not in stands(tmp_path, "strike")
