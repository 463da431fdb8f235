"""One fish is one thing: what is taken back of it, whose it is, and what is said of it in one breath.

Common practice, no source: who reads the log counts every fish once, and knows which one was meant.
"""

from pathlib import Path

import pytest

from bot import Desk
from tests.desk_rig import at, call, doubtful, rigged, scripted, standing, told, tone

BOX = "name,head,size_in,colours,ready\nBroom Handle,slim,6,silver blue,yes\n"
FISH = ("strike", "hookup", "miss", "pulled_hook", "break_off", "boat", "release")


def acts(home: Path) -> list[tuple[str, str | None]]:
    """Return what stands of fish, each with its line."""
    return told(standing(home, *FISH), "act", "position")


def say(desk: Desk, *lines: str) -> str | None:
    """Say lines such as `07:01 Ana: wired him`, and return what the last one asks."""
    ask = None
    for line in lines:
        who, text = line.split(": ", 1)
        clock, crew = who.split()
        ask = call(desk, f"{clock} {text}", crew=crew).ask
    return ask


@pytest.mark.parametrize("on", ["nah, he's on", "no wait, he's on", "no no he's on, shotgun"])
def test_a_miss_is_taken_back_by_whoever_says_that_the_fish_is_on(tmp_path: Path, on: str) -> None:
    with rigged(tmp_path, BOX) as desk:
        say(desk, "07:00 Kev: strike shotgun", "07:01 Kev: missed him", f"07:01 Jo: {on}")
        say(desk, "07:09 Kev: boated, wahoo")

    assert ("miss", "shotgun") not in acts(tmp_path)
    assert [one for one in acts(tmp_path) if one[0] == "strike"] == [("strike", "shotgun")]
    assert acts(tmp_path)[-1] == ("boat", "shotgun")


@pytest.mark.parametrize(
    "on", ["07:02 Kev: he's back, hooked up", "07:02 Kev: hooked up", "07:08 Kev: he's on"]
)
def test_a_fish_that_comes_after_a_miss_is_another_bite(tmp_path: Path, on: str) -> None:
    with rigged(tmp_path, BOX) as desk:
        say(desk, "07:00 Kev: strike shotgun", "07:01 Kev: missed him", on)

    assert [act for act, _ in acts(tmp_path)] == ["strike", "miss", "hookup"]


def test_a_hookup_on_another_line_takes_no_miss_back(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX) as desk:
        say(desk, "07:00 Kev: strike shotgun", "07:00 Kev: strike long rigger")
        say(desk, "07:01 Kev: missed the shotgun", "07:01 Kev: no wait, long rigger's on")

    assert ("miss", "shotgun") in acts(tmp_path)
    assert ("hookup", "long rigger") in acts(tmp_path)


def test_a_miss_without_a_bite_leaves_its_line_to_the_fish_that_is_on(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX) as desk:
        say(desk, "07:00 Kev: missed one on the shotgun", "07:01 Jo: no wait, he's on")

    assert acts(tmp_path) == [("hookup", "shotgun")]


def test_an_undo_or_a_hookup_after_a_miss_come_to_the_same(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX) as desk:
        say(desk, "07:00 Kev: bite on the shotgun", "07:00 Kev: it's off")
        ask = say(desk, "07:01 Jo: no no, look at the tip, it's still there. hooked up")

    assert ask is None
    assert acts(tmp_path) == [("strike", "shotgun"), ("hookup", "shotgun")]


@pytest.mark.parametrize(
    ("bite", "left"), [("strike shotgun", ["strike", "miss"]), ("radio check", [])]
)
def test_no_fish_right_after_a_hookup_takes_it_back(
    tmp_path: Path, bite: str, left: list[str]
) -> None:
    with rigged(tmp_path, BOX) as desk:
        say(desk, f"07:00 Kev: {bite}", "07:00 Kev: he's on", "07:01 Jo: no fish")

    assert [act for act, _ in acts(tmp_path)] == left


