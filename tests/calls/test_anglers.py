"""Who is on the rod, by name, in a line of its own or at the end of another. Common practice, no source."""

import pytest

from bot.bench.corpus import corpus_language
from bot.calls.understand import Understanding, understand
from bot.calls.weigh import Hints
from bot.transcript import typed_transcript
from bot.trip.call import Call

ABOARD = Hints(speaker="Ana", crew=frozenset({"Ana", "Mark", "Tomas"}))


def read(text: str) -> Understanding:
    return understand(typed_transcript(text), corpus_language(), ABOARD)


@pytest.mark.parametrize(
    ("text", "anglers"),
    [
        ("petra's in the chair", [("Petra", None)]),
        ("Petras in the chair", [("Petra", None)]),
        ("tomas in the chair", [("Tomas", None)]),
        ("mark takes the rod", [("Mark", None)]),
        ("okay nils takes over the rod now", [("Nils", None)]),
        ("that's petra's rod", [("Petra", None)]),
        ("next up is nils", [("Nils", None)]),
        ("i take the rod", [("Ana", None)]),
        ("I've got the rod now", [("Ana", None)]),
        ("petra has the shotgun", [("Petra", "shotgun")]),
        ("nils is up on the long rigger", [("Nils", "long rigger")]),
        (
            "petra has the short corner rod nils has got the long rigger",
            [("Petra", "short corner"), ("Nils", "long rigger")],
        ),
    ],
)
def test_a_line_that_says_who_is_on_the_rod(
    text: str, anglers: list[tuple[str, str | None]]
) -> None:
    found = read(text)

    assert found.ask is None
    assert [(c.act, c.angler, c.position) for c in found.calls] == [
        ("angler", name, position) for name, position in anglers
    ]


@pytest.mark.parametrize(
    "text", ["got one on the long rigger, Ben", "hooked up long rigger, tomas"]
)
def test_a_name_behind_a_comma_is_the_angler(text: str) -> None:
    (call,) = read(text).calls

    assert (call.position, call.angler) == ("long rigger", text.split(", ")[1].capitalize())


@pytest.mark.parametrize(
    "text", ["hooked up on the long rigger", "fish on the shotgun", "double's on the rod"]
)  # fmt: skip
def test_what_is_no_name_is_no_angler(text: str) -> None:
    assert all(call.angler is None for call in read(text).calls)


def test_somebody_on_the_rod_is_no_hook_up() -> None:
    assert read("petra is in the chair").calls == (Call("angler", angler="Petra"),)


@pytest.mark.parametrize(("text", "act"), [("yes sir", "yes"), ("yessir", "yes"), ("no sir", "no")])
def test_an_answer_with_a_sir_is_an_answer_and_a_sir_alone_is_none(text: str, act: str) -> None:
    assert [call.act for call in read(text).calls] == [act]
    assert read("sir").calls == ()
    assert read("captain").calls == ()


@pytest.mark.parametrize("text", ["s is on the rod", "hooked up, s rod"])
def test_no_angler_is_without_a_name_where_the_speaker_is_not_known(text: str) -> None:
    found = understand(typed_transcript(text), corpus_language())

    assert found.calls
    assert all(call.angler != "" for call in found.calls)
