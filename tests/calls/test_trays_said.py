"""Trays and wishes in the words of a crew: no source but practice, the words are ours."""

import json
from pathlib import Path

import pytest

from bot.bench.corpus import corpus_language
from bot.calls.meant.wishes import spread_calls, spread_wish
from bot.calls.understand import understand
from bot.transcript import typed_transcript
from bot.trip.call import Call
from bot.trip.meant import AsksAbout, OfTray, SpreadWish
from tests.meanings import as_said, reader

ROOT = Path(__file__).parents[2]
RUN = {"act": "plan"}
SHOWN = {"act": "ask_ready"}
PURPLE = {"act": "tray", "colours": ["purple"], "size_in": 8}
PINK = {"act": "tray", "colours": ["pink"], "size_in": 6}


@pytest.mark.parametrize(
    ("said", "calls"),
    [
        ("run tray two", [RUN | {"tray": "two"}]),
        ("put tray two out", [RUN | {"tray": "two"}]),
        ("swap to the slow tray", [RUN | {"tray": "slow"}]),
        ("put the slow spread out", [RUN | {"tray": "slow"}]),
        ("slow spread out please", [RUN | {"tray": "slow"}]),
        ("let's go with the light spread", [RUN | {"tray": "light"}]),
        ("bring in everything and put out the slow spread", [RUN | {"tray": "slow"}]),
        ("plan the slow tray", [RUN | {"tray": "slow"}]),
        ("make a slow tray at six knots", [RUN | {"tray": "slow", "speed_kn": 6}]),
        ("plan a slow spread", [RUN]),
        ("plan a spread at five and a half knots", [RUN | {"speed_kn": 5.5}]),
        ("slow spread at six knots please", [RUN | {"speed_kn": 6}]),
        ("what would you run at five knots", [RUN | {"speed_kn": 5}]),
        ("set up for wahoo", [RUN | {"species": "wahoo"}]),
        ("rough water spread", [RUN]),
        ("what's in tray two", [SHOWN | {"tray": "two"}]),
        ("is everything in the heavy tray rigged", [SHOWN | {"tray": "heavy"}]),
        ("print the card for tray two", [SHOWN | {"tray": "two"}]),
        ("list the trays", [SHOWN]),
        ("which tray is the pink ten in", [SHOWN | {"colours": ["pink"], "size_in": 10}]),
        ("run the tray", [RUN]),
        ("run the marlin tray", [RUN | {"tray": "marlin"}]),
        ("green over yellow seven to tray b",
         [{"act": "tray", "colours": ["green", "yellow"], "size_in": 7, "tray": "b"}]),
        ("what's the packing list", [SHOWN]),
        ("what should be aboard today", [SHOWN]),
        ("are we packed", [SHOWN]),
        ("have we another purple", [SHOWN | {"colours": ["purple"]}]),
        ("any more tens", [SHOWN | {"size_in": 10}]),
        ("put the purple eight in tray two", [PURPLE | {"tray": "two"}]),
        ("purple eight goes in the slow tray", [PURPLE | {"tray": "slow"}]),
        ("take the pink six out of tray two", [PINK | {"tray": "two"}]),
        ("put the pink six and the purple eight in tray two",
         [PINK | {"tray": "two"}, PURPLE | {"tray": "two"}]),
        ("purple eight goes in the slow lot", [PURPLE | {"tray": "slow"}]),
        ("what's in the slow lot", [SHOWN | {"tray": "slow"}]),
        ("tray two's going out", [RUN | {"tray": "two"}]),
        ("is tray two up to date", [SHOWN | {"tray": "two"}]),
        ("empty tray two", [{"act": "tray", "tray": "two"}]),
        ("clear out the morning tray", [{"act": "tray", "tray": "morning"}]),
        ("nothing doing, let's try tray two", [RUN | {"tray": "two"}]),
        ("marlin don't want it, put the slow lot out", [RUN | {"tray": "slow", "species": "marlin"}]),
        ("plan a heavy spread for blue marlin at nine knots",
         [RUN | {"tackle": "heavy", "species": "blue marlin", "speed_kn": 9}]),
        ("another one of that colour", [SHOWN]),
        ("call this the heavy tray", [{"act": "tray", "tray": "heavy"}]),
        ("tray two is for five and a half knots", [{"act": "tray", "tray": "two"}]),
    ],
)  # fmt: skip
def test_a_line_about_a_tray_is_what_the_crew_means(
    said: str, calls: list[dict[str, object]]
) -> None:
    found = understand(typed_transcript(said), corpus_language())

    assert [one.to_json() for one in found.calls] == calls
    assert found.ask is None


@pytest.mark.parametrize(
    "said",
    ["don't run tray two", "we will run tray two later", "should we run the slow tray",
     "put the big one in tray two", "the tray of beers is in the fridge", "the ice tray is empty",
     "set the tray down", "get the tray", "the other boat is running a slow spread",
     "the slow spread is working", "heavy spread's out",
     "slow spread's doing six knots"],
)  # fmt: skip
def test_what_is_no_order_puts_no_tray_out(said: str) -> None:
    assert all(call.tray is None for call in spread_calls(reader().line(said)))