@pytest.mark.parametrize(
    "lines",
    [
        ("07:00 Kev: hooked up shotgun", "07:06 Jo: no fish"),
        ("07:00 Kev: hooked up shotgun", "07:00 Kev: hooked up long rigger", "07:01 Jo: no fish"),
    ],
)
def test_no_fish_later_or_with_two_on_takes_nothing_back(
    tmp_path: Path, lines: tuple[str, ...]
) -> None:
    with rigged(tmp_path, BOX) as desk:
        say(desk, *lines)

    assert len(standing(tmp_path, "hookup")) == len(lines) - 1


@pytest.mark.parametrize(
    ("before", "said", "line"),
    [
        (("07:01 Tom: fish on long rigger",), "07:09 Kev: mine is off", "shotgun"),
        (("07:01 Tom: fish on long rigger",), "07:09 Tom: my fish is off", "long rigger"),
        (
            ("07:01 Kev: fish on long rigger", "07:02 Kev: Tom has the shotgun"),
            "07:09 Jo: mine is off",
            "long rigger",
        ),
    ],
)
def test_mine_is_the_fish_that_its_speaker_called_on_or_that_nobody_else_has(
    tmp_path: Path, before: tuple[str, ...], said: str, line: str
) -> None:
    with rigged(tmp_path, BOX) as desk:
        ask = say(desk, "07:00 Kev: fish on shotgun", *before, said)

    assert ask is None
    assert acts(tmp_path)[-1] == ("pulled_hook", line)


@pytest.mark.parametrize("said", ["07:09 Jo: mine is off", "07:09 Kev: he's off"])
def test_a_fish_of_two_is_asked_about_where_nothing_tells_whose_it_is(
    tmp_path: Path, said: str
) -> None:
    with rigged(tmp_path, BOX) as desk:
        ask = say(desk, "07:00 Kev: fish on shotgun", "07:01 Tom: fish on long rigger", said)

    assert ask == "Which fish: the shotgun or the long rigger?"


@pytest.mark.parametrize(
    ("before", "said", "last"),
    [
        (
            ("07:00 Ray: strike short rigger", "07:00 Ray: strike long rigger"),
            "07:00 Ana: I have one, the short rigger, he is on",
            ("hookup", "short rigger"),
        ),
        (
            ("07:00 Ray: hooked up short corner", "07:01 Ana: hooked up long corner"),
            "07:09 Ray: mine on the short corner snapped",
            ("break_off", "short corner"),
        ),
    ],
)
def test_what_comes_next_on_a_line_that_is_named_is_not_asked_about(
    tmp_path: Path, before: tuple[str, ...], said: str, last: tuple[str, str]
) -> None:
    with rigged(tmp_path, BOX) as desk:
        ask = say(desk, *before, said)

    assert ask is None
    assert acts(tmp_path)[-1] == last


def test_a_lure_that_is_named_tells_which_of_two_fish_is_on(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX) as desk:
        say(desk, "07:00 Ray: strike short rigger, strike long rigger")
        ask = say(desk, "07:00 Ray: the purple one's on")

    assert ask is None
    assert acts(tmp_path)[-1] == ("hookup", "long rigger")


def test_a_bite_on_another_lure_is_not_the_same_bite_without_its_line(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX) as desk:
        say(desk, "07:00 Ray: hit on the pink ten", "07:00 Ray: hit on the purple eight")

    assert acts(tmp_path) == [("strike", "short rigger"), ("strike", "long rigger")]


def test_lines_that_are_named_twice_in_a_breath_bit_once(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX) as desk:
        said = "both longs, both longs gone off, long corner and long rigger"
        ask = say(desk, f"07:00 Ray: {said}")

    assert ask is None
    assert acts(tmp_path) == [("strike", "long corner"), ("strike", "long rigger")]


