"""What a message is taken for, beside the question that is open."""

from datetime import datetime, timedelta

import pytest

from bot.answers.open_questions import STALE_AFTER
from bot.calls.understand import Option, Understanding
from bot.desk.settle import Act, Doubt, Remark, open_question, settle
from bot.messages import Advice
from bot.trip.call import Call
from bot.trip.entry import Advised, Asked
from tests.builders import at, call
from tests.meanings import heard

RIGGER = (call("strike", "long rigger"),)
CORNER = (call("strike", "long corner"),)
BIRDS = (call("sighting", what="birds"),)
TWO = Asked("q", "First or second?", (RIGGER, CORNER), at("06:00"), "strike long", "Kim")
ONE = Asked("q", "Did you say?", (RIGGER,), at("06:00"), "stroke long rigger", "Kim")
CLOSED = Asked("r", "", (), at("06:00"))
SWAP = call("swap", "shotgun", "@Tea Cosy")
PROPOSED = (Advised("a", Advice("shotgun", "Tea Cosy", "why", 0.8, 0.1), at("06:00")), SWAP)


def sure(text: str, *calls: Call) -> Understanding:
    return heard(text, *calls)


def unsure(text: str, *options: tuple[Call, ...]) -> Understanding:
    return Understanding(
        text, options[0], 0.6, "Did you say?", tuple(Option(o, 0.4) for o in options)
    )


def soon(asked: Asked = TWO, after: timedelta = timedelta(seconds=30)) -> datetime:
    return asked.at + after


@pytest.mark.parametrize(
    ("words", "chosen"),
    [("first", RIGGER), ("the first one", RIGGER), ("1", RIGGER), ("Number one.", RIGGER),
     ("second", CORNER), ("2nd", CORNER), ("two", CORNER), ("the latter", CORNER)],
)  # fmt: skip
def test_a_choice_takes_that_reading(words: str, chosen: tuple[Call, ...]) -> None:
    found = settle(sure(words), TWO, None, soon())

    assert found == Act(chosen, TWO, closes=True)


def test_a_choice_is_a_choice_even_where_it_sounds_like_a_call() -> None:
    found = settle(sure("one", call("strike")), TWO, None, soon())

    assert found == Act(RIGGER, TWO, closes=True)


@pytest.mark.parametrize(
    ("said", "asked", "advised"),
    [("yes", ONE, None), ("yes", None, PROPOSED), ("second", TWO, None), ("yes", TWO, None)],
)
def test_a_bare_yes_that_may_not_have_been_meant_for_the_boat_logs_nothing(
    said: str, asked: Asked | None, advised: tuple[Advised, Call] | None
) -> None:
    answer = sure(said, *([call("yes")] if said == "yes" else []))

    found = settle(answer, asked, advised, soon(), undisturbed=True, doubtful=True)

    assert isinstance(found, Remark)
    assert found.text
    assert found.keeps_open is (asked is not None)


def test_a_whole_call_after_a_doubtful_phrase_is_taken() -> None:
    found = settle(sure("birds", *BIRDS), ONE, None, soon(), doubtful=True)

    assert found == Act(BIRDS, None)


def test_yes_to_one_reading_takes_it() -> None:
    assert settle(sure("yes", call("yes")), ONE, None, soon()) == Act(RIGGER, ONE, closes=True)


def test_yes_to_two_readings_asks_which() -> None:
    found = settle(sure("yes", call("yes")), TWO, None, soon())

    assert isinstance(found, Remark)
    assert found.keeps_open
    assert not found.closes


def test_second_of_one_reading_keeps_the_question() -> None:
    found = settle(sure("second"), ONE, None, soon())

    assert isinstance(found, Remark)
    assert found.keeps_open


def test_no_closes_the_question() -> None:
    found = settle(sure("no", call("no")), ONE, None, soon())

    assert found == Remark("Not logged.", closes=True)


@pytest.mark.parametrize("again", [sure("strike long corner", *CORNER), unsure("s l c", CORNER)])
def test_the_same_said_again_answers_sure_or_not(again: Understanding) -> None:
    assert settle(again, TWO, None, soon()) == Act(CORNER, TWO, closes=True)


def test_another_sure_call_stands_for_itself_and_leaves_the_question_open() -> None:
    assert settle(sure("birds", *BIRDS), TWO, None, soon()) == Act(BIRDS, None, closes=False)


def test_the_same_called_again_closes_the_question() -> None:
    again = (call(TWO.options[0][0].act, "shotgun"),)

    assert settle(sure("again", *again), TWO, None, soon()) == Act(again, None, closes=True)


def test_a_question_of_the_crew_leaves_the_open_one_open() -> None:
    tally = call("ask_tally")

    assert settle(sure("tally", tally), TWO, None, soon()) == Act((tally,), None, closes=False)


def test_talk_leaves_the_question_open() -> None:
    found = settle(sure("nice day"), TWO, None, soon())

    assert found == Remark("")


