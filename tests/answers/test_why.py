"""Why this line, why not that lure, and what is working: the answer is to what was asked."""

from dataclasses import replace

import pytest

from bot.advice.choose import choice_of
from bot.advice.data import Hold
from bot.answers.advise import changes, evaluate_change, in_water, spare, trolling_kn, verdict
from bot.answers.evidence import asked_why
from bot.answers.questions import answer
from bot.answers.view import View
from bot.bench.corpus import corpus_language
from bot.calls.understand import understand
from bot.messages import Advice
from bot.tackle.items import Lure
from bot.transcript import typed_transcript
from bot.trip.call import Call
from bot.trip.entry import Advised
from tests.answers.views import view
from tests.builders import at, call, entry, log_of
from tests.meanings import as_said, asked

BOX = (
    Lure("Plum Jam", 8, ("purple",), ready=True),
    Lure("Tea Cosy", 10, ("green",), ready=True),
    Lure("Rag Doll", 12, ("pink",), ready=False),
    Lure("Coal Sack", 12, ("black",), ready=True),
    Lure("Bed Knob", 9, ("yellow",), ready=True, speed_max_kn=6),
)
DAY = (
    ("06:00", call("lines_in")),
    ("06:00", call("set", "short corner", "@Coal Sack", size_in=12.0, colours=("black",))),
    ("06:00", call("set", "long rigger", "purple white 8")),
    ("06:00", call("set", "shotgun", "red 10")),
    *(
        message
        for clock in ("07:10", "08:20", "09:05", "09:50")
        for message in ((clock, call("strike", "long rigger")), (clock, call("miss")))
    ),
)


def why(clock: str = "10:00", **slots: object) -> str:
    return asked_why(view(log_of(*DAY), clock, BOX), Call("ask_why", **slots)).text  # type: ignore[arg-type]


def test_why_a_line_speaks_of_that_line() -> None:
    assert "on the shotgun" in why(position="shotgun").splitlines()[0]
    assert why(position="long rigger") == (
        "Long rigger: purple and white 8-inch was bitten at 09:50, so it stays where it is."
    )
    assert "has all of the strikes (4 strikes)" in why("11:00", position="long rigger")
    assert why(position="long corner") == "Nothing is logged on the long corner."


def test_why_not_a_lure_speaks_of_that_lure() -> None:
    assert why(colours=("green",)).startswith("Tea Cosy (green 10-inch) on the ")
    assert "Proposed instead: Plum Jam" in why(colours=("green",))
    assert "Rag Doll (pink 12-inch) is not ready: " in why(colours=("pink",))
    assert why(colours=("black",), size_in=12.0) == (
        "Coal Sack (black 12-inch) is out already, on the short corner."
    )
    assert why(colours=("yellow",)) == "Bed Knob runs up to 6 knots, not at 8."
    assert why(colours=("orange",)) == "No orange is in the box."


def test_why_not_that_one_where_it_is_what_is_proposed_gives_its_reasons() -> None:
    found = why(colours=("purple",))

    assert found.startswith("Plum Jam (purple 8-inch) for ")
    assert "For it: " in found
    assert "Against it: " in found


@pytest.mark.parametrize(
    ("words", "slots"),
    [
        ("why the long rigger", {"position": "long rigger"}),
        ("why not a purple one", {"colours": ("purple",)}),
        ("why not the black twelve", {"colours": ("black",), "size_in": 12.0}),
    ],
)
def test_what_is_asked_is_read(words: str, slots: dict[str, object]) -> None:
    (found,) = understand(typed_transcript(words), corpus_language()).calls

    assert found == Call("ask_why", **slots)  # type: ignore[arg-type]


@pytest.mark.parametrize("what", ["size", "colour", "lure", "position", "head"])
@pytest.mark.parametrize("words", ["what {} is working", "which {} is working"])
def test_what_is_working_is_a_tally_by_it(what: str, words: str) -> None:
    (found,) = understand(typed_transcript(words.format(what)), corpus_language()).calls
    found = as_said(found, words.format(what))

    assert found.act == "ask_tally"
    assert found.asks("working")
    assert what == "head" or found.about == what


def test_what_is_working_gives_rates_and_how_sure() -> None:
    now = view(log_of(*DAY), "10:00", BOX)
    sizes = answer(now, asked("what size is working", about="size")).text
    everything = answer(now, asked("what's working")).text

    assert "8-inch: 4 strikes in 4.0 h, 10.0 per 10 h (2.7 to 25.6)" in sizes
    assert "likely better (" in sizes
    for by in ("Colour: ", "Size: 8-inch", "Position: long rigger"):
        assert by in everything


def test_raises_stand_in_the_tallies() -> None:
    raised = [(f"10:{minute}", call("raise", "shotgun")) for minute in (10, 20, 30)]
    now = view(log_of(*DAY[:4], *raised), "11:00", BOX)

    assert answer(now, asked("tally")).text.startswith("0 strikes, 3 raises, 0 hook-ups")
    by_colour = answer(now, asked("which colour", about="colour"))
    assert "red: 0 strikes, 3 raises in 5.0 h" in by_colour.text
    assert by_colour.spoken == "Red, 3 of 3 raises."


def test_what_is_working_tells_what_raises_fish_while_nothing_bites() -> None:
    raised = [(f"10:{minute}", call("raise", "shotgun")) for minute in (10, 20, 30)]
    now = view(log_of(*DAY[:4], *raised), "11:00", BOX)

    lines = answer(now, asked("what's working")).text.splitlines()

    assert lines[0].startswith("0 strikes, 3 raises")
    assert "Position: shotgun, 3 raises in 5.0 h." in lines
    assert "Colour: red, 3 raises in 5.0 h." in lines
    assert lines[-1] == "No strike yet: what raises fish need not be what they bite."


