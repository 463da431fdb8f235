"""A tray that goes out with something else in it, in the words of a crew: no source but practice."""

import pytest

from bot.bench.corpus import corpus_language
from bot.calls.meant.questions import another_plan
from bot.calls.meant.wishes import spread_calls, spread_wish
from bot.calls.understand import understand
from bot.transcript import typed_transcript
from bot.trip.call import Call
from bot.trip.meant import OfTray, SpreadWish
from tests.meanings import as_said, reader

RUN = {"act": "plan", "tray": "two"}
PINK = {"act": "set", "position": "shotgun", "colours": ["pink"], "size_in": 8}


@pytest.mark.parametrize(
    ("said", "calls"),
    [
        ("run tray two, and the pink eight on the shotgun", [RUN, PINK]),
        ("run tray two and put the pink eight on the shotgun", [RUN, PINK]),
        ("swap to tray two with the pink eight on the gun", [RUN, PINK]),
        ("put tray two out with the pink eight on the shotgun please", [RUN, PINK]),
        ("tray two goes out, but the pink eight on the shotgun", [RUN, PINK]),
        ("run tray two, the ten inch pink one on the shotgun", [RUN, PINK | {"size_in": 10}]),
        ("run tray two, church hat on the shotgun and the rusty nail on the long corner",
         [RUN, {"act": "set", "position": "shotgun", "lure": "Church Hat"},
          {"act": "set", "position": "long corner", "lure": "Rusty Nail"}]),
        ("run tray two, church hat instead of the rusty nail",
         [RUN, {"act": "set", "lure": "Church Hat"}]),
        ("run tray two without the church hat", [RUN]),
        ("run everything in tray two but the church hat", [RUN]),
        ("run tray two but keep the church hat on the short corner", [RUN]),
        ("run tray two for blue marlin", [RUN | {"species": "blue marlin"}]),
        ("run tray two?", [{"act": "ask_ready", "tray": "two"}]),
        ("run tray two with the pink eight on the shotgun?", [{"act": "ask_ready", "tray": "two"}]),
    ],
)  # fmt: skip
def test_a_tray_and_what_goes_out_with_it_are_read_in_one_breath(
    said: str, calls: list[dict[str, object]]
) -> None:
    found = understand(typed_transcript(said), corpus_language())

    assert [one.to_json() for one in found.calls] == calls
    assert found.ask is None


@pytest.mark.parametrize(
    "said",
    [
        "run tray two, strike on the purple eight on the shotgun",
        "run tray two, the church hat on the shotgun needs new hooks",
    ],
)
def test_what_befell_a_lure_behind_a_tray_puts_it_on_no_line(said: str) -> None:
    found = spread_calls(reader().line(said))

    assert all(call.act != "set" for call in found)


def wish(said: str) -> SpreadWish:
    call = Call("plan", tray="two") if "tray" in said else Call("plan")
    return spread_wish(call, reader().line(said)) or SpreadWish()


def test_what_stays_and_what_is_left_in_the_tray_is_kept_with_the_call() -> None:
    assert wish("run tray two but keep the corners").keep == ("short corner", "long corner")
    assert wish("run tray two, shotgun stays").keep == ("shotgun",)
    assert wish("run tray two except the shotgun").keep == ("shotgun",)
    assert wish("put tray two out but the church hat stays").keep == ("Church Hat",)
    assert wish("run tray two without the church hat").without == ("Church Hat",)
    assert wish("run everything in tray two but the church hat").without == ("Church Hat",)
    assert wish("run tray two, rusty nail instead of church hat").without == ("Church Hat",)


def test_a_line_that_a_plan_is_to_be_without_is_not_the_only_one_planned() -> None:
    found = wish("plan a spread without the shotgun")

    assert found.not_at == ("shotgun",)
    assert found.at == ()
    assert wish("plan a spread, nothing on the shotgun").not_at == ("shotgun",)


def test_a_question_about_a_tray_is_no_order() -> None:
    assert wish("run tray two?").to_do == ""
    assert wish("run tray two").to_do == "run"


@pytest.mark.parametrize(
    "said",
    [
        "move the church hat from the slow tray to tray two",
        "take the church hat out of the slow tray and put it in tray two",
        "put the church hat from the slow tray in tray two",
    ],
)
def test_a_lure_that_goes_from_one_tray_into_another_comes_out_of_the_first(said: str) -> None:
    calls = spread_calls(reader().line(said))

    assert [call.to_json() for call in calls] == [
        {"act": "tray", "lure": "Church Hat", "tray": "slow"},
        {"act": "tray", "lure": "Church Hat", "tray": "two"},
    ]
    out = [as_said(call, said).meaning(OfTray) for call in calls]
    assert [of is not None and of.out for of in out] == [True, False]


def test_one_to_a_tray_is_no_twelve() -> None:
    (call,) = spread_calls(reader().line("add a red one to the fast tray"))

    assert call.to_json() == {"act": "tray", "colours": ["red"], "tray": "fast"}


def test_the_rest_is_planned_where_the_corners_stay() -> None:
    (call,) = spread_calls(reader().line("keep the corners and plan the rest"))

    assert call.act == "plan"
    assert wish("keep the corners and plan the rest").keep == ("short corner", "long corner")


def test_the_same_without_a_colour_is_another_plan_and_no_bite() -> None:
    found = another_plan(reader().line("same again but no red"))

    assert found is not None
    assert found.without == ("red",)
