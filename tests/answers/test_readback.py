"""What a message did, in the words of its reply."""

from collections.abc import Sequence

from bot.answers.answer import Answer, Change
from bot.answers.readback import read_back
from bot.answers.view import View
from bot.messages import Advice
from bot.tackle.items import Lure
from bot.trip.call import Call
from bot.trip.entry import Advised, Record
from tests.answers.views import BOX, view
from tests.builders import at, call, log_of, said

TWIN = Lure("Coal Scuttle", 12, ("black",), ready=True)
"""What the advice will want elsewhere when the black twelve has all the strikes."""
OUT = log_of(
    ("06:00", call("lines_in")),
    ("06:00", call("set", "short corner", "@Garden Gate", size_in=12, colours=("black", "purple"))),
    ("06:00", call("set", "shotgun", "red 6")),
)


def told(records: Sequence[Record], clock: str, *calls: Call, boxed: bool = False) -> Answer:
    """Return the read-back of calls said at a time on top of records."""
    box = (*BOX, TWIN) if boxed else ()
    decision, after = said(records, clock, *calls, box=box)
    new = after[len(records) :]
    before = view(records, clock, box)
    return read_back(Change(decision, new, before, _after(after, clock, before), at(clock)))


def _after(records: Sequence[Record], clock: str, before: View) -> View:
    return view(records, clock, before.box, boat=before.boat)


def test_a_strike_is_read_back_with_the_tally_and_the_next_step_each_on_a_line() -> None:
    answer = told(OUT, "08:00", call("strike", "short corner"))

    first, second, third = answer.text.splitlines()
    assert first == "Strike, short corner, Garden Gate. 2 h 00 min in the water."
    assert second == "Black 1 of 1 strike; short corner 1 in 2.0 h."
    assert third.startswith("Hold until ")
    assert answer.spoken == "Strike, short corner, Garden Gate."


def test_the_caution_comes_once_a_trip_with_the_first_fish_that_is_on() -> None:
    first = told(OUT, "08:00", call("strike", "shotgun"), call("hookup"))
    later = log_of(
        ("06:00", call("lines_in")),
        ("07:00", call("hookup", "shotgun")),
        ("07:20", call("release")),
    )
    second = told(later, "08:00", call("hookup", "shotgun"))

    assert "Skipper first" in first.text
    assert "Skipper first" not in second.text


def test_while_a_fish_is_on_nothing_is_proposed() -> None:
    answer = told(OUT, "08:00", call("hookup", "shotgun"), boxed=True)

    assert answer.advice is None
    assert "Hold until it is off: a fish is on" in answer.text
    assert "clear lines as the skipper calls" in answer.text


def test_what_contradicts_the_log_is_said_and_a_yes_would_mend_it() -> None:
    answer = told(OUT, "08:00", call("strike", "shotgun", "green 9"))

    assert "The log has red 6-inch on shotgun, not green 9-inch." in answer.text
    assert answer.offer is not None
    ((mend,),) = answer.offer.options
    assert (mend.act, mend.position, mend.colours, mend.size_in) == (
        "swap",
        "shotgun",
        ("green",),
        9,
    )
    assert [button.say for button in answer.buttons] == ["yes", "no"]


def test_an_undo_names_what_it_took_and_the_tally_after_it() -> None:
    records = log_of(("06:00", call("lines_in")), ("07:00", call("strike", "shotgun")))

    answer = told(records, "07:01", call("undo"))

    assert answer.text.splitlines() == ["Undone: strike, shotgun.", "0 strikes."]


def test_a_correction_says_so() -> None:
    records = (*OUT, *said(OUT, "07:00", call("strike", "shotgun"))[1][len(OUT) :])

    answer = told(records, "07:01", call("amend", "short corner"))

    assert answer.text.startswith("Corrected: strike, short corner, Garden Gate")


def test_what_cannot_be_undone_is_refused_in_a_sentence() -> None:
    assert told((), "07:00", call("undo")).text == "There is nothing to undo."


def test_several_lures_set_at_once_are_one_line() -> None:
    answer = told(
        (), "07:00", call("set", "shotgun", "red 6"), call("set", "long rigger", "blue 9")
    )

    assert answer.text.splitlines()[0] == "Set: shotgun red 6-inch; long rigger blue 9-inch."


def test_a_proposal_that_stands_is_not_written_out_again() -> None:
    strikes = tuple((f"0{h}:30", call("strike", "short corner"), call("miss")) for h in (6, 7, 8))
    records = (*OUT, *log_of(*strikes))
    first = told(records, "09:00", call("strike", "short corner"), call("miss"), boxed=True)
    assert isinstance(first.advice, Advice)
    advised = (*records, Advised("zz", first.advice, at("09:00")))

    again = told(advised, "09:05", call("strike", "short corner"), call("miss"), boxed=True)

    assert isinstance(again.advice, Advice)
    assert (again.advice.position, again.advice.lure) == (first.advice.position, first.advice.lure)
    assert first.advice.reason.rstrip(".") in first.text
    assert f"Next: still {again.advice.lure} (black 12-inch) for red 6-inch on the" in again.text
    assert first.advice.reason.rstrip(".") not in again.text


def test_a_question_in_the_same_breath_is_answered_too() -> None:
    answer = told(OUT, "08:00", call("strike", "shotgun"), call("ask_spread"))

    assert "Strike, shotgun, red 6-inch" in answer.text
    assert "Short corner: Garden Gate" in answer.text