# What stands against a proposal


def test_the_strongest_fact_against_is_told_first() -> None:
    more = [(f"08:{minute}", call("raise", "shotgun")) for minute in (12, 32, 54)]
    now = view(log_of(*DAY, *more), "10:00", BOX)
    found = verdict(now)
    assert isinstance(found, Advice)

    against = asked_why(now, Call("ask_why", position="shotgun")).text

    # Deviances by hand: the place 5.5 (0 and 4 in 4.0 h each), three raises count 0.5 each.
    place = "Shotgun: 0 strikes and 3 raises in 4.0 lure-hours, long rigger: 4 in 4.0;"
    assert f"Against it: {place} it may be the place, not the lure." in against
    assert "Red 10-inch comes out and has had 3 raises there." in against


def test_bites_that_all_came_on_one_line_may_be_the_place_and_not_the_lure() -> None:
    # Deviance by hand: the short corner 0 in 4.0 h, the long rigger 4 in 4.0 h: 2 x 4 x ln 2 = 5.5.
    now = view(log_of(*DAY), "10:00", BOX)
    found = verdict(now)
    assert isinstance(found, Advice)
    line = next(one for one in why().splitlines() if one.startswith("Against it: "))

    assert line.startswith(
        f"Against it: {found.position.capitalize()}: 0 strikes in 4.0 lure-hours"
    )
    assert "long rigger: 4 in 4.0; it may be the place, not the lure." in line


def test_a_line_that_was_bitten_as_often_as_others_is_no_reason_against() -> None:
    strikes = [("09:55", call("strike", line)) for line in ("shotgun", "short corner")] * 4
    now = view(log_of(*DAY, *strikes), "11:30", BOX)

    assert "it may be the place" not in asked_why(now, Call("ask_why")).text


def test_the_place_speaks_only_against_a_lure_like_what_was_bitten_there() -> None:
    assert "it may be the place" in why(colours=("purple",), position="shotgun")
    assert why(colours=("green",), position="shotgun").startswith("Tea Cosy (green 10-inch) on the")
    assert "it may be the place" not in why(colours=("green",), position="shotgun")


def test_no_proposal_is_told_to_have_nothing_against_it() -> None:
    assert "chances in 10 that it is no better" in why() or "chance in 10 that it" in why()
    assert "nothing in the record" not in why()


# Proposals that stay


def test_a_proposal_stands_from_when_it_was_first_made_until_something_happens() -> None:
    records = log_of(*DAY)
    found = verdict(view(records, "10:00", BOX))
    assert isinstance(found, Advice)
    twice = (*records, Advised("zy", found, at("10:00")), Advised("zz", found, at("10:20")))
    said = changes(view(twice, "10:30", BOX))[-1]
    speed = (*twice, entry("10:25", "speed", speed_kn=8.5))
    after = changes(view(speed, "10:30", BOX))[-1]

    assert (said.at, said.stands) == (at("10:00"), True)
    assert (after.at, after.stands) == (at("10:00"), False)


def test_nothing_but_time_changes_no_proposal_within_the_hour() -> None:
    records = log_of(*DAY)
    other = Advice("shotgun", "Plum Jam", "said before", 0.7, 0.1)
    now = view((*records, Advised("zz", other, at("10:00"))), "10:50", BOX)
    later = replace(now, now=at("11:05"))

    found, free = verdict(now), verdict(later)

    assert isinstance(found, Advice)
    assert (found.position, found.lure) == ("shotgun", "Plum Jam")
    assert isinstance(free, Advice | Hold)
    assert free == verdict(view(records, "11:05", BOX))


def test_the_usual_speed_is_the_boats_own_as_far_as_what_is_out_runs_at_it() -> None:
    slow = Lure("Bed Knob", 9, ("yellow",), ready=True, speed_max_kn=6)
    out = (("06:00", call("lines_in")), ("06:00", call("set", "shotgun", "@Bed Knob")))

    assert trolling_kn(view(log_of(*DAY), "10:00", BOX)) == 8.0
    assert trolling_kn(view(log_of(*out), "10:00", (slow,))) == 6.0


# What raises and bait are worth


def test_why_says_what_a_raise_is_worth_and_how_much_bait_still_counts() -> None:
    more = (("09:12", call("raise", "shotgun")), ("09:20", call("bait", size_in=8.0, text="squid")))
    now = view(log_of(*DAY, *more), "10:00", BOX)

    said = asked_why(now, Call("ask_why")).text

    assert "What raises fish also makes them bite, by this record: " in said
    assert "Bait of 8 inches was seen and counts 98 % by now" in said
    assert "Bait of" not in why()
    assert "What raises fish" not in why()


def test_bait_moves_the_proposal_to_its_length_where_nothing_else_is_known() -> None:
    out = (
        ("06:00", call("lines_in")),
        ("06:00", call("set", "short corner", "black 12")),
        ("06:00", call("set", "long rigger", "red 6")),
    )
    box = (Lure("Tea Cosy", 9, ("green",), ready=True), Lure("Egg Cup", 6.5, ("blue",), ready=True))
    asked_at = "07:30"
    plain = view(log_of(*out), asked_at, box)
    told = view(log_of(*out, ("07:00", call("bait", size_in=6.5))), asked_at, box)

    before, after = (_chance(one, "Egg Cup", "short corner") for one in (plain, told))

    assert after > before + 0.05


def _chance(now: View, name: str, position: str) -> float:
    found = evaluate_change(now)
    lure = now.lure(name)
    there = next(one for one in in_water(now) if one.position == position)
    assert lure is not None
    return choice_of(found.outlook, there, spare(lure)).chance
