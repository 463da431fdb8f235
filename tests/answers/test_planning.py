"""The answer to "plan a spread", and what comes of it."""

from dataclasses import replace
from datetime import timedelta
from functools import partial
from itertools import count

import pytest

from bot.answers.answer import Answer
from bot.answers.questions import answer
from bot.calls.understand import Understanding
from bot.desk.offers import PLAN_STANDS
from bot.desk.settle import Act, Remark, settle
from bot.tackle.cautions import caution
from bot.tackle.items import Boat, Lure, Outfit
from bot.trip.call import Call
from bot.trip.entry import Asked
from tests.answers.views import BOX, view
from tests.builders import at, call
from tests.meanings import as_said, heard

MANY = tuple(
    Lure(f"{colour} {size}", size, (colour,), hook_gauge="medium", ready=True)
    for colour in ("black", "blue", "red", "green", "pink", "silver")
    for size in (6, 8, 10)
)
LIGHT_SHOTGUN = Boat(outfits=(Outfit("shotgun", 15),))
_ids = count()


def asked(found: Answer, clock: str = "12:00") -> Asked:
    """Return the record of what an answer offers."""
    assert found.offer is not None
    offer = found.offer
    name = f"q{next(_ids)}"
    return Asked(name, offer.question, offer.options, at(clock), about=offer.about)


def another(words: str) -> Call:
    """Return the call of one who asks for a plan in these words."""
    return as_said(Call("plan"), words)


def lures(found: Answer) -> set[str]:
    """Return the lures of an offered plan."""
    assert found.offer is not None
    return {one.lure or "" for one in found.offer.options[0]}


def why(box: tuple[Lure, ...], found: Answer) -> str:
    """Return the answer to "why" while a plan is on offer."""
    return answer(view(box=box, asked=asked(found)), call("ask_why")).text


def test_every_position_is_one_short_line_and_why_has_the_reason_of_its_choice() -> None:
    found = answer(view(box=MANY), call("plan"))
    lines, reasons = found.text.splitlines(), why(MANY, found).splitlines()

    assert lines[1].startswith("short corner: ")
    assert lines[1].endswith(" m back on wave 2.")
    assert len(lines) == 1 + 5 + 1
    assert "Largest of 5, 10-inch" in reasons[1]
    assert "Smallest" in reasons[5]


@pytest.mark.parametrize("tackle", ["heavy", 24.0, None])
def test_another_plan_is_for_the_same_tackle_and_differs_in_three_lures(
    tackle: str | float | None,
) -> None:
    first = answer(view(box=MANY), call("plan", tackle=tackle))
    again = answer(view(box=MANY, asked=asked(first)), another("another plan"))

    assert first.offer is not None
    assert again.offer is not None
    assert first.offer.question == again.offer.question
    assert len(lures(again) - lures(first)) >= 3


def test_a_third_and_a_fourth_plan_differ_in_three_lures_from_all_before() -> None:
    offers: list[Asked] = []
    found = answer(view(box=MANY), call("plan"))
    for number in range(4):
        offers = [replace(asked(found), id=f"p{number}"), *offers]
        moment = view(box=MANY, asked=offers[0], load_questions=partial(tuple, offers))
        found = answer(moment, another("another"))

        earlier = [{one.lure or "" for one in o.options[0]} for o in offers]
        assert min(len(lures(found) - plan) for plan in earlier) >= 3


def test_bare_words_ask_for_another_plan_only_while_one_is_on_offer() -> None:
    offered = asked(answer(view(box=MANY), call("plan")), "06:00")
    strike = Asked("s", "Was that a strike?", ((call("strike"),),), at("06:00"), "strike")

    for words in ("another", "Another one.", "give me another", "no, something else"):
        said = heard(words)
        assert settle(said, offered, None, at("06:01")) == Act((call("plan"),))
        assert settle(said, strike, None, at("06:01")) == Remark("")
        assert settle(said, offered, None, at("06:01") + PLAN_STANDS) == Remark("")


def test_where_no_other_plan_can_be_had_the_first_line_after_it_says_so() -> None:
    first = answer(view(box=BOX), call("plan"))
    again = answer(view(box=BOX, asked=asked(first)), another("another plan"))

    lines = again.text.splitlines()
    assert lines[1 + len(lures(first))].startswith("No other plan: this is the plan before;")


def test_what_could_not_be_met_is_said() -> None:
    small = (Lure("Egg Cup", 7, ("black",), ready=True), Lure("Thimble", 5, ("white",), ready=True))

    found = answer(view(box=small), call("plan"))

    stays = "2 ready for 5 positions: short rigger, long rigger and shotgun stay empty."
    assert stays in found.text
    assert "No ready lure over 7 inches: short corner has a seven." in why(small, found)


def test_the_caution_comes_with_the_first_plan_that_speaks_of_hooks() -> None:
    boat = LIGHT_SHOTGUN
    first = answer(view(box=MANY, boat=boat), call("plan"))
    again = answer(view(box=MANY, boat=boat, asked=asked(first)), another("another plan"))

    assert "medium hooks" in first.text
    assert caution("hooks") in first.text
    assert "medium hooks" in again.text
    assert caution("hooks") not in again.text


def set_it() -> Understanding:
    """Return what "set it" is understood as."""
    return heard("set it", call("yes"))


def test_set_it_logs_the_plan_as_long_as_rigging_takes() -> None:
    offered = asked(answer(view(box=MANY), call("plan")), "06:00")

    later = settle(set_it(), offered, None, at("06:00") + timedelta(minutes=50))
    stale = settle(set_it(), offered, None, at("06:01") + PLAN_STANDS)
    plain_yes = settle(heard("yes", call("yes")), offered, None, at("06:00") + timedelta(hours=1))

    assert later == Act(offered.options[0], offered, closes=True)
    assert isinstance(stale, Remark)
    assert isinstance(plain_yes, Remark)


def test_a_lure_called_ready_leaves_the_plan_open_and_one_set_by_hand_closes_it() -> None:
    offered = asked(answer(view(box=MANY), call("plan")), "06:00")
    ready = heard("red six is ready", call("ready", lure="red 6"))
    laid = heard("shotgun red six", call("set", "shotgun", "red 6"))

    assert settle(ready, offered, None, at("06:01")) == Act(ready.calls, closes=False)
    assert settle(laid, offered, None, at("06:20")) == Act(laid.calls, closes=True)


def test_a_picture_comes_where_it_can_be_seen_and_where_it_is_asked_for() -> None:
    plain = answer(view(box=MANY), call("plan"))
    drawn = answer(view(box=MANY), another("draw me a plan"))

    assert plain.pictures == ()
    assert [one.data[:4] for one in drawn.pictures] == [b"\x89PNG"]