@pytest.mark.parametrize(
    ("lines", "last", "counted"),
    [
        (("07:00 Ray: two dorado up", "07:01 Jo: strike short rigger, strike long rigger"),
         "07:01 Ray: both on", (2, 2)),
        (("07:00 Ray: two dorado up", "07:01 Jo: short rigger and long rigger"),
         "07:01 Ray: both on", (0, 2)),
        (("07:00 Ray: double strike",),
         "07:01 Jo: hooked up short rigger, hooked up long rigger", (2, 2)),
        (("07:00 Ray: double strike",),
         "07:01 Jo: short rigger's on, missed the long rigger", (2, 1)),
    ],
)  # fmt: skip
def test_two_fish_are_two_from_where_they_came_up_to_the_hookup(
    tmp_path: Path, lines: tuple[str, ...], last: str, counted: tuple[int, int]
) -> None:
    with rigged(tmp_path, BOX) as desk:
        ask = say(desk, *lines, last)
        on = [fish.position for fish in desk.view(None).trip.fish_on]

    assert ask is None
    strikes, hookups = counted
    both = ["short rigger", "long rigger"]
    assert on == both[:hookups]
    assert told(standing(tmp_path, "strike"), "position") == both[:strikes]
    assert told(standing(tmp_path, "hookup"), "position") == both[:hookups]


def test_the_ends_of_a_double_tell_its_lines(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX) as desk:
        say(desk, "07:00 Ray: double hook up")
        say(desk, "07:04 Jo: short rigger boated, yellowfin 20 kilos, long rigger broke off")

    assert acts(tmp_path) == [
        ("hookup", "short rigger"),
        ("hookup", "long rigger"),
        ("boat", "short rigger"),
        ("break_off", "long rigger"),
    ]
    assert told(standing(tmp_path, "hookup"), "weight_kg") == [None, None]


@pytest.mark.parametrize(
    ("line", "then"),
    [
        ("short rigger", "short rigger fish threw the hook"),
        ("shotgun", "there it went it fell off i felt the hook slide"),
    ],
)
def test_a_hookup_that_was_asked_about_is_borne_out_by_the_end_of_its_fish(
    tmp_path: Path, line: str, then: str
) -> None:
    with scripted(tmp_path, doubtful(f"hooked up {line}", 0.6)) as desk:
        call(desk, "06:30 lines in", f"06:30 set {line} red ten")
        first = desk.hear(tone(), crew="Ray", at=at("07:00"))
        call(desk, f"07:06 {then}")

    assert first.ask
    assert ("hookup", line) in acts(tmp_path)
    assert ("pulled_hook", line) in acts(tmp_path)


def test_a_line_alone_corrects_nothing_that_is_long_ago(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX) as desk:
        ask = say(desk, "07:00 Ray: something mean's got the short rigger")

    assert ask is None
    assert acts(tmp_path) == [("strike", "short rigger")]


@pytest.mark.parametrize(
    "said", ["the other one hit the shotgun", "other one just hit the shotgun"]
)
def test_the_other_one_that_bites_is_not_the_fish_that_is_on(tmp_path: Path, said: str) -> None:
    with rigged(tmp_path, BOX) as desk:
        say(desk, "07:00 Ray: hooked up short rigger", f"07:04 Jo: {said}")

    assert acts(tmp_path) == [("hookup", "short rigger"), ("strike", "shotgun")]


@pytest.mark.parametrize("said", ["scrub that it's weed", "scratch that, it was weed"])
def test_a_bite_that_was_only_weed_is_taken_back(tmp_path: Path, said: str) -> None:
    with rigged(tmp_path, BOX) as desk:
        say(desk, "07:00 Ray: strike shotgun", f"07:01 Jo: {said}")

    assert acts(tmp_path) == []


def test_weed_that_was_seen_is_taken_back_and_not_the_bite(tmp_path: Path) -> None:
    with rigged(tmp_path, BOX) as desk:
        say(
            desk,
            "06:50 Jo: weed to port",
            "07:00 Ray: strike shotgun",
            "07:01 Jo: scratch the weed",
        )

    assert acts(tmp_path) == [("strike", "shotgun")]
    assert told(standing(tmp_path, "sighting"), "what") == []
