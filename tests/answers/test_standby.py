"""The casting outfit for fish on top, the deep diver for fish that stay deep: common practice, no source."""

import pytest

from bot.answers.questions import answer
from bot.answers.standby import standby_lines
from bot.bench.corpus import corpus_language
from bot.calls.understand import understand
from bot.tackle.items import Lure
from bot.tackle.trays import Tray, TrayLure
from bot.transcript import typed_transcript
from tests.answers.views import view
from tests.builders import at, call, log_of
from tests.meanings import as_said

FISHING = (("06:00", call("lines_in")), ("06:30", call("strike", "shotgun", "red 6")))
DIVER = Lure("Deep Diver", 7, ("blue",), "plug", ready=True, speed_max_kn=6)
ON_TOP = call("sighting", what="jumping fish")
MARKED = call("sighting", what="fish deep")


def test_fish_on_top_bring_up_the_casting_outfit_and_whether_it_is_ready() -> None:
    rigged = log_of(("05:00", call("ready", None, "@casting outfit")))

    assert standby_lines(view(rigged), [ON_TOP]) == [
        "On top: cast to them. The casting outfit is ready. Mind who stands behind the cast."
    ]
    assert "has not been called ready" in standby_lines(view(), [ON_TOP])[0]


@pytest.mark.parametrize(("clock", "told"), [("06:40", False), ("06:49", False), ("06:50", True)])
def test_fish_marked_deep_bring_up_the_diver_only_after_a_while_without_a_bite(
    clock: str, told: bool
) -> None:
    found = standby_lines(
        view(log_of(*FISHING, ("06:31", call("miss", "shotgun"))), clock), [MARKED]
    )

    assert bool(found) is told


@pytest.mark.parametrize(
    ("said", "told"),
    [("fish marked deep, won't bite", True), ("marks down deep, not eating", True),
     ("marks on the sounder but nothing's biting", True), ("fish marked deep", False)],
)  # fmt: skip
def test_fish_that_are_said_not_to_bite_bring_it_up_at_once(said: str, told: bool) -> None:
    (read,) = understand(typed_transcript(said), corpus_language()).calls
    now = view(log_of(("06:00", call("lines_in"))), "06:05")

    lines = standby_lines(now, [as_said(read, said)])

    assert [line.startswith("Deep, and they will not bite: put the deep") for line in lines] == (
        [True] * told
    )


def test_the_diver_is_told_with_the_speed_at_which_it_runs() -> None:
    (line,) = standby_lines(view(log_of(("06:00", call("lines_in"))), "07:00", (DIVER,)), [MARKED])

    assert line == (
        "Deep, and no bite for 1 h 00 min: put the deep diver out."
        " The deep diver is ready, it runs up to 6 knots. Slow down to it: now 8 knots."
    )


def test_nothing_is_told_while_lines_are_out_a_fish_is_on_or_other_things_are_seen() -> None:
    on = log_of(("06:00", call("lines_in")), ("06:05", call("hookup", "shotgun", "red 6")))

    assert standby_lines(view((), "07:00"), [MARKED]) == []
    assert standby_lines(view(on, "07:00"), [MARKED]) == []
    assert standby_lines(view(), [call("sighting", what="birds"), call("strike", "shotgun")]) == []


def test_what_lies_in_a_tray_of_that_name_is_told() -> None:
    tray = Tray("casting", (TrayLure("White Jig", 4, ("white",)),))
    box = (Lure("White Jig", 4, ("white",), ready=True),)

    (line,) = standby_lines(view(box=box, load_trays=lambda: ([(tray, at("05:00"))], ())), [ON_TOP])

    assert "The casting outfit is ready: White Jig." in line


def test_what_of_it_is_not_ready_is_told() -> None:
    tray = Tray("casting", (TrayLure("White Jig", 4), TrayLure("Pink Jig", 4)))
    box = (Lure("White Jig", 4, ("white",), ready=True), Lure("Pink Jig", 4, ("pink",)))
    rigged = log_of(("05:00", call("ready", None, "@casting outfit")))

    (line,) = standby_lines(
        view(rigged, box=box, load_trays=lambda: ([(tray, at("04:00"))], ())), [ON_TOP]
    )

    assert "The casting outfit is ready: White Jig, Pink Jig; not ready of it: Pink Jig." in line


def test_without_a_deep_diver_a_plug_that_is_ready_goes_out() -> None:
    box = (
        Lure("Tin Fish", 7, ("blue",), "plug", ready=True),
        Lure("Old Plug", 7, ("red",), "plug"),
    )

    (line,) = standby_lines(view(log_of(("06:00", call("lines_in"))), "07:00", box), [MARKED])

    assert "The deep diver is ready: Tin Fish." in line
    assert "Slow down" not in line


@pytest.mark.parametrize(
    "said",
    ["fish marked deep, won't bite", "marks down deep, not eating", "marking fish, no bites",
     "marking fish at sixty metres but they won't bite"],
)  # fmt: skip
def test_fish_that_are_deep_and_do_not_bite_are_no_raise(said: str) -> None:
    found = understand(typed_transcript(said), corpus_language())

    assert [(one.act, one.what) for one in found.calls] == [("sighting", "fish deep")]
    assert found.ask is None


def test_an_outfit_is_asked_about_by_its_name() -> None:
    (asked,) = understand(typed_transcript("is the deep diver ready"), corpus_language()).calls

    assert answer(view(box=(DIVER,)), asked).text == (
        "The deep diver is ready, it runs up to 6 knots (for fish marked deep)."
    )


@pytest.mark.parametrize(
    ("said", "act"),
    [("fish on top", "sighting"), ("fish on top, won't bite", "sighting"),
     ("tuna busting on top, won't eat", "sighting"),
     ("fish on top but they won't eat", "sighting"),
     ("tuna on top off the port bow", "sighting"), ("fish on", "hookup"),
     ("fish on the short corner", "hookup"), ("fish on, on top", "hookup")],
)  # fmt: skip
def test_fish_on_top_are_seen_and_not_on(said: str, act: str) -> None:
    assert [one.act for one in understand(typed_transcript(said), corpus_language()).calls] == [act]
