"""The next change beside what it stands on: raises, figures, grounds, what is left out; common practice."""

from bot.answers.advise import verdict
from bot.answers.evidence import asked_why
from bot.messages import Advice
from bot.trip.call import Call
from tests.answers.views import BOX, view
from tests.builders import call, log_of

OUT = (
    ("06:00", call("lines_in")),
    ("06:00", call("set", "short corner", "black 12")),
    ("06:00", call("set", "long rigger", "purple 8.5")),
    ("06:00", call("set", "shotgun", "red 10")),
)
BITTEN = tuple(
    message
    for clock in ("07:10", "07:50", "08:20", "08:40")
    for message in ((clock, call("strike", "long rigger")), (clock, call("miss")))
)


def test_the_lure_that_a_fish_has_just_come_up_behind_stays() -> None:
    before = view(log_of(*OUT, *BITTEN), "10:00", BOX)
    first = verdict(before)
    assert isinstance(first, Advice)

    raised = view(log_of(*OUT, *BITTEN, ("09:50", call("raise", first.position))), "10:00", BOX)
    then = verdict(raised)

    assert not isinstance(then, Advice) or then.position != first.position
    for lure in ("", first.lure):
        why = asked_why(raised, Call("ask_why", position=first.position, lure=lure or None)).text
        assert "a fish came up behind" in why
        assert "at 09:50, so it stays" in why


def test_an_hour_after_the_raise_its_place_is_thought_over_again() -> None:
    first = verdict(view(log_of(*OUT, *BITTEN), "10:00", BOX))
    assert isinstance(first, Advice)

    later = view(log_of(*OUT, *BITTEN, ("08:55", call("raise", first.position))), "10:00", BOX)

    assert "a fish came up" not in asked_why(later, Call("ask_why", position=first.position)).text
