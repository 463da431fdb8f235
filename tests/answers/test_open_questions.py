"""Questions of several people stand side by side: whose is meant, and when each is over."""

from datetime import timedelta

from bot.answers.open_questions import BY_NAME, STALE_AFTER, asker_of, open_questions, question_for
from bot.trip.entry import Asked
from tests.builders import at, call

OPTIONS = ((call("strike", "shotgun"),),)
ANA = Asked("a", "Strike, shotgun?", OPTIONS, at("07:00"), "strike", "Ana", "ma")
BEN = Asked("b", "Strike, shotgun?", OPTIONS, at("07:00:30"), "strike", "Ben", "mb")
NOW = at("07:01")


def closing(name: str = "") -> Asked:
    return Asked("c", "", (), NOW, closes=name)


def test_each_is_answered_by_its_asker_whoever_asked_last() -> None:
    both = (BEN, ANA)

    assert question_for(both, "Ana", False, "", NOW) is ANA
    assert question_for(both, "ben", False, "", NOW) is BEN


def test_a_skipper_may_answer_anybodys_and_others_none() -> None:
    assert question_for((BEN, ANA), "Tom", True, "", NOW) is BEN
    assert question_for((BEN, ANA), "Tom", False, "", NOW) is None


def test_a_button_names_its_question_however_many_were_asked_since() -> None:
    late = ANA.at + BY_NAME

    assert question_for((BEN, ANA), "Ana", False, "a", late) is ANA
    assert question_for((BEN, ANA), "Ana", False, "a", late + timedelta(seconds=1)) is None


def test_a_button_of_somebody_elses_question_is_a_skippers() -> None:
    assert question_for((BEN, ANA), "Tom", False, "a", NOW) is None
    assert question_for((BEN, ANA), "Ben", False, "a", NOW) is None
    assert question_for((BEN, ANA), "Tom", True, "a", NOW) is ANA


def test_who_may_not_answer_is_told_whose_question_it_is() -> None:
    assert asker_of((BEN, ANA), "Tom", False, "a", NOW) == "Ana"
    assert asker_of((BEN, ANA), "Tom", False, "", NOW) == "Ben"
    assert asker_of((BEN, ANA), "Ana", False, "", NOW) == ""
    assert asker_of((BEN, ANA), "Tom", True, "a", NOW) == ""
    assert asker_of((closing("a"), closing("b"), BEN, ANA), "Tom", False, "a", NOW) == ""


def test_what_closes_one_leaves_the_other_open() -> None:
    assert open_questions((closing("b"), BEN, ANA), NOW) == (ANA,)
    assert question_for((closing("a"), BEN, ANA), "Ana", True, "", NOW) is BEN
    assert question_for((closing("a"), BEN, ANA), "Ana", True, "a", NOW) is None


def test_in_an_old_log_a_closing_record_names_none_and_closes_the_last() -> None:
    assert open_questions((closing(), BEN, ANA), NOW) == (ANA,)


def test_a_bare_word_answers_no_question_that_is_over() -> None:
    late = BEN.at + STALE_AFTER + timedelta(seconds=1)

    assert open_questions((BEN, ANA), late) == ()
    assert question_for((BEN, ANA), "Ben", True, "", late) is BEN  # which `settle` says is over
