"""What is said besides the log where a fish, an animal or a hand may come to harm."""

from bot.answers.drags import asked_drag, use_scale_drags
from bot.answers.fish_care import (
    BILLFISH_KEPT,
    BINDS,
    GAFF_CAUTION,
    LEADER,
    LET_GO,
    bitten_lines,
    care_lines,
)
from bot.answers.fish_talk import asked_fish
from bot.answers.view import View
from bot.replies.helping import SHORT_CAUTION
from bot.tackle.items import Boat, Outfit
from bot.trip.call import NO_CATCH, Call
from bot.trip.entry import Entry
from tests.builders import at, call, entry, trip

OUT = (entry("06:00", "set", "shotgun", "pink 8"), entry("06:01", "lines_in"))


def said(*entries: Entry, now: str = "12:00") -> View:
    return View(trip(*OUT, *entries), at(now), stood=(*OUT, *entries))


def lines(*entries: Entry) -> list[str]:
    """Return the cautions of the last entry."""
    return care_lines(said(*entries[:-1]), said(*entries), entries[-1:])


def test_the_first_fish_on_and_the_first_leader_bring_their_caution_once() -> None:
    hooked, wired = entry("07:00", "hookup", "shotgun"), entry("07:10", "leader")
    again = entry("07:12", "leader")

    assert lines(hooked) == [SHORT_CAUTION]
    assert lines(hooked, wired) == [LEADER]
    assert lines(hooked, wired, again) == []


def test_what_is_said_at_the_first_fish_says_what_a_harness_can_do() -> None:
    assert "harness can pull you in" in SHORT_CAUTION
    assert "clipped" not in SHORT_CAUTION


def test_a_fish_kept_brings_the_gaff_and_a_billfish_kept_its_rules() -> None:
    hooked = entry("07:00", "hookup", "shotgun")
    wahoo = entry("07:10", "boat", species="wahoo")
    marlin = entry("07:10", "boat", species="striped marlin")

    assert lines(hooked, wahoo) == [GAFF_CAUTION]
    assert lines(hooked, marlin) == [BILLFISH_KEPT]


def test_every_animal_that_is_no_catch_is_told_how_it_is_usually_let_go() -> None:
    for species in NO_CATCH:
        on = lines(entry("07:00", "hookup", "shotgun", species=species))

        assert on[0] == BINDS
        assert len(on) == 2
        assert on[1] in LET_GO.values()


def test_a_bitten_lure_that_goes_back_in_is_named_unless_it_was_made_ready() -> None:
    fish = (
        entry("07:00", "hookup", "shotgun"), entry("07:10", "boat", species="wahoo"),
        entry("07:11", "lines_out"),
    )  # fmt: skip
    ready, back = entry("07:20", "ready", None, "pink 8"), entry("07:30", "lines_in")
    calls = [Call("lines_in")]

    (line,) = bitten_lines(said(*fish), said(*fish, back), calls)
    assert line.startswith("Back in after a fish, unchecked: shotgun pink 8-inch.")
    assert bitten_lines(said(*fish, ready), said(*fish, ready, back), calls) == []
    assert bitten_lines(said(), said(back), calls) == []


def test_a_drag_off_the_scale_is_asked_back_and_stands_for_that_of_the_settings() -> None:
    read = entry("07:00", "drag", "shotgun", drag_kg=7.5)
    view = said(read, now="08:00")
    boat = Boat(outfits=(Outfit("shotgun", 24.0), Outfit("long rigger", 24.0)))

    answer = asked_drag(view, call("ask_drag", "shotgun"))
    rods = use_scale_drags(boat, view.trip.drags).outfits

    assert answer.text.startswith("Shotgun: 7.5 kg on the scale at 07:00.")
    assert "Never lock a reel" in answer.text
    assert [one.drag_kg for one in rods] == [7.5, 0.3 * 24.0]
    assert "old: check it again" in asked_drag(said(read, now="15:00"), call("ask_drag")).text


def test_the_fish_are_counted_by_species_kept_and_let_go_and_by_who_caught_them() -> None:
    view = said(
        entry("07:00", "hookup", "shotgun", angler="Ana"),
        entry("07:10", "boat", species="wahoo", weight_kg=20.0),
        entry("08:00", "hookup", "shotgun", angler="Tom"),
        entry("08:10", "release", species="sailfish"),
        entry("09:00", "hookup", "shotgun", angler="Tom"),
        now="09:30",
    )

    text = asked_fish(view, call("ask_fish")).text

    assert text.splitlines() == [
        "A fish, shotgun, Tom on the rod, on for 30 min.", "2 caught; kept 1 wahoo; let go 1 sailfish.",
        "07:10 wahoo, 20 kg, kept, shotgun, pink 8-inch, Ana.",
        "08:10 sailfish, let go, shotgun, pink 8-inch, Tom.",
        "Ana: 1 wahoo.", "Tom: 1 sailfish.",
    ]  # fmt: skip
    assert asked_fish(view, call("ask_fish", angler="ana")).text.startswith(
        "1 caught; kept 1 wahoo"
    )