def test_a_question_goes_stale() -> None:
    late = soon(after=STALE_AFTER + timedelta(seconds=1))

    found = settle(sure("yes", call("yes")), ONE, None, late)

    assert isinstance(found, Remark)
    assert "over" in found.text
    assert open_question(ONE, soon(after=STALE_AFTER)) is ONE
    assert open_question(ONE, late) is None


def test_a_closed_question_is_not_open() -> None:
    assert open_question(CLOSED, soon()) is None
    assert open_question(None, soon()) is None
    assert settle(sure("yes", call("yes")), CLOSED, None, soon()) == Remark(
        "There is nothing to answer."
    )


def test_what_is_not_sure_is_asked_with_at_most_two_readings() -> None:
    found = settle(unsure("strike long", RIGGER, CORNER, BIRDS), None, None, soon())

    assert found == Doubt("Did you say?", (RIGGER, CORNER))


def test_what_the_ear_hardly_takes_for_a_call_is_asked() -> None:
    found = settle(sure("strike long rigger", *RIGGER), None, None, soon(), accept=0.3)

    assert isinstance(found, Doubt)
    assert found.options == (RIGGER,)
    assert "strike, long rigger" in found.question


def test_do_it_makes_the_change_that_was_proposed() -> None:
    assert settle(sure("do it", call("yes")), None, PROPOSED, soon()) == Act((SWAP,))


def test_a_plain_yes_does_not_make_a_change_that_nobody_asked_about() -> None:
    found = settle(sure("yes", call("yes")), None, PROPOSED, soon())

    assert found == Remark("There is nothing to answer.")


def test_a_plain_yes_right_after_a_proposal_makes_the_change() -> None:
    found = settle(sure("yes", call("yes")), None, PROPOSED, soon(), undisturbed=True)
    late = soon(after=timedelta(minutes=3))

    assert found == Act((SWAP,))
    assert isinstance(
        settle(sure("yes", call("yes")), None, PROPOSED, late, undisturbed=True), Remark
    )


def test_no_to_an_offer_leaves_what_was_logged() -> None:
    found = settle(sure("no", call("no")), ONE, None, soon(), offer=True)

    assert found == Remark("Left as it is.", closes=True)


def test_a_correction_mends_the_reading_that_was_asked_about() -> None:
    found = settle(sure("no, shotgun", call("amend", "shotgun")), ONE, None, soon())

    assert found == Act((call("strike", "shotgun"),), ONE, closes=True)


def test_a_correction_after_an_offer_is_about_the_log() -> None:
    amend = call("amend", "shotgun")

    found = settle(sure("no, shotgun", amend), ONE, None, soon(), offer=True)

    assert found == Act((amend,), None, closes=True)


def test_undo_drops_a_question_and_takes_nothing_from_the_log() -> None:
    assert settle(sure("undo", call("undo")), ONE, None, soon()) == Remark(
        f"Dropped the question: {ONE.question}", closes=True
    )


def test_undo_after_something_else_was_logged_is_about_that() -> None:
    undo = call("undo")

    found = settle(sure("undo", undo), ONE, None, soon(), fresh=False)

    assert found == Act((undo,), None)


def test_an_old_proposal_is_not_made() -> None:
    found = settle(sure("do it", call("yes")), None, PROPOSED, soon(after=timedelta(hours=1)))

    assert found == Remark("There is nothing to answer.")


def test_a_yes_in_doubt_is_asked_for_again_and_logs_nothing() -> None:
    yes = sure("do it", call("yes"))

    assert settle(yes, ONE, None, soon(ONE), accept=0.6) == Act(RIGGER, ONE, closes=True)
    in_doubt = settle(yes, ONE, None, soon(ONE), accept=0.3)
    assert in_doubt == Remark("Yes? Please say it again.", keeps_open=True)
    without = settle(yes, None, PROPOSED, soon(), accept=0.3)
    assert without == Remark("Yes? Please say it again.")


def test_a_yes_that_was_not_heard_surely_is_asked_for_again() -> None:
    found = settle(unsure("yes", (call("yes"),)), ONE, None, soon())

    assert isinstance(found, Remark)
    assert found.keeps_open


def test_a_choice_that_was_not_heard_clearly_is_asked_for_again() -> None:
    found = settle(heard("second", confidence=0.6), TWO, None, soon())

    assert isinstance(found, Remark)
    assert found.keeps_open


def test_nobody_is_asked_about_a_correction_of_nothing() -> None:
    empty = (call("amend"),)

    alone = settle(unsure("blah blah", empty), None, None, at("06:00"))
    beside = settle(unsure("testing one two", empty, RIGGER), None, None, at("06:00"))
    filled = settle(unsure("no ten", (call("amend", lure="10"),)), None, None, at("06:00"))

    assert alone == Remark("")
    assert isinstance(beside, Doubt)
    assert beside.options == (RIGGER,)
    assert "strike, long rigger" in beside.question
    assert isinstance(filled, Doubt)