def test_talk_of_other_things_is_never_taken_for_a_tray_or_a_wish() -> None:
    talk = (ROOT / "fixtures" / "calls" / "talk.jsonl").read_text(encoding="utf-8").splitlines()
    lines = [json.loads(line)["text"] for line in talk[::4]]

    assert [line for line in lines if spread_calls(reader().line(line))] == []


@pytest.mark.parametrize(
    "said",
    [
        "the spread is out",
        "set the spread",
        "clear the whole spread",
        "the plan was purple on the corner",
    ],
)
def test_a_spread_without_a_name_is_left_to_others(said: str) -> None:
    assert spread_calls(reader().line(said)) == ()


@pytest.mark.parametrize(
    ("said", "of"),
    [
        ("empty tray two", OfTray(emptied=True)),
        ("call this the heavy tray", OfTray(all_of_it=True)),
        ("naming this one the dirty weather tray", OfTray(all_of_it=True)),
        ("tray two is for five and a half knots", OfTray(speed_kn=5.5)),
        ("the red tray is eighty pound tackle", OfTray(line_class_kg=37.0)),
    ],
)
def test_what_is_done_with_a_tray_goes_with_the_call(said: str, of: OfTray) -> None:
    # 80 lb is the label of the 37 kg class: International Angling Rules, table of line classes.
    assert as_said(Call("tray", tray="x"), said).meaning(OfTray) == of


def test_a_spare_and_a_lure_that_comes_out_are_told_from_one_that_goes_in() -> None:
    lure = Call("tray", tray="two", size_in=8.0, colours=("purple",))

    spare = as_said(lure, "purple eight in tray two as a spare").meaning(OfTray)
    out = as_said(lure, "take the purple eight out of tray two").meaning(OfTray)

    assert spare == OfTray(spare=True)
    assert out == OfTray(out=True)
    assert as_said(lure, "put the purple eight in tray two").meaning(OfTray) is None


@pytest.mark.parametrize(
    ("said", "wish"),
    [
        ("plan a slow spread", SpreadWish(slow=True)),
        ("plan a spread without church hat", SpreadWish(without=("Church Hat",))),
        ("plan a spread without the plug or anything pink", SpreadWish(without=("plug", "pink"))),
        ("plan a spread without pink or green", SpreadWish(without=("pink", "green"))),
        ("plan a spread, keep the corners", SpreadWish(keep=("short corner", "long corner"))),
        ("plan a spread with the corners kept", SpreadWish(keep=("short corner", "long corner"))),
        ("plan a spread, the shotgun stays", SpreadWish(keep=("shotgun",))),
        ("plan a spread for rough water", SpreadWish(sea="rough")),
        ("plan a spread with only jets", SpreadWish(only=("jet",))),
        ("plan a purple spread", SpreadWish(only=("purple",))),
        ("plan a spread with pink and green", SpreadWish(only=("pink", "green"))),
        ("plan a dark spread", SpreadWish(tone="dark")),
        ("plan a spread with nothing over ten inches", SpreadWish(most_in=10.0)),
        ("plan a spread with no lures under eight", SpreadWish(least_in=8.0)),
        ("plan a lure for the shotgun", SpreadWish(at=("shotgun",))),
        ("plan four lines", SpreadWish(lines=4)),
        (
            "plan a spread with church hat on the short corner",
            SpreadWish(lures=("Church Hat",), lures_at=("short corner",)),
        ),
        (
            "plan a spread with the purple eight on the short rigger",
            SpreadWish(lures=("purple 8",), lures_at=("short rigger",)),
        ),
        ("plan a spread with church hat in it", SpreadWish(lures=("Church Hat",))),
        ("plan a spread for the afternoon", None),
        ("plan a spread for the regatta", SpreadWish(unused=("regatta",))),
        ("give me a spread for fifty pound gear", None),
        ("what should we start with today", None),
        ("plan us a starting spread for heavy tackle please", None),
    ],
)
def test_wishes_are_read_and_what_is_not_understood_is_kept_to_be_said(
    said: str, wish: SpreadWish | None
) -> None:
    assert spread_wish(Call("plan"), reader().line(said)) == wish


@pytest.mark.parametrize(
    "said",
    ["plan a spread with only what is in the red tray", "plan something out of the red tray only",
     "plan a spread from the red tray"],
)  # fmt: skip
def test_only_from_a_tray_is_a_wish_and_no_order_to_run_it(said: str) -> None:
    line = reader().line(said)

    (call,) = spread_calls(line)
    wish = spread_wish(call, line)

    assert wish is not None
    assert (wish.from_tray, wish.to_do) == ("red", "")


def test_packing_trays_and_others_of_a_kind_are_told_apart() -> None:
    asks = {
        said: as_said(Call("ask_ready"), said).meaning(AsksAbout)
        for said in ("packing list", "list the trays", "card for tray two", "any more tens")
    }

    assert [one.what if one else "" for one in asks.values()] == [
        "packing", "trays", "card", "another",
    ]  # fmt: skip
